//! Numbers and directions that the tests beside the code draw, the same in every run.

use nalgebra::Vector3;

/// The number of a drawn set on one of its axes, between two bounds: powers of the root of x^8 = x + 1 fill a cube of
/// seven axes evenly.
pub(crate) fn drawn(index: u32, axis: u32, (least, most): (f64, f64)) -> f64 {
    let step = (0..=axis).fold(1.0, |step, _| step / 1.096_981_557_798_559_8);
    least + (most - least) * (0.5 + f64::from(index) * step).fract()
}

/// A direction from two axes of a drawn set.
pub(crate) fn direction(index: u32, axis: u32) -> Vector3<f64> {
    let up = drawn(index, axis, (-1.0, 1.0));
    let (sin, cos) = libm::sincos(drawn(index, axis + 1, (0.0, std::f64::consts::TAU)));
    let flat = (1.0 - up * up).sqrt();
    Vector3::new(flat * cos, flat * sin, up)
}
