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

#[cfg(test)]
mod tests {
    use super::{quadratic, root};
    use crate::geometry::tests::drawn;

    /// The least of a function over `-half ..= half`.
    fn scanned(half: f64, value: impl Fn(f64) -> f64) -> f64 {
        (-2000..=2000).map(|at| value(half * f64::from(at) / 2000.0)).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn a_parabola_is_least_at_its_vertex_or_at_an_end() {
        for index in 1..500 {
            let number = |axis| drawn(index, axis, (-3.0, 3.0));
            let (first, second, half) = (number(0), number(1), number(2).abs());
            let value = |v: f64| v * (first + 0.5 * second * v);
            let floor = quadratic(first, second, half);
            let least = scanned(half, value);
            assert!(floor.at.abs() <= half && (floor.value - value(floor.at)).abs() < 1e-12);
            // The scan meets a vertex to the square of its step.
            assert!(floor.value <= least + 1e-12 && floor.value >= least - 1e-5, "{index}");
        }
    }

    #[test]
    fn a_hyperbola_less_a_slope_is_met_and_anything_else_stays_above() {
        let (mut exact, mut loose) = (0, 0);
        for index in 1..2000 {
            let number = |axis| drawn(index, axis, (-2.0, 2.0));
            let (first, second, slope) = (number(0), number(1) * 2.0, 0.6 * number(2));
            let (start, half) = (2.5 + number(3), 1.0 + 0.4 * number(4));
            let under = |v: f64| start + first * v + 0.5 * second * v * v;
            let value = |v: f64| under(v).max(0.0).sqrt() - slope * v;
            let floor = root(start, first, second, slope, half);
            let least = scanned(half, value);
            assert!(floor.value <= least + 1e-9, "{index}: {} {least}", floor.value);
            let hyperbola = second > 0.0 && start - 0.5 * first * first / second >= 0.0;
            if hyperbola && slope * slope < 0.5 * second {
                assert!(floor.value >= least - 1e-4, "{index}: {} {least}", floor.value);
                assert!((value(floor.at) - floor.value).abs() < 1e-9, "{index}");
                exact += 1;
            } else {
                // The least root and the farthest slope, each by itself.
                let parts = scanned(half, |v| under(v).max(0.0).sqrt()) - slope.abs() * half;
                assert!(floor.value >= parts - 1e-2, "{index}: {} {parts}", floor.value);
                loose += 1;
            }
        }
        assert!(exact > 200 && loose > 200, "{exact} {loose}");
    }
}
