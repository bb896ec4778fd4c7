//! The natural shape of a hose that hangs free between two clamped ends, in space.

mod band;
mod chain;
mod change;
mod clamped;
mod energy;
mod measure;
mod search;
mod series;
mod shooting;
mod start;
mod stretch;

use nalgebra::{Point3, Vector3};

use super::direction::unit;
use super::{GeometryError, above_zero, finite, within};
use clamped::Clamped;
use energy::Energy;
use measure::{Measured, Spot};
use shooting::{Joints, Settled};

/// More segments serve no drawing and no check.
const MOST_SEGMENTS: u32 = 100_000;
/// Shares of the length below this are rounding.
const ROUNDING: f64 = 1e-12;
/// Ends in one line turn less than this from the straight between them, radians.
const IN_LINE: f64 = 1e-6;
/// A heavier load number than this belongs to a chain, not to a hose.
const HEAVIEST: f64 = 1e5;

/// What bends the hose besides its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoseWeight {
    /// Weight of the hose with what is in it, per length, N/m.
    pub per_length_n_m: f64,
    /// Bending stiffness EI, N m2.
    pub stiffness_n_m2: f64,
    /// Direction away from the ground, of length 1.
    pub up: Vector3<f64>,
}

/// What the shape is made from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeHoseInput {
    /// Where the free hose begins.
    pub from: Point3<f64>,
    /// Direction of travel there, of length 1.
    pub leaves: Vector3<f64>,
    /// Where the free hose ends.
    pub to: Point3<f64>,
    /// Direction of travel there, of length 1.
    pub arrives: Vector3<f64>,
    /// Length of the free hose.
    pub length_mm: f64,
    /// Weight and stiffness; without them the shape is that of a weightless hose of any stiffness.
    pub weight: Option<HoseWeight>,
    /// Equal parts into which the answer is divided.
    pub segments: usize,
}

/// A natural shape.
///
/// Forces and moments are those with which the fitting holds the hose: in N and N m where a stiffness
/// is given, else in units of `EI / L^2` and `EI / L`.
#[derive(Debug, Clone, PartialEq)]
pub struct FreeHose {
    /// The centre line at even stations, both ends included.
    pub points: Vec<Point3<f64>>,
    /// Direction of travel at each point, of length 1.
    pub tangents: Vec<Vector3<f64>>,
    /// The smallest radius of the centre line; infinite where the hose is straight.
    pub tightest_radius_mm: f64,
    /// Where it is, along the hose; the first place of those that bend alike.
    pub tightest_station_mm: f64,
    /// How far the lowest point lies below the lower end; `None` without a direction up.
    pub sag_mm: Option<f64>,
    /// Greatest distance from the straight between the ends.
    pub bow_mm: f64,
    /// Length times the integral of the curvature squared.
    pub energy: f64,
    /// What the weight stores above `from`, in the same units: times `2 L / EI`.
    pub weight_energy: f64,
    /// Force at `to`.
    pub force: Vector3<f64>,
    /// Moment at `to`.
    pub moment: Vector3<f64>,
    /// Force at `from`.
    pub force_from: Vector3<f64>,
    /// Moment at `from`.
    pub moment_from: Vector3<f64>,
    /// Whether every small change of the shape costs energy. Unstable shapes are not found in nature.
    pub stable: bool,
    /// The ends are in one line and look along it, and the hose is longer than the straight between them.
    pub buckled: bool,
    /// Nothing decides how the shape is turned about the line of its ends, which stand within 1e-4 of
    /// one line and, with a load number below 4e-3, hardly feel their weight: one of many is given.
    pub turns_freely: bool,
    /// Furthest that the solved stretches of the hose are apart where they meet, over the length.
    pub residual: f64,
    /// Steps taken by the search that led here.
    pub steps: u32,
    /// Largest shift of a point if the last term of the series that make up the hose is left out,
    /// and what one more step would bring.
    pub error_estimate_mm: f64,
    /// Where its stretches begin, in its own units; none where it is straight.
    joints: Option<Joints>,
}

/// Why there is no shape.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FreeHoseError {
    /// A number or a direction was refused.
    #[error(transparent)]
    Geometry(#[from] GeometryError),
    /// The hose does not reach from end to end.
    #[error("a hose of {length_mm} mm does not reach over {distance_mm} mm")]
    TooShort {
        /// Length given.
        length_mm: f64,
        /// Distance of the ends.
        distance_mm: f64,
    },
    /// The hose is so close to the straight that it would be pulled, not bent.
    #[error(
        "a hose of {length_mm} mm over {distance_mm} mm is taut: its ends do not look along the straight \
         between them, and there is no length to bend with"
    )]
    TooTaut {
        /// Length given.
        length_mm: f64,
        /// Distance of the ends.
        distance_mm: f64,
    },
    /// The search did not come to rest.
    #[error("no natural shape was found for these ends and this length")]
    NotConverged,
}

/// # What it gives
///
/// The stable shape of least energy that a hose of a given length takes between two clamped ends.
///
/// # Formula
///
/// The curve of unit speed with the least `EI/2 integral kappa^2 ds + w integral z ds` among those with
/// the given ends. With tangent `t`, moment `m` and force `F` at `to`: `m' = t x (w (L - s) up - F)`,
/// `EI t' = m x t`. Chains of straight pieces are brought to rest from several beginnings; the lowest are
/// then made exact by multiple shooting with power series, until the last term left out moves no point
/// by more than 1e-10 of the length.
///
/// # Valid for
///
/// Hose that does not stretch, is straight when free, bends alike in every plane, is not twisted and
/// touches nothing. Length no less than the distance of the ends; load number `w L^3 / EI` up to 1e5;
/// `segments` from 1 to 100 000.
///
/// # Source
///
/// Euler's elastica and Kirchhoff's rod without twist: A. E. H. Love, A Treatise on the Mathematical
/// Theory of Elasticity, 4th ed., chapters XVIII and XIX (standing: from-memory). The number of negative
/// pivots as the test of stability: Sylvester's law of inertia, with the closing of the hose as a condition.
///
/// # Notes
///
/// - Without twist: fittings are tightened while the hose is held, so that its printed line runs
///   straight. Real hose is very stiff in twist; where the shape leaves the plane of its ends it may
///   not be reached exactly.
/// - Set from coiling, pressure and end fittings that give way are left out: the shape is a prediction.
/// - Longer hose is not always bent more gently: a U with spare length is tighter than its half spacing.
/// - Where a shape and its mirror image have the same energy one of them is given; where the ends are in
///   one line the plane of the bend is open ([`FreeHose::turns_freely`]).
/// - "Least" is among the shapes found from several beginnings. Shapes with loops that touch are possible.
/// - A straight hose carries any pull: its force is given as zero.
///
/// # Errors
///
/// [`FreeHoseError::TooShort`], [`FreeHoseError::TooTaut`], [`FreeHoseError::NotConverged`], and the
/// refusals of numbers that are not finite or out of range and of directions that are not of length 1.
///
/// # Example
///
/// ```
/// use hosewright::geometry::free_hose::{FreeHoseInput, free_hose};
/// use nalgebra::{Point3, Vector3};
///
/// // A U over 100 mm with the length of the half circle: the half circle is its natural shape.
/// let shape = free_hose(&FreeHoseInput {
///     from: Point3::origin(),
///     leaves: Vector3::x(),
///     to: Point3::new(0.0, 100.0, 0.0),
///     arrives: -Vector3::x(),
///     length_mm: 50.0 * std::f64::consts::PI,
///     weight: None,
///     segments: 100,
/// })?;
/// assert!((shape.tightest_radius_mm - 50.0).abs() < 1e-6 && shape.stable);
/// # Ok::<(), hosewright::geometry::free_hose::FreeHoseError>(())
/// ```
pub fn free_hose(input: &FreeHoseInput) -> Result<FreeHose, FreeHoseError> {
    let scale = Scale::new(input)?;
    if let Some(straight) = scale.straight(input)? {
        return Ok(straight);
    }
    let found = search::least(&scale.clamped).ok_or(FreeHoseError::NotConverged)?;
    Ok(scale.shape(input, &found))
}

/// # What it gives
///
/// The natural shape into which a known one passes when its ends, its length or its weight change a little.
///
/// # Formula
///
/// As [`free_hose`], made exact from the known shape instead of searched for. Where that leads nowhere, or to a shape
/// that is not stable, it is searched for.
///
/// # Valid for
///
/// As [`free_hose`].
///
/// # Source
///
/// As [`free_hose`].
///
/// # Notes
///
/// In half to two thirds of the time. It is what a hose does that is changed slowly; a search may find another shape of
/// still less energy, into which it does not pass by itself: of 16 000 random hoses made up to a tenth longer, nine.
///
/// # Errors
///
/// As [`free_hose`].
///
/// # Example
///
/// ```
/// use hosewright::geometry::free_hose::{FreeHoseInput, free_hose, free_hose_near};
/// use nalgebra::{Point3, Vector3};
///
/// let mut input = FreeHoseInput {
///     from: Point3::origin(),
///     leaves: Vector3::x(),
///     to: Point3::new(300.0, 100.0, 0.0),
///     arrives: Vector3::x(),
///     length_mm: 330.0,
///     weight: None,
///     segments: 20,
/// };
/// let known = free_hose(&input)?;
/// input.length_mm = 340.0;
/// let (longer, searched) = (free_hose_near(&known, &input)?, free_hose(&input)?);
/// assert!((longer.tightest_radius_mm - searched.tightest_radius_mm).abs() < 1e-6);
/// # Ok::<(), hosewright::geometry::free_hose::FreeHoseError>(())
/// ```
pub fn free_hose_near(known: &FreeHose, input: &FreeHoseInput) -> Result<FreeHose, FreeHoseError> {
    let scale = Scale::new(input)?;
    let joints = known.joints.as_ref().filter(|_| scale.clamped.bends());
    match joints.and_then(|joints| search::near(&scale.clamped, joints.clone())) {
        Some(found) => Ok(scale.shape(input, &found)),
        None => free_hose(input),
    }
}

/// # What it gives
///
/// The different shapes in equilibrium that were found, stable or not, least energy first.
///
/// # Formula
///
/// As [`free_hose`], from many more beginnings, each brought to rest and also made exact as it stands.
///
/// # Valid for
///
/// As [`free_hose`].
///
/// # Source
///
/// As [`free_hose`].
///
/// # Notes
///
/// Shapes are told apart by their energy (a millionth of it), so of a shape and its mirror image one is
/// listed. There is no end of unstable shapes; the list holds some of the lowest.
///
/// # Errors
///
/// As [`free_hose`].
///
/// # Example
///
/// ```
/// use hosewright::geometry::free_hose::{FreeHoseInput, free_hose_shapes};
/// use nalgebra::{Point3, Vector3};
///
/// // Ends in line with a tenth of spare length: an arch is stable, an S is not.
/// let shapes = free_hose_shapes(&FreeHoseInput {
///     from: Point3::origin(),
///     leaves: Vector3::x(),
///     to: Point3::new(300.0, 0.0, 0.0),
///     arrives: Vector3::x(),
///     length_mm: 330.0,
///     weight: None,
///     segments: 20,
/// })?;
/// assert!(shapes[0].stable && shapes[0].buckled);
/// assert!(shapes.iter().skip(1).any(|shape| !shape.stable));
/// # Ok::<(), hosewright::geometry::free_hose::FreeHoseError>(())
/// ```
pub fn free_hose_shapes(input: &FreeHoseInput) -> Result<Vec<FreeHose>, FreeHoseError> {
    let scale = Scale::new(input)?;
    if let Some(straight) = scale.straight(input)? {
        return Ok(vec![straight]);
    }
    let found = search::all(&scale.clamped);
    if found.is_empty() {
        return Err(FreeHoseError::NotConverged);
    }
    Ok(found.iter().map(|found| scale.shape(input, found)).collect())
}

/// The hose in its own units, and the way back to ours.
struct Scale {
    clamped: Clamped,
    segments: u32,
    up: Option<Vector3<f64>>,
    /// Of a force and of a moment.
    force: f64,
    moment: f64,
    distance_mm: f64,
}

impl Scale {
    fn new(input: &FreeHoseInput) -> Result<Self, FreeHoseError> {
        let length_mm = above_zero("length_mm", input.length_mm)?;
        let segments = u32::try_from(input.segments).unwrap_or(u32::MAX);
        within("segments", f64::from(segments), 1.0, f64::from(MOST_SEGMENTS))?;
        finite("from", input.from.coords.norm())?;
        finite("to", input.to.coords.norm())?;
        let leaves = unit("leaves", &input.leaves)?;
        let arrives = unit("arrives", &input.arrives)?;
        let distance_mm = finite("distance of the ends", (input.to - input.from).norm())?;
        if distance_mm > length_mm * (1.0 + ROUNDING) {
            return Err(FreeHoseError::TooShort { length_mm, distance_mm });
        }
        let chord = (input.to - input.from) / length_mm;
        let (mut weight, mut up, mut force, mut moment) = (Vector3::zeros(), None, 1.0, 1.0);
        if let Some(given) = &input.weight {
            let away = unit("up", &given.up)?;
            let stiffness = above_zero("stiffness_n_m2", given.stiffness_n_m2)?;
            let per_length = within("per_length_n_m", given.per_length_n_m, 0.0, f64::MAX)?;
            let length_m = length_mm * 1e-3;
            let load = per_length * length_m * length_m * length_m / stiffness;
            weight = away * within("load number w L^3 / EI", load, 0.0, HEAVIEST)?;
            up = Some(away);
            force = stiffness / (length_m * length_m);
            moment = stiffness / length_m;
        }
        let clamped = Clamped::new(leaves, arrives, chord, weight);
        Ok(Self { clamped, segments, up, force, moment, distance_mm })
    }

    /// The straight hose, where there is no length to spare.
    fn straight(&self, input: &FreeHoseInput) -> Result<Option<FreeHose>, FreeHoseError> {
        let Clamped { leaves, arrives, chord, weight, .. } = self.clamped;
        if self.clamped.bends() {
            return Ok(None);
        }
        let along = chord.normalize();
        let turned = (leaves - along).norm().max((arrives - along).norm());
        let pushed = along.cross(&weight).norm();
        if self.clamped.spare() > ROUNDING || turned > IN_LINE || pushed > IN_LINE {
            let (length_mm, distance_mm) = (input.length_mm, self.distance_mm);
            return Err(FreeHoseError::TooTaut { length_mm, distance_mm });
        }
        let share = |station: u32| f64::from(station) / f64::from(self.segments);
        let run = input.to - input.from;
        let points: Vec<Point3<f64>> =
            (0..=self.segments).map(|station| input.from + run * share(station)).collect();
        Ok(Some(FreeHose {
            tangents: vec![along; points.len()],
            points,
            tightest_radius_mm: f64::INFINITY,
            tightest_station_mm: 0.0,
            sag_mm: self.up.map(|_| 0.0),
            bow_mm: 0.0,
            energy: 0.0,
            weight_energy: weight.dot(&along),
            force: Vector3::zeros(),
            moment: Vector3::zeros(),
            force_from: weight * self.force,
            moment_from: Vector3::zeros(),
            stable: true,
            buckled: false,
            turns_freely: false,
            residual: 0.0,
            steps: 0,
            error_estimate_mm: 0.0,
            joints: None,
        }))
    }

    /// A settled shape in our units.
    fn shape(&self, input: &FreeHoseInput, (settled, energy): &(Settled, Energy)) -> FreeHose {
        let length_mm = input.length_mm;
        let Clamped { leaves, arrives, chord, weight, .. } = self.clamped;
        let measured = Measured::new(&self.clamped, settled);
        let spots: Vec<Spot> = measured.evenly(self.segments);
        let curvature = measured.curvature();
        let force = settled.joints.force;
        let moment = |spot: Option<&Spot>| {
            spot.map_or_else(Vector3::zeros, |spot| spot.tangent.cross(&spot.rate))
        };
        let turns_freely = self.clamped.axis.is_some();
        FreeHose {
            points: spots.iter().map(|spot| input.from + spot.point * length_mm).collect(),
            tangents: spots.iter().map(|spot| spot.tangent.normalize()).collect(),
            tightest_radius_mm: length_mm / curvature.value,
            tightest_station_mm: length_mm * curvature.place,
            sag_mm: self.up.map(|up| length_mm * measured.sag(&up)),
            bow_mm: length_mm * measured.bow(),
            energy: 2.0 * energy.bending,
            weight_energy: 2.0 * energy.weight,
            force: force * self.force,
            moment: moment(spots.last()) * self.moment,
            force_from: (weight - force) * self.force,
            moment_from: moment(spots.first()) * -self.moment,
            stable: settled.stable,
            buckled: turns_freely && leaves.dot(&chord) > 0.0 && arrives.dot(&chord) > 0.0,
            turns_freely,
            residual: settled.residual,
            steps: settled.steps,
            error_estimate_mm: length_mm * (settled.cut_off + settled.left),
            joints: Some(settled.joints.clone()),
        }
    }
}
