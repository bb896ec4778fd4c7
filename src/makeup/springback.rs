//! The search that springback of tube and of sheet share.

/// Halvings that settle a radius to the last digits.
const HALVINGS: u32 = 200;

/// The radius to bend to, so that `finished_mm` is left of it: it is `finished_mm` times what share is left at that
/// very radius. Sought below `elastic_mm`, where a bend is elastic and the radius that is left has no end.
pub(super) fn bent_radius_mm(
    finished_mm: f64,
    elastic_mm: f64,
    share_left: impl Fn(f64) -> f64,
) -> f64 {
    let (mut low_mm, mut high_mm) = (0.0, finished_mm.min(elastic_mm));
    for _ in 0..HALVINGS {
        let middle_mm = 0.5 * (low_mm + high_mm);
        if middle_mm < finished_mm * share_left(middle_mm) {
            low_mm = middle_mm;
        } else {
            high_mm = middle_mm;
        }
    }
    0.5 * (low_mm + high_mm)
}
