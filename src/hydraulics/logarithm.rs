//! Natural logarithm of a positive normal number without branches, so that a batch of friction solves vectorises.
//!
//! The number is split into a power of two and a rest m between sqrt(1/2) and sqrt(2);
//! ln m = 2 atanh(s) with s = (m - 1)/(m + 1), a short polynomial in s² (at most 0.0295).
//! Only additions, multiplications and whole-number bit work are used: the same bytes everywhere.
//! The division for s is left to the caller, who can share it with another.
#![expect(clippy::inline_always, reason = "only what is inlined is compiled for wide registers")]

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
/// (atanh(s)/s - 1)/s² as a polynomial in s², fitted here (Chebyshev, 50 digits); error 2.4e-16 in ln.
const SERIES: [f64; 6] = [
    0.333_333_333_333_310_4,
    0.200_000_000_056_032_52,
    0.142_857_120_691_680_8,
    0.111_114_311_400_543_58,
    0.090_700_969_014_329_96,
    0.083_109_085_764_294_64,
];
/// ln m as a cubic in m - 1, fitted here; error 5e-4.
const COARSE: [f64; 4] = [3.739e-4, 1.002_498, -0.526_455, 0.304_754];

/// A positive normal number as a power of two times a rest between sqrt(1/2) and sqrt(2).
#[derive(Clone, Copy)]
pub(super) struct Parts {
    exponent: f64,
    rest: f64,
}

impl Parts {
    #[inline(always)]
    pub(super) fn of(value: f64) -> Self {
        let moved = value.to_bits().wrapping_add(ONE_BITS - SQRT_HALF_BITS);
        Self {
            exponent: f64::from_bits((moved >> 52) | TWO_52_BITS) - CARRIER,
            rest: f64::from_bits((moved & FRACTION_BITS) + SQRT_HALF_BITS),
        }
    }

    /// Numerator of s.
    #[inline(always)]
    pub(super) fn below(self) -> f64 {
        self.rest - 1.0
    }

    /// Denominator of s.
    #[inline(always)]
    pub(super) fn above(self) -> f64 {
        self.rest + 1.0
    }

    /// ln of the number, given its s = below / above.
    #[inline(always)]
    pub(super) fn ln(self, s: f64) -> f64 {
        let [c0, c1, c2, c3, c4, c5] = SERIES;
        let z = s * s;
        // Pairs first: a shorter chain of dependent steps than nesting.
        let w = z * z;
        let series = z * ((c0 + z * c1) + w * ((c2 + z * c3) + w * (c4 + z * c5)));
        let twice = s + s;
        self.exponent * LN_2_HIGH + (twice + (twice * series + self.exponent * LN_2_LOW))
    }
}

/// ln of a positive normal number within 6e-4: enough for a starting value, and without a division.
#[inline(always)]
pub(super) fn ln_coarse(value: f64) -> f64 {
    let parts = Parts::of(value);
    let [c0, c1, c2, c3] = COARSE;
    let t = parts.below();
    parts.exponent * core::f64::consts::LN_2 + ((c0 + t * c1) + (t * t) * (c2 + t * c3))
}

#[cfg(test)]
mod tests {
    use super::{Parts, ln_coarse};

    #[test]
    fn the_logarithm_agrees_with_the_library_over_the_range_the_friction_solve_uses() {
        let mut value = 1e-9;
        while value < 1.1e8 {
            let known = libm::log(value);
            let parts = Parts::of(value);
            let found = parts.ln(parts.below() / parts.above());
            // Fit 2.4e-16, and two roundings of a result that is itself up to 21 (1.1e-16 of it each).
            let allowed = 5e-16 + 2.3e-16 * known.abs();
            assert!((found - known).abs() <= allowed, "ln {value}");
            assert!((ln_coarse(value) - known).abs() <= 6e-4, "coarse ln {value}");
            value *= 1.000_37;
        }
    }
}
