//! Walks: beside every order there is, on a line, on a grid, and what is refused.

use hosewright::makeup::MakeupError;
use hosewright::makeup::walk::walk;

fn distance(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum::<f64>().sqrt()
}

/// Changes and length of an order.
fn cost(places: &[[f64; 3]], tools: &[usize], order: &[usize]) -> (usize, f64) {
    let pairs = || order.windows(2);
    let changes = pairs().filter(|w| tools[w[0]] != tools[w[1]]).count();
    (changes, pairs().map(|w| distance(&places[w[0]], &places[w[1]])).sum())
}

/// Tries every order: fewest changes, then the shortest.
fn best(places: &[[f64; 3]], tools: &[usize], order: &mut Vec<usize>, done: usize) -> (usize, f64) {
    if done == order.len() {
        return cost(places, tools, order);
    }
    let mut least = (usize::MAX, f64::INFINITY);
    for next in done..order.len() {
        order.swap(done, next);
        let found = best(places, tools, order, done + 1);
        if found.0 < least.0 || (found.0 == least.0 && found.1 < least.1) {
            least = found;
        }
        order.swap(done, next);
    }
    least
}

/// Numbers from 0 to 1 that are the same in every run (Knuth's linear congruence).
fn scattered(count: usize) -> Vec<f64> {
    let mut state = 7_u64;
    let mut next = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 33).unwrap_or(0)) / f64::from(u32::MAX >> 1)
    };
    (0..count).map(|_| next()).collect()
}

#[test]
fn no_order_of_up_to_seven_places_is_better() {
    let numbers = scattered(7 * 4 * 40);
    for (index, chunk) in numbers.chunks(28).enumerate() {
        let count = 1 + index % 7;
        // How many tools there are, as shares of a number from 0 to 1.
        let kinds: &[f64] = &[0.0, 0.25, 0.5, 0.75][..=(index / 7) % 4];
        let places: Vec<[f64; 3]> =
            chunk.chunks(4).take(count).map(|c| [c[0] * 1e3, c[1] * 1e3, c[2] * 1e3]).collect();
        let tool = |c: &[f64]| kinds.iter().filter(|k| c[3] >= **k).count();
        let tools: Vec<usize> = chunk.chunks(4).take(count).map(tool).collect();
        let found = walk(&places, &tools).expect("a walk");
        let known = best(&places, &tools, &mut (0..count).collect(), 0);
        assert_eq!(
            cost(&places, &tools, &found.order),
            (found.changes, found.length_mm),
            "{index}"
        );
        assert_eq!(found.changes, known.0, "{index}");
        assert!((found.length_mm - known.1).abs() < 1e-9, "{index}: {found:?} {known:?}");
        assert!(found.proven && found.least_mm.to_bits() == found.length_mm.to_bits());
    }
}

#[test]
fn along_a_line_the_walk_goes_from_end_to_end() {
    // Shuffled by a multiplier that is prime to the count.
    let places: Vec<[f64; 3]> = (0..200).map(|i| [f64::from((i * 77) % 200), 5.0, -3.0]).collect();
    let found = walk(&places, &[4; 200]).expect("a walk");
    assert!((found.length_mm - 199.0).abs() < 1e-9, "{}", found.length_mm);
    assert!((found.least_mm - 199.0).abs() < 1e-9 && !found.proven);
}

#[test]
fn on_a_grid_the_walk_is_hardly_longer_than_one_step_for_each_place() {
    // A grid has a walk of steps of 1, which is also what the tree through it measures.
    for (wide, high) in [(5, 5), (6, 7), (12, 10)] {
        let grid = |i: i32| [f64::from(i % wide), f64::from(i / wide), 0.0];
        let places: Vec<[f64; 3]> = (0..wide * high).map(grid).collect();
        let found = walk(&places, &vec![0; places.len()]).expect("a walk");
        let steps = f64::from(wide * high - 1);
        assert!((found.least_mm - steps).abs() < 1e-9, "{}", found.least_mm);
        assert!(found.length_mm <= 1.05 * steps, "{} of {steps}", found.length_mm);
    }
}

#[test]
fn the_same_places_give_the_same_order_and_nothing_gives_nothing() {
    let numbers = scattered(300);
    let places: Vec<[f64; 3]> = numbers.chunks(3).map(|c| [c[0], c[1], c[2]]).collect();
    let tools: Vec<usize> = (0..100).map(|i| i % 12).collect();
    let first = walk(&places, &tools).expect("a walk");
    assert_eq!(first, walk(&places, &tools).expect("a walk"));
    assert_eq!(first.changes, 11);
    let mut all = first.order.clone();
    all.sort_unstable();
    assert_eq!(all, (0..100).collect::<Vec<_>>());
    let none = walk(&[], &[]).expect("a walk");
    assert_eq!((none.order.len(), none.changes, none.length_mm.to_bits()), (0, 0, 0));
}

#[test]
fn places_without_tools_too_many_and_nowhere_are_refused() {
    let place = [[0.0; 3]];
    assert!(matches!(walk(&place, &[]), Err(MakeupError::TooFew { .. })));
    assert!(matches!(walk(&[[0.0, f64::NAN, 0.0]], &[1]), Err(MakeupError::NotFinite { .. })));
    assert!(matches!(
        walk(&vec![[0.0; 3]; 1001], &vec![0; 1001]),
        Err(MakeupError::TooMany { .. })
    ));
}

/// From a place on to the nearest that is left, to the end.
fn nearest_first(places: &[[f64; 3]], first: usize) -> f64 {
    let (mut at, mut length) = (first, 0.0);
    let mut left: Vec<usize> = (0..places.len()).filter(|p| *p != first).collect();
    while !left.is_empty() {
        let near = |p: &usize| distance(&places[at], &places[*p]);
        let next = left.iter().copied().reduce(|a, b| if near(&b) < near(&a) { b } else { a });
        let Some(next) = next else { break };
        length += near(&next);
        left.retain(|p| *p != next);
        at = next;
    }
    length
}

#[test]
fn with_more_tools_than_are_compared_no_walk_to_the_nearest_is_shorter() {
    for numbers in scattered(12 * 3 * 20).chunks(36) {
        let places: Vec<[f64; 3]> =
            numbers.chunks(3).map(|c| [c[0] * 1e3, c[1] * 1e3, c[2] * 1e3]).collect();
        let tools: Vec<usize> = (0..12).collect();
        let found = walk(&places, &tools).expect("a walk");
        assert_eq!(found.changes, 11);
        for first in 0..12 {
            let greedy = nearest_first(&places, first);
            assert!(found.length_mm <= greedy + 1e-9, "{} from {first}: {greedy}", found.length_mm);
        }
    }
}
