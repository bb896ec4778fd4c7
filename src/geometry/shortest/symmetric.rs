//! Few symmetric equations and the sums they are made of.

/// A share of the trace that keeps directions which no piece can move, such as across a plane.
const RIDGE: f64 = 1e-13;

pub(super) fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

pub(super) fn largest(numbers: &[f64; 5]) -> f64 {
    numbers.iter().fold(0.0_f64, |most, number| most.max(number.abs()))
}

/// The solution of symmetric equations by elimination; `None` where they are not positive definite.
pub(super) fn solved(mut square: [[f64; 5]; 5], mut given: [f64; 5]) -> Option<[f64; 5]> {
    let ridge = RIDGE * (0..5).map(|at| square[at][at]).sum::<f64>();
    for at in 0..5 {
        let pivot = square[at][at] + ridge;
        if pivot.is_nan() || pivot <= 0.0 {
            return None;
        }
        let inverse = 1.0 / pivot;
        let above = square[at];
        for row in at + 1..5 {
            let share = above[row] * inverse;
            for (place, above) in square[row][row..].iter_mut().zip(&above[row..]) {
                *place -= share * above;
            }
            given[row] -= share * given[at];
        }
        square[at][at] = inverse;
    }
    for at in (0..5).rev() {
        let later: f64 =
            square[at][at + 1..].iter().zip(&given[at + 1..]).map(|(a, g)| a * g).sum();
        given[at] = (given[at] - later) * square[at][at];
    }
    Some(given)
}
