//! Where the axes of the coordinates point on the machine.

use super::shape::DIRECTIONS;
use crate::document::Section;

/// Unit directions of the machine in the plan's coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axes {
    /// Towards the nose or bow.
    pub forward: [f64; 3],
    /// To the right, seen by the operator.
    pub right: [f64; 3],
    /// Up, with the machine level.
    pub up: [f64; 3],
}

impl Axes {
    /// Where x, y and z point, in words.
    pub fn words(&self) -> [&'static str; 3] {
        let rows = [self.forward, self.right, self.up];
        [0, 1, 2].map(|column| {
            let row = rows.iter().position(|r| r[column].abs() > 0.5).unwrap_or(0);
            DIRECTIONS[2 * row + usize::from(rows[row][column] < 0.0)]
        })
    }
}

/// Row of [`DIRECTIONS`] pairs and the sign of a word.
fn direction(word: &str) -> Option<(usize, f64)> {
    let index = DIRECTIONS.iter().position(|d| *d == word)?;
    Some((index / 2, if index % 2 == 0 { 1.0 } else { -1.0 }))
}

/// Reads `axes`; the three must be square to each other and right-handed.
pub fn read(section: &Section<'_>) -> Option<Axes> {
    let words: Vec<(&'static str, usize)> =
        DIRECTIONS.iter().enumerate().map(|(i, d)| (*d, i)).collect();
    let mut rows = [[0.0; 3]; 3];
    let mut seen = [false; 3];
    for (column, key) in ["x", "y", "z"].into_iter().enumerate() {
        let index = section.choice(key, &words)?.value;
        let (row, sign) = direction(DIRECTIONS[index])?;
        seen[row] = true;
        rows[row][column] = sign;
    }
    let [forward, right, up] = rows;
    let reader = section.reader();
    if seen.contains(&false) {
        reader.problem(
            &section.span,
            "the three axes must point in three different ways",
            "two on one line",
            vec!["for example axes = { x = \"aft\", y = \"right\", z = \"up\" }".into()],
        );
        return None;
    }
    // Forward, right and down turn like x, y and z of a right-handed set.
    if triple(forward, right, up) > 0.0 {
        reader.problem(
            &section.span,
            "these axes are left-handed: every bend would come out mirrored",
            "mirrored",
            vec!["for example axes = { x = \"aft\", y = \"right\", z = \"up\" }".into()],
        );
        return None;
    }
    Some(Axes { forward, right, up })
}

fn triple(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
}

#[cfg(test)]
mod tests {
    use super::triple;

    #[test]
    fn x_aft_y_right_z_up_is_right_handed() {
        let (forward, right, up) = ([-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]);
        assert!(triple(forward, right, up) < 0.0);
        let left_handed = triple([1.0, 0.0, 0.0], right, up);
        assert!(left_handed > 0.0);
    }
}
