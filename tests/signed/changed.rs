//! What changed between two cards.

use hosewright::signed::{Change, changes};
use proptest::prelude::*;

fn old(change: &Change<'_>) -> Option<String> {
    match change {
        Change::Same(w) | Change::Gone(w) => Some((*w).to_owned()),
        Change::New(_) => None,
    }
}

fn new(change: &Change<'_>) -> Option<String> {
    match change {
        Change::Same(w) | Change::New(w) => Some((*w).to_owned()),
        Change::Gone(_) => None,
    }
}

/// The longest common subsequence by trying every choice of the shorter list.
fn longest(old: &[String], new: &[String]) -> usize {
    let holds = |choice: u32| {
        let mut rest = new.iter();
        let chosen = old.iter().enumerate().filter(|(i, _)| choice >> i & 1 == 1);
        chosen.into_iter().all(|(_, word)| rest.any(|w| w == word))
    };
    (0..1_u32 << old.len()).filter(|c| holds(*c)).map(u32::count_ones).max().unwrap_or(0) as usize
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]
    #[test]
    fn both_lists_come_out_again_and_as_much_as_can_stays(
        before in prop::collection::vec("[abc]", 0..9),
        after in prop::collection::vec("[abc]", 0..9),
    ) {
        let found = changes(&before, &after);
        prop_assert_eq!(found.iter().filter_map(old).collect::<Vec<_>>(), before.clone());
        prop_assert_eq!(found.iter().filter_map(new).collect::<Vec<_>>(), after.clone());
        let same = found.iter().filter(|c| matches!(c, Change::Same(_))).count();
        prop_assert_eq!(same, longest(&before, &after));
    }
}
