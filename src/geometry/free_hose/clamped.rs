//! The hose in units of its own length and stiffness: what stands before the equations are solved.

use nalgebra::{Matrix2x3, Vector2, Vector3};

/// What stands off one line by less than this stands on it: what turns the hose is lost in its stiffness.
const ONE_LINE: f64 = 1e-4;
/// What stands off one line by less than this hardly decides how the hose is turned about it.
const NEAR_LINE: f64 = 0.05;
/// A tangent off its line by less than this, radians, does not move when the hose turns about it.
const STANDS: f64 = 1e-6;
/// Load that turns a hose about the line of its ends like an end tilted by one radian: `4 pi^2`.
const LOAD_PER_TILT: f64 = 39.5;
/// What stands out of a plane by less than this lies in it.
const IN_PLANE: f64 = 1e-9;

/// Length to spare, as a share, below which the bend is lost in rounding.
const LEAST_SPARE: f64 = 1e-8;
/// Beyond so much length to spare a hose lies in coils.
const LOOSE: f64 = 0.4;
/// Bends shorter than this share of the length are kinks at the ends of a straight.
const SHORTEST_BEND: f64 = 2e-3;

/// A hose clamped at both ends; length and bending stiffness are 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clamped {
    /// Direction in which it leaves its first end.
    pub(super) leaves: Vector3<f64>,
    /// Direction in which it arrives at its second end.
    pub(super) arrives: Vector3<f64>,
    /// From the first end to the second, over the length.
    pub(super) chord: Vector3<f64>,
    /// Upward direction times the load number `w L^3 / EI`; zero without weight.
    pub(super) weight: Vector3<f64>,
    /// The line on which everything given stands, where there is one: the hose may turn about it.
    pub(super) axis: Option<Vector3<f64>>,
    /// The line about which the hose turns easily, because everything stands near it.
    pub(super) hinge: Option<Vector3<f64>>,
}

impl Clamped {
    pub(super) fn new(
        leaves: Vector3<f64>,
        arrives: Vector3<f64>,
        chord: Vector3<f64>,
        weight: Vector3<f64>,
    ) -> Self {
        let mut clamped = Self { leaves, arrives, chord, weight, axis: None, hinge: None };
        let off = clamped.off_line();
        let line = clamped.line();
        clamped.hinge = (off < NEAR_LINE).then_some(line);
        clamped.axis = (off < ONE_LINE).then_some(line);
        clamped
    }

    /// The direction along which the hose runs on the whole.
    pub(super) fn line(&self) -> Vector3<f64> {
        let along = self.chord * 2.0 + self.leaves + self.arrives;
        let size = along.norm();
        if size > 0.3 { along / size } else { self.leaves }
    }

    /// Whether every way to bulge is like every other.
    pub(super) fn round(&self) -> bool {
        self.axis.is_some() && self.weight == Vector3::zeros()
    }

    /// Direction square to the plane in which everything given lies, where there is just one.
    pub(super) fn plane(&self) -> Option<Vector3<f64>> {
        let given = [self.leaves, self.arrives, self.chord, self.weight];
        let pairs = (0..given.len()).flat_map(|b| (0..b).map(move |a| (a, b)));
        let squares = pairs.map(|(a, b)| given[a].cross(&given[b]));
        let longest = squares.max_by(|a, b| a.norm_squared().total_cmp(&b.norm_squared()))?;
        let square = longest.try_normalize(ONE_LINE)?;
        let off = |v: &Vector3<f64>| v.dot(&square).abs() > IN_PLANE * (1.0 + v.norm());
        (!given.iter().any(off)).then_some(square)
    }

    /// How far everything given is from standing on one line.
    fn off_line(&self) -> f64 {
        let line = self.line();
        let aside = |v: &Vector3<f64>| v.cross(&line).norm();
        let ends = aside(&self.leaves).max(aside(&self.arrives)).max(aside(&self.chord));
        ends.max(aside(&self.weight) / LOAD_PER_TILT)
    }

    /// Where the ends and the weight would have the hose bulge; of no certain length.
    pub(super) fn bulge(&self) -> Vector3<f64> {
        (self.leaves - self.arrives) - self.weight / LOAD_PER_TILT
    }

    /// What pulls at the tangent at a place from 0 to 1, for a force at the second end.
    pub(super) fn pull(&self, place: f64, force: &Vector3<f64>) -> Vector3<f64> {
        self.weight * (1.0 - place) - force
    }

    /// Share of the length over which the bends at the ends die away, where the hose is taut or heavy.
    pub(super) fn bend_share(&self) -> f64 {
        let chord = self.chord.norm();
        let mut share = (2.0 / self.weight.norm().max(1e-3)).sqrt();
        if chord > 0.0 {
            // sin^2(angle / 4) of the angle between an end and the chord.
            let quarter = |end: &Vector3<f64>| {
                let half = (0.5 * (1.0 + end.dot(&self.chord) / chord)).max(0.0).sqrt();
                0.5 * (1.0 - half)
            };
            let turns = quarter(&self.leaves) + quarter(&self.arrives);
            share = share.min(self.spare() / (4.0 * turns).max(1e-9));
        }
        share
    }

    /// Whether there is length enough to bend with: else the hose is straight, or taut.
    pub(super) fn bends(&self) -> bool {
        self.spare() > LEAST_SPARE && self.bend_share() > SHORTEST_BEND
    }

    /// Whether there is so much length to spare that shapes of several kinds come close to each other.
    pub(super) fn loose(&self) -> bool {
        self.spare() > LOOSE
    }

    /// Length to spare over the distance of the ends, as a share of the length.
    pub(super) fn spare(&self) -> f64 {
        1.0 - self.chord.norm()
    }
}

/// Two directions square to a tangent and to each other.
#[derive(Debug, Clone, Copy)]
pub(super) struct Square {
    pub(super) first: Vector3<f64>,
    pub(super) second: Vector3<f64>,
}

impl Square {
    pub(super) fn to(tangent: &Vector3<f64>) -> Self {
        let first = crate::geometry::direction::any_square(tangent);
        Self { first, second: tangent.cross(&first) }
    }

    /// Components of a vector.
    pub(super) fn parts(&self, vector: &Vector3<f64>) -> Vector2<f64> {
        Vector2::new(self.first.dot(vector), self.second.dot(vector))
    }

    /// Both directions as rows.
    pub(super) fn rows(&self) -> Matrix2x3<f64> {
        Matrix2x3::from_rows(&[self.first.transpose(), self.second.transpose()])
    }

    /// The vector with given components.
    pub(super) fn vector(&self, parts: &Vector2<f64>) -> Vector3<f64> {
        self.first * parts[0] + self.second * parts[1]
    }
}

/// Where a turn about an axis is held: the joint it moves most, and how it moves it.
///
/// `None` where nothing turns: the hose lies on the axis.
pub(super) fn turning(
    axis: Vector3<f64>,
    tangents: &[Vector3<f64>],
    squares: &[Square],
) -> Option<(usize, Vector2<f64>)> {
    let inner = 1..tangents.len() - 1;
    let turn = |&joint: &usize| axis.cross(&tangents[joint]);
    let most = inner.max_by(|a, b| turn(a).norm().total_cmp(&turn(b).norm()))?;
    let parts = squares[most].parts(&turn(&most));
    (parts.norm() > STANDS).then_some((most, parts))
}
