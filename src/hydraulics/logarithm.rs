//! Natural logarithm of a positive normal number without branches, so that a batch of friction solves vectorises.
//!
//! The number is split into a power of two and a rest m between sqrt(1/2) and sqrt(2);
//! ln m = 2 atanh(s) with s = (m - 1)/(m + 1), whose series in s² (at most 0.0295) ends quickly.
//! Only additions, multiplications, one division and whole-number bit work are used: the same bytes everywhere.

/// Bits of sqrt(1/2), the lower end of the rest.
const SQRT_HALF_BITS: u64 = 0x3fe6_a09e_667f_3bcd;
/// Bits of 1.0: its exponent field alone.
const ONE_BITS: u64 = 0x3ff0_0000_0000_0000;
/// The 52 bits of the fraction.
const FRACTION_BITS: u64 = 0x000f_ffff_ffff_ffff;
/// Bits of 2^52; a small whole number put into its fraction reads as 2^52 + that number.
const TWO_52_BITS: u64 = 0x4330_0000_0000_0000;
/// 2^52 + 1023: takes the carrier and the exponent's bias off again.
const CARRIER: f64 = 4_503_599_627_371_519.0;
/// ln 2 cut to 33 bits, so that its product with an exponent is exact.
const LN_2_HIGH: f64 = 0.693_147_180_485_539_1;
/// ln 2 less [`LN_2_HIGH`].
const LN_2_LOW: f64 = 7.440_617_110_012_397e-11;

/// Exponent of two and s = (m - 1)/(m + 1) of a positive normal number.
#[inline]
fn split(value: f64) -> (f64, f64) {
    let moved = value.to_bits().wrapping_add(ONE_BITS - SQRT_HALF_BITS);
    let exponent = f64::from_bits((moved >> 52) | TWO_52_BITS) - CARRIER;
    let rest = f64::from_bits((moved & FRACTION_BITS) + SQRT_HALF_BITS);
    (exponent, (rest - 1.0) / (rest + 1.0))
}

/// ln of a positive normal number, within about one unit in the last place.
#[inline]
pub(super) fn ln(value: f64) -> f64 {
    let (exponent, s) = split(value);
    let z = s * s;
    let tail = 1.0 / 15.0 + z * (1.0 / 17.0 + z * (1.0 / 19.0 + z * (1.0 / 21.0)));
    let middle = 1.0 / 9.0 + z * (1.0 / 11.0 + z * (1.0 / 13.0 + z * tail));
    let series = z * (1.0 / 3.0 + z * (1.0 / 5.0 + z * (1.0 / 7.0 + z * middle)));
    let twice = s + s;
    exponent * LN_2_HIGH + (twice + (twice * series + exponent * LN_2_LOW))
}

/// ln of a positive normal number within 1e-4: enough for a starting value.
#[inline]
pub(super) fn ln_coarse(value: f64) -> f64 {
    let (exponent, s) = split(value);
    exponent * core::f64::consts::LN_2 + (s + s) * (1.0 + s * s * (1.0 / 3.0))
}

#[cfg(test)]
mod tests {
    use super::{ln, ln_coarse};

    #[test]
    fn the_logarithm_agrees_with_the_library_over_the_range_the_friction_solve_uses() {
        let mut value = 1e-9;
        while value < 10.0 {
            let known = libm::log(value);
            // Two units in the last place of the largest logarithm here (20.7) is 7e-15; near 1 the series is exact.
            assert!(
                (ln(value) - known).abs() <= 4e-16 * known.abs().max(0.5),
                "ln {value}"
            );
            assert!(
                (ln_coarse(value) - known).abs() <= 1e-4,
                "coarse ln {value}"
            );
            value *= 1.000_37;
        }
    }
}
