//! The direction in which a covariance is largest.

use nalgebra::{Matrix3, Vector3};

/// Rounds of turning; each roughly squares what is left beside the diagonal.
const ROUNDS: usize = 12;

/// The largest eigenvalue of a symmetric matrix and its direction, of length 1, with its largest
/// component positive; by Jacobi's rotations, which need no more than square roots.
pub fn largest(matrix: &Matrix3<f64>) -> (f64, Vector3<f64>) {
    let mut turned = *matrix;
    let mut axes = Matrix3::identity();
    for _ in 0..ROUNDS {
        for (p, q) in [(0, 1), (0, 2), (1, 2)] {
            let rotation = rotation(&turned, p, q);
            turned = rotation.transpose() * turned * rotation;
            axes *= rotation;
        }
    }
    let values = turned.diagonal();
    let place = values.imax();
    let direction: Vector3<f64> = axes.column(place).into();
    let sign = if direction[direction.iamax()] < 0.0 { -1.0 } else { 1.0 };
    (values[place], direction * sign)
}

/// The rotation that takes the element `p`, `q` away.
fn rotation(matrix: &Matrix3<f64>, p: usize, q: usize) -> Matrix3<f64> {
    let mut rotation = Matrix3::identity();
    let beside = matrix[(p, q)];
    if beside == 0.0 {
        return rotation;
    }
    let cotangent = (matrix[(q, q)] - matrix[(p, p)]) / (2.0 * beside);
    let sign = if cotangent < 0.0 { -1.0 } else { 1.0 };
    let tangent = sign / (cotangent.abs() + (1.0 + cotangent * cotangent).sqrt());
    let cosine = 1.0 / (1.0 + tangent * tangent).sqrt();
    rotation[(p, p)] = cosine;
    rotation[(q, q)] = cosine;
    rotation[(p, q)] = tangent * cosine;
    rotation[(q, p)] = -tangent * cosine;
    rotation
}
