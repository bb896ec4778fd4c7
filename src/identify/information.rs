//! How much one more reading would tell.

use super::IdentifyError;

/// What shares may miss of their sum.
const SUM: f64 = 1e-6;

/// # What it gives
///
/// By how many bits a reading is expected to lower the doubt about what something is.
///
/// # Formula
///
/// `sum_h p_h sum_o q_ho log2(q_ho / sum_k p_k q_ko)`: the mutual information of what it may be, with
/// chances `p`, and the outcome of the reading, with chances `q` for each of them.
///
/// # Valid for
///
/// Chances that sum to one; one row of outcomes for each of `may_be`.
///
/// # Source
///
/// Shannon, A mathematical theory of communication, 1948, rate of transmission (from memory).
///
/// # Notes
///
/// Where many pipes are shared out at once, a reading on one pipe tells about the whole what it
/// tells about that pipe: given where the pipe goes, nothing else bears on the reading.
///
/// # Errors
///
/// [`IdentifyError::NotShares`], [`IdentifyError::NotATable`].
///
/// # Example
///
/// ```
/// use hosewright::identify::information::expected_bits;
///
/// // Two things alike likely, and a reading that tells them apart for certain.
/// let bits = expected_bits(&[0.5, 0.5], &[vec![1.0, 0.0], vec![0.0, 1.0]])?;
/// assert!((bits - 1.0).abs() < 1e-12);
/// # Ok::<(), hosewright::identify::IdentifyError>(())
/// ```
pub fn expected_bits(may_be: &[f64], outcomes: &[Vec<f64>]) -> Result<f64, IdentifyError> {
    let wanted = outcomes.first().map_or(0, Vec::len);
    if outcomes.len() != may_be.len() {
        return Err(IdentifyError::NotATable { row: 0, has: outcomes.len(), wanted: may_be.len() });
    }
    shares(may_be)?;
    for (row, chances) in outcomes.iter().enumerate() {
        if chances.len() != wanted {
            return Err(IdentifyError::NotATable { row, has: chances.len(), wanted });
        }
        shares(chances)?;
    }
    let mean = |o: usize| may_be.iter().zip(outcomes).map(|(p, q)| p * q[o]).sum::<f64>();
    let means: Vec<f64> = (0..wanted).map(mean).collect();
    let told = |(p, row): (&f64, &Vec<f64>)| {
        let part = |(q, m): (&f64, &f64)| if *q > 0.0 { q * libm::log2(q / m) } else { 0.0 };
        if *p > 0.0 { p * row.iter().zip(&means).map(part).sum::<f64>() } else { 0.0 }
    };
    // Rounding may leave less than nothing.
    Ok(may_be.iter().zip(outcomes).map(told).sum::<f64>().max(0.0))
}

fn shares(chances: &[f64]) -> Result<(), IdentifyError> {
    let sum: f64 = chances.iter().sum();
    let negative = chances.iter().any(|c| *c < 0.0);
    if (sum - 1.0).abs() < SUM && !negative {
        Ok(())
    } else {
        Err(IdentifyError::NotShares { sum })
    }
}
