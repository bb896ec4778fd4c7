//! A thread told from readings, and what it is easily taken for.

use super::line::form;
use super::rules::Rules;
use crate::identify::thread::{Confusion, Next, Side, ThreadForm, ThreadReading, confusion, tell};
use crate::table::Tables;
use crate::table::thread::{ThreadSize, all};

/// A thread and seat that readings leave possible.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// As the tables list it, once for each family and size.
    pub sizes: Vec<ThreadSize>,
    /// The sides it can be.
    pub sides: Vec<Side>,
    /// Its share of the likelihood of all that is possible.
    pub share: f64,
    /// What it could be screwed together with, without making a joint.
    pub confused: Vec<(ThreadSize, Confusion)>,
}

/// What readings tell of a thread.
#[derive(Clone, Debug)]
pub struct ThreadTold {
    /// What is possible, likeliest first.
    pub candidates: Vec<Candidate>,
    /// The one reading that tells most, with its bits.
    pub next: Option<(Next, f64)>,
    /// Families that were looked at.
    pub families: Vec<String>,
}

/// Tells a thread from readings.
///
/// # Errors
/// In words: a thread table whose figures cannot be used.
pub fn thread(tables: &Tables, read: &ThreadReading, rules: &Rules) -> Result<ThreadTold, String> {
    let sizes = all(tables);
    let kinds = kinds(&sizes);
    let forms: Vec<ThreadForm> = kinds.iter().map(|k| form(k[0])).collect();
    let told = tell(&forms, read).map_err(|e| e.to_string())?;
    let mut candidates: Vec<Candidate> = Vec::new();
    let mut seen: Vec<usize> = Vec::new();
    for possible in &told.possible {
        if let Some(at) = seen.iter().position(|f| *f == possible.form) {
            candidates[at].sides.push(possible.side);
            candidates[at].share += possible.share;
            continue;
        }
        seen.push(possible.form);
        candidates.push(Candidate {
            sizes: kinds[possible.form].iter().map(|s| (*s).clone()).collect(),
            sides: vec![possible.side],
            share: possible.share,
            confused: confused(&forms, &kinds, possible.form, rules),
        });
    }
    for candidate in &mut candidates {
        candidate.sides.sort_unstable();
    }
    let mut families: Vec<String> = sizes.iter().map(|s| s.family.clone()).collect();
    families.sort_unstable();
    families.dedup();
    Ok(ThreadTold { candidates, next: told.next, families })
}

/// Sizes by thread and seat: two tubes can have one thread in one family.
fn kinds(sizes: &[ThreadSize]) -> Vec<Vec<&ThreadSize>> {
    let mut kinds: Vec<Vec<&ThreadSize>> = Vec::new();
    for size in sizes {
        let same = |k: &&mut Vec<&ThreadSize>| {
            k[0].family == size.family && form(k[0]).same_thread(&form(size))
        };
        match kinds.iter_mut().find(same) {
            Some(kind) => kind.push(size),
            None => kinds.push(vec![size]),
        }
    }
    kinds
}

fn confused(
    forms: &[ThreadForm],
    kinds: &[Vec<&ThreadSize>],
    own: usize,
    rules: &Rules,
) -> Vec<(ThreadSize, Confusion)> {
    let other =
        (0..forms.len()).filter(|k| *k != own && kinds[*k][0].family != kinds[own][0].family);
    let how =
        |k: usize| confusion(&forms[own], &forms[k], rules.near_diameter_mm, rules.near_pitch);
    other.filter_map(|k| Some((kinds[k][0].clone(), how(k)?))).collect()
}
