//! What changed between two lists of statements.

/// A statement of the old list, of the new one, or of both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change<'w> {
    /// It stands in both.
    Same(&'w str),
    /// It stood in the old one.
    Gone(&'w str),
    /// It stands in the new one.
    New(&'w str),
}

/// The two lists as one, in their order: what stays, what goes, what comes.
///
/// # Formula
/// The longest common subsequence stays; among several the one that keeps what comes first. Where statements go and
/// others come at the same place they stand by turns, so that an old one has its new one beside it.
///
/// ```
/// use hosewright::signed::{Change, changes};
/// let words = |list: &[&str]| list.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
/// let (old, new) = (words(&["F1", "CUT 462 mm"]), words(&["F1", "CUT 463 mm"]));
/// let found = changes(&old, &new);
/// assert_eq!(found, [Change::Same("F1"), Change::Gone("CUT 462 mm"), Change::New("CUT 463 mm")]);
/// ```
pub fn changes<'w>(old: &'w [String], new: &'w [String]) -> Vec<Change<'w>> {
    // Longest common subsequence of what stands behind each place.
    let mut longest = vec![vec![0_usize; new.len() + 1]; old.len() + 1];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            longest[i][j] = if old[i] == new[j] {
                longest[i + 1][j + 1] + 1
            } else {
                longest[i + 1][j].max(longest[i][j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut found = Vec::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            found.push(Change::Same(&old[i]));
            (i, j) = (i + 1, j + 1);
        } else if j == new.len() || (i < old.len() && longest[i + 1][j] >= longest[i][j + 1]) {
            found.push(Change::Gone(&old[i]));
            i += 1;
        } else {
            found.push(Change::New(&new[j]));
            j += 1;
        }
    }
    by_turns(&found)
}

/// What goes and what comes between two statements that stay, by turns.
fn by_turns<'w>(found: &[Change<'w>]) -> Vec<Change<'w>> {
    let mut ordered = Vec::with_capacity(found.len());
    for run in found.chunk_by(|a, b| !matches!(a, Change::Same(_)) && !matches!(b, Change::Same(_)))
    {
        let (new, rest): (Vec<Change<'w>>, Vec<Change<'w>>) =
            run.iter().partition(|change| matches!(change, Change::New(_)));
        let mut new = new.into_iter();
        for change in rest {
            ordered.push(change);
            if matches!(change, Change::Gone(_)) {
                ordered.extend(new.next());
            }
        }
        ordered.extend(new);
    }
    ordered
}
