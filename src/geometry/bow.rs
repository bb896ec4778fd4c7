//! How far a hose with slack bows out between two places that hold it.

use core::f64::consts::PI;

use super::{GeometryError, within};

/// Beyond this share of slack the two halves of the bow meet and the formula describes no hose.
const MOST_SLACK: f64 = 0.5;
/// Steps of the halving: the modulus is then known to the last bit.
const HALVINGS: u32 = 60;

/// # What it gives
///
/// How far a hose bows out of the straight line between two places that hold it in line, as a share of its length,
/// when `slack` of its length is spare.
///
/// # Formula
///
/// The elastica between clamped ends in line: `chord / L = 2 E(k) / K(k) - 1` gives the modulus `k` from the slack
/// `1 - chord / L`, and `rise / L = k / K(k)`, with `K` and `E` the complete elliptic integrals, by the
/// arithmetic-geometric mean.
///
/// # Valid for
///
/// Slack from 0 to half of the length. Even stiffness; weight, pressure and the set of a coiled hose are not in it.
/// The hose may bow to any side.
///
/// # Source
///
/// Elastica between clamped ends: closed form, checked by integrating the curve: a hose a tenth
/// longer than its span bows 18.64 % of its length.
/// Integrals by the arithmetic-geometric mean: NIST Digital Library of Mathematical Functions, 19.8 (from memory).
///
/// # Notes
///
/// For little slack the bow is near `2 sqrt(slack) / pi` of the length: 5 % of slack already bow a seventh of it.
///
/// # Errors
///
/// [`GeometryError::OutOfRange`], [`GeometryError::NotFinite`].
///
/// # Example
///
/// ```
/// use hosewright::geometry::bow_of_slack;
///
/// // A tenth longer than its span: one eleventh of its length is spare.
/// assert!((bow_of_slack(1.0 / 11.0)? - 0.1864).abs() < 5e-5);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn bow_of_slack(slack: f64) -> Result<f64, GeometryError> {
    within("slack", slack, 0.0, MOST_SLACK)?;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let mid = 0.5 * (low + high);
        let (_, ratio_missing) = integrals(mid);
        // 1 - chord / L = 2 (1 - E / K)
        if 2.0 * ratio_missing < slack { low = mid } else { high = mid }
    }
    let square = 0.5 * (low + high);
    let (first, _) = integrals(square);
    Ok(if slack > 0.0 { square.sqrt() / first } else { 0.0 })
}

/// `K` and `1 - E / K` for the square of the modulus.
fn integrals(square: f64) -> (f64, f64) {
    let (mut a, mut b) = (1.0, (1.0 - square).sqrt());
    let (mut sum, mut weight) = (0.5 * square, 0.5);
    while (a - b).abs() > 4.0 * f64::EPSILON * a {
        let c = 0.5 * (a - b);
        (a, b) = (0.5 * (a + b), (a * b).sqrt());
        weight *= 2.0;
        sum += weight * c * c;
    }
    (0.5 * PI / a, sum)
}
