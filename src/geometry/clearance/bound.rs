//! Least values of simple functions over a stretch `-half ..= half`: what a search may rely on.

/// A value that a function does not fall below, and the place where it may come near it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Floor {
    pub value: f64,
    pub at: f64,
}

/// The least of `first v + second v^2 / 2`.
pub(super) fn quadratic(first: f64, second: f64, half: f64) -> Floor {
    let at = if second > 0.0 && first.abs() <= second * half {
        -first / second
    } else {
        -half.copysign(first)
    };
    Floor { value: at * (first + 0.5 * second * at), at }
}

/// A floor of `sqrt(start + first v + second v^2 / 2) - slope v`, exact where the root is a hyperbola.
pub(super) fn root(start: f64, first: f64, second: f64, slope: f64, half: f64) -> Floor {
    let steepness = 0.5 * second;
    if second > 0.0 && slope * slope < steepness {
        let vertex = -first / second;
        let least = start - 0.5 * first * first / second;
        if least >= 0.0 {
            let off = slope * (least / (steepness * (steepness - slope * slope))).sqrt();
            let at = (vertex + off).clamp(-half, half);
            let from = at - vertex;
            let value = (least + steepness * from * from).sqrt() - slope * at;
            return Floor { value, at };
        }
    }
    let square = quadratic(first, second, half);
    let value = (start + square.value).max(0.0).sqrt() - slope.abs() * half;
    Floor { value, at: square.at }
}
