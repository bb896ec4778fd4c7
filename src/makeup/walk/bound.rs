//! A length that no walk can be shorter than: the shortest trees through the places and through the tools.

use super::distance;

/// Least length of any walk that keeps the places of each group together, mm.
pub(super) fn bound_mm(places: &[[f64; 3]], groups: &[Vec<usize>]) -> f64 {
    let within = groups
        .iter()
        .map(|group| tree_mm(group.len(), |a, b| distance(&places[group[a]], &places[group[b]])));
    let gap = |a: usize, b: usize| {
        let pairs = groups[a].iter().flat_map(|p| groups[b].iter().map(move |q| (p, q)));
        let gaps = pairs.map(|(p, q)| distance(&places[*p], &places[*q]));
        gaps.fold(f64::INFINITY, f64::min)
    };
    within.sum::<f64>() + tree_mm(groups.len(), gap)
}

/// Length of the shortest tree that joins things, grown from the first by the nearest (Jarnik, Prim).
fn tree_mm(count: usize, between: impl Fn(usize, usize) -> f64) -> f64 {
    let mut reach: Vec<f64> =
        (0..count).map(|i| if i == 0 { 0.0 } else { between(0, i) }).collect();
    let mut outside: Vec<usize> = (1..count).collect();
    let mut length = 0.0;
    while let Some(at) =
        (0..outside.len()).min_by(|a, b| reach[outside[*a]].total_cmp(&reach[outside[*b]]))
    {
        let next = outside.remove(at);
        length += reach[next];
        for other in &outside {
            reach[*other] = reach[*other].min(between(next, *other));
        }
    }
    length
}
