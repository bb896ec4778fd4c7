//! Shifts drawn at random from a fixed beginning, the same on every machine.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// State and stream that the generator begins with: any numbers do as long as they never change. These are
/// the first digits of the fractions of the square roots of 2 and 3, in hexadecimal.
const BEGIN: (u128, u128) = (0x6a09_e667_f3bc_c908_b2fb_1366_ea95_7d3e, 0xbb67_ae85_84ca_a73b);
/// The width of one step of a shift: 2 to the power of -52.
const STEP: f64 = 1.0 / 4_503_599_627_370_496.0;

/// A row of random shifts that is the same every time.
///
/// # What it gives
/// Shifts from -1 up to, and not including, 1, every one as likely as any other and independent of the others.
///
/// # Formula
/// n / 2⁵² - 1, with n the upper 53 bits of each word of the generator.
///
/// # Valid for
/// Any number of shifts that can be drawn in a lifetime.
///
/// # Source
/// Rectangular distribution: JCGM 100:2008, 4.3.7. Generator: PCG-XSL-RR 128/64, M. E. O'Neill, HMC-CS-2014-0905
/// (2014), as the crate `rand_pcg` has it. Standing of both: from-memory.
///
/// # Notes
/// One row serves all samples, in their order, so that no two samples share a part of it.
///
/// ```
/// use hosewright::uncertainty::draw::Draws;
/// let (mut one, mut two) = (Draws::default(), Draws::default());
/// assert_eq!(one.shifts(3), two.shifts(3));
/// assert!(one.shifts(1000).iter().all(|s| (-1.0..1.0).contains(s)));
/// ```
///
/// # Errors
/// None.
#[derive(Clone, Debug)]
pub struct Draws {
    generator: Pcg64,
}

impl Default for Draws {
    fn default() -> Self {
        Self { generator: Pcg64::new(BEGIN.0, BEGIN.1) }
    }
}

impl Draws {
    /// The next shifts of the row.
    pub fn shifts(&mut self, count: usize) -> Vec<f64> {
        (0..count).map(|_| self.shift()).collect()
    }

    fn shift(&mut self) -> f64 {
        let bits = self.generator.next_u64() >> 11;
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let count = bits as f64;
        count * STEP - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::Draws;

    #[test]
    fn the_row_has_the_mean_and_the_variance_of_the_distribution() {
        let shifts = Draws::default().shifts(100_000);
        let mean = shifts.iter().sum::<f64>() / 1e5;
        let variance = shifts.iter().map(|s| s * s).sum::<f64>() / 1e5;
        // Five standard errors: 1/sqrt(3 n), and sqrt(4/45 / n) of the squares.
        assert!(mean.abs() < 0.0092, "{mean}");
        assert!((variance - 1.0 / 3.0).abs() < 0.0048, "{variance}");
        let pairs = shifts.windows(2).map(|p| p[0] * p[1]).sum::<f64>() / 1e5;
        assert!(pairs.abs() < 0.0053, "neighbours follow each other: {pairs}");
    }
}
