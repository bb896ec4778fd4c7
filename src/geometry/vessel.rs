//! Volume of the liquid in a tank below its surface, at any tilt, and the level for a volume.
//!
//! A vessel has its own axes: x along its length from where its shell begins at the first end, y sideways from the
//! middle, z up from the lowest line of its shell. An upright cylinder begins at the wall its length is counted from,
//! so that its middle lies at half its diameter. Ends that are not flat stand out beyond the shell.

mod body;
mod ends;
pub mod poured;
pub mod profile;
mod quadrature;
mod section;
#[cfg(test)]
mod tests;

use nalgebra::{Point3, Vector3};

use super::direction::unit;
use super::{GeometryError, above_zero, finite, within};
use body::{Body, Form, Turned};
pub use ends::Ends;
use quadrature::Integral;
use section::Section;

/// An inner body may touch the wall; this much is rounding.
const TOUCH_MM: f64 = 1e-6;
/// Places looked at on the rim of an inner cylinder.
const RIM: u32 = 360;
/// Levels are settled to this share of the vessel's size.
const SETTLED: f64 = 1e-13;
/// Steps after which the search for a level is given up.
const MOST_STEPS: u32 = 200;

/// The form of a vessel, by its inside measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum VesselShape {
    /// A cylinder whose axis is its length.
    LyingCylinder {
        /// Inside diameter.
        diameter_mm: f64,
        /// Inside length of the shell, without ends that stand out.
        length_mm: f64,
        /// How it is closed.
        ends: Ends,
    },
    /// A cylinder whose axis is its height.
    UprightCylinder {
        /// Inside diameter.
        diameter_mm: f64,
        /// Inside height of the shell, without ends that stand out.
        height_mm: f64,
        /// How it is closed.
        ends: Ends,
    },
    /// A box.
    Box {
        /// Inside length.
        length_mm: f64,
        /// Inside width.
        width_mm: f64,
        /// Inside height.
        height_mm: f64,
    },
    /// Two half round sides with straights between them: lying where it is wider than high, else standing.
    Obround {
        /// Inside length, with flat ends.
        length_mm: f64,
        /// Inside width.
        width_mm: f64,
        /// Inside height.
        height_mm: f64,
    },
}

/// A body inside the vessel that takes volume, in the vessel's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InnerBody {
    /// A box along the vessel's axes.
    Box {
        /// Lowest coordinates.
        low_mm: Point3<f64>,
        /// Highest coordinates.
        high_mm: Point3<f64>,
    },
    /// A cylinder with flat ends.
    Cylinder {
        /// Middle of one end.
        from_mm: Point3<f64>,
        /// Middle of the other end.
        to_mm: Point3<f64>,
        /// Its radius.
        radius_mm: f64,
    },
}

/// A volume below a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// The volume.
    pub volume_mm3: f64,
    /// By how much the last round of the integration changed it, as a share of the full vessel; 0 in closed form.
    pub change: f64,
}

/// A vessel with what stands in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    outer: Body,
    inner: Option<(Body, InnerBody)>,
    low: Point3<f64>,
    high: Point3<f64>,
    full_mm3: f64,
}

impl Vessel {
    /// Takes a shape and a body inside it.
    ///
    /// # Errors
    /// [`GeometryError::NotAboveZero`], [`GeometryError::NotFinite`] and [`GeometryError::OutOfRange`] for measures
    /// that no vessel has; [`GeometryError::Outside`] where the inner body is not wholly inside.
    pub fn new(shape: &VesselShape, inner: Option<&InnerBody>) -> Result<Self, GeometryError> {
        let (outer, low, high) = outer_of(shape)?;
        let mut vessel = Self { outer, inner: None, low, high, full_mm3: 0.0 };
        if let Some(inner) = inner {
            let (body, rim) = inner_of(inner)?;
            if !rim.iter().all(|p| vessel.outer.holds(p, TOUCH_MM)) {
                return Err(GeometryError::Outside { what: "the inner body" });
            }
            vessel.inner = Some((body, *inner));
        }
        let above_all = vessel.spread_mm(&Vector3::z()).1;
        vessel.full_mm3 = vessel.raw(&Vector3::z(), above_all)?.value;
        above_zero("the volume of the vessel", vessel.full_mm3)?;
        Ok(vessel)
    }

    /// Volume when it is full to the top, less the inner body.
    pub fn full_mm3(&self) -> f64 {
        self.full_mm3
    }

    /// Lowest and highest corner of the box about it.
    pub fn corners_mm(&self) -> (Point3<f64>, Point3<f64>) {
        (self.low, self.high)
    }

    /// # What it gives
    ///
    /// The volume of all places p with `up · p` of at most `most_mm`, less what the inner body takes of it.
    ///
    /// # Formula
    ///
    /// The area of the cross-section below the plane, summed along the axis. Closed: straight shells, by
    /// `∫ A ds = s A + (2/3)(r² - s²)^(3/2)` over the distance s of the plane from the axis, and boxes, whose area is a
    /// parabola between two corners. Else the double-exponential rule between the places where the plane meets a rim.
    ///
    /// # Valid for
    ///
    /// Every direction `up` of length 1 and every finite level; liquid at rest, one surface.
    ///
    /// # Source
    ///
    /// Circular segment and its moment; derived here. Rule: Takahasi and Mori 1974, from memory.
    ///
    /// # Notes
    ///
    /// Two rounds of the rule agree to 1e-10. Air that cannot get out from a high corner is not seen.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotUnit`], [`GeometryError::NotFinite`]; [`GeometryError::NotSettled`] where the rounds do not
    /// agree.
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::vessel::{Ends, Vessel, VesselShape};
    /// use nalgebra::Vector3;
    ///
    /// let lying =
    ///     VesselShape::LyingCylinder { diameter_mm: 180.0, length_mm: 300.0, ends: Ends::Flat };
    /// let tank = Vessel::new(&lying, None)?;
    /// let half = tank.volume_below(&Vector3::z(), 90.0)?;
    /// assert!((half.volume_mm3 - 0.5 * tank.full_mm3()).abs() < 1e-6);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn volume_below(&self, up: &Vector3<f64>, most_mm: f64) -> Result<Filled, GeometryError> {
        let up = unit("up", up)?;
        let found = self.raw(&up, finite("the level", most_mm)?)?;
        let volume_mm3 = found.value.clamp(0.0, self.full_mm3);
        Ok(Filled { volume_mm3, change: found.change / self.full_mm3 })
    }

    fn raw(&self, up: &Vector3<f64>, most: f64) -> Result<Integral, GeometryError> {
        let outer = self.outer.below(up, most)?;
        let Some((inner, _)) = &self.inner else { return Ok(outer) };
        let inner = inner.below(up, most)?;
        let (value, change) = (outer.value - inner.value, outer.change + inner.change);
        Ok(Integral { value, change })
    }

    /// Levels below and above all of it.
    fn spread_mm(&self, up: &Vector3<f64>) -> (f64, f64) {
        let (mut least, mut most) = (0.0, 0.0);
        for axis in 0..3 {
            let (a, b) = (up[axis] * self.low[axis], up[axis] * self.high[axis]);
            least += a.min(b);
            most += a.max(b);
        }
        let room = 1e-9 * (self.high - self.low).norm();
        (least - room, most + room)
    }

    /// # What it gives
    ///
    /// The level `up · p` of the surface when this volume is in it: the other way round from
    /// [`Vessel::volume_below`].
    ///
    /// # Formula
    ///
    /// The volume never falls as the level rises; the level is enclosed by regula falsi with halved ends (Illinois),
    /// and by bisection where that is slow.
    ///
    /// # Valid for
    ///
    /// Volumes above 0 and below the full one.
    ///
    /// # Source
    ///
    /// Common practice.
    ///
    /// # Notes
    ///
    /// Settled to 1e-13 of the size of the vessel, or until the volume is met to 1e-13.
    ///
    /// # Errors
    ///
    /// [`GeometryError::OutOfRange`], [`GeometryError::NotUnit`], [`GeometryError::NotFinite`],
    /// [`GeometryError::NotSettled`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::vessel::{Vessel, VesselShape};
    /// use nalgebra::Vector3;
    ///
    /// let tank = Vessel::new(
    ///     &VesselShape::Box { length_mm: 200.0, width_mm: 100.0, height_mm: 150.0 },
    ///     None,
    /// )?;
    /// let level = tank.level_mm(&Vector3::z(), 1e6)?;
    /// assert!((level - 50.0).abs() < 1e-9);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn level_mm(&self, up: &Vector3<f64>, volume_mm3: f64) -> Result<f64, GeometryError> {
        let up = unit("up", up)?;
        let full = self.full_mm3;
        let tiny = 1e-12 * full;
        let wanted = within("the volume", volume_mm3, tiny, full - tiny)?;
        let (low, high) = self.spread_mm(&up);
        let over = |level: f64| Ok((self.raw(&up, level)?.value - wanted) / full);
        enclosed(over, (low, high), (-wanted / full, 1.0 - wanted / full))
    }

    /// Where a straight from `at` along `towards` runs inside the vessel, as distances from `at`; none where it misses.
    ///
    /// # Errors
    /// [`GeometryError::NotUnit`], [`GeometryError::NotFinite`].
    pub fn inside_along(
        &self,
        at: &Point3<f64>,
        towards: &Vector3<f64>,
    ) -> Result<Option<(f64, f64)>, GeometryError> {
        let towards = unit("towards", towards)?;
        let size = (self.high - self.low).norm();
        // Every vessel is convex: some place half way through it lies inside if any does.
        let middle = (nalgebra::center(&self.low, &self.high) - at).dot(&towards);
        let holds = |t: f64| self.outer.holds(&(at + towards * t), 0.0);
        let steps = 2000_i32;
        let places = (-steps..=steps).map(|i| middle + size * f64::from(i) / f64::from(steps));
        let Some(inside) = places.into_iter().find(|t| holds(*t)) else { return Ok(None) };
        let edge = |outside: f64| {
            let (mut within, mut beyond) = (inside, outside);
            for _ in 0..100 {
                let half = 0.5 * (within + beyond);
                if holds(half) { within = half } else { beyond = half }
            }
            within
        };
        Ok(Some((edge(middle - 2.0 * size), edge(middle + 2.0 * size))))
    }

    /// Lowest and highest level of the inner body: between them the marks stand closer.
    pub fn inner_levels_mm(&self, up: &Vector3<f64>) -> Option<(f64, f64)> {
        let (_, inner) = self.inner.as_ref()?;
        Some(match inner {
            InnerBody::Box { low_mm, high_mm } => (0..3).fold((0.0, 0.0), |(least, most), i| {
                let (a, b) = (up[i] * low_mm[i], up[i] * high_mm[i]);
                (least + a.min(b), most + a.max(b))
            }),
            InnerBody::Cylinder { from_mm, to_mm, radius_mm } => {
                let axis = (to_mm - from_mm).normalize();
                let reach = radius_mm * axis.cross(up).norm();
                let (a, b) = (up.dot(&from_mm.coords), up.dot(&to_mm.coords));
                (a.min(b) - reach, a.max(b) + reach)
            }
        })
    }
}

fn outer_of(shape: &VesselShape) -> Result<(Body, Point3<f64>, Point3<f64>), GeometryError> {
    let level = [Vector3::x(), Vector3::y(), Vector3::z()];
    let measure = |what, value| above_zero(what, value);
    let corner = |x: f64, y: f64, z: f64| Point3::new(x, y, z);
    let prism = |section: fn(f64, f64) -> Section, [length, width, height]: [f64; 3]| {
        let length = measure("the length", length)?;
        let (width, height) = (measure("the width", width)?, measure("the height", height)?);
        let form = Form::Prism(section(width, height), length);
        let body = Body { form, origin: corner(0.0, 0.0, 0.5 * height), axes: level };
        Ok((body, corner(0.0, -0.5 * width, 0.0), corner(length, 0.5 * width, height)))
    };
    match *shape {
        VesselShape::LyingCylinder { diameter_mm, length_mm, ends } => {
            let radius = 0.5 * measure("the diameter", diameter_mm)?;
            let length = measure("the length", length_mm)?;
            let pieces = ends.about(radius, length)?;
            let out = beyond(&pieces);
            let origin = corner(0.0, 0.0, radius);
            let body = Body { form: Form::Turned(pieces), origin, axes: level };
            let high = corner(length + out, radius, 2.0 * radius);
            Ok((body, corner(-out, -radius, 0.0), high))
        }
        VesselShape::UprightCylinder { diameter_mm, height_mm, ends } => {
            let radius = 0.5 * measure("the diameter", diameter_mm)?;
            let height = measure("the height", height_mm)?;
            let pieces = ends.about(radius, height)?;
            let out = beyond(&pieces);
            let axes = [Vector3::z(), Vector3::x(), Vector3::y()];
            let body = Body { form: Form::Turned(pieces), origin: corner(radius, 0.0, 0.0), axes };
            let high = corner(2.0 * radius, radius, height + out);
            Ok((body, corner(0.0, -radius, -out), high))
        }
        VesselShape::Box { length_mm, width_mm, height_mm } => {
            prism(Section::Rectangle, [length_mm, width_mm, height_mm])
        }
        VesselShape::Obround { length_mm, width_mm, height_mm } => {
            prism(Section::Obround, [length_mm, width_mm, height_mm])
        }
    }
}

/// How far the ends stand out.
fn beyond(pieces: &[Turned]) -> f64 {
    pieces.first().map_or(0.0, |p| -p.from)
}

/// The body, and points between which it lies wholly.
fn inner_of(inner: &InnerBody) -> Result<(Body, Vec<Point3<f64>>), GeometryError> {
    match inner {
        InnerBody::Box { low_mm, high_mm } => {
            let size = high_mm - low_mm;
            let [x, y, z] = [size.x, size.y, size.z];
            for side in [x, y, z] {
                above_zero("a side of the inner body", side)?;
            }
            let middle = nalgebra::center(low_mm, high_mm);
            let form = Form::Prism(Section::Rectangle(y, z), x);
            let origin = Point3::new(low_mm.x, middle.y, middle.z);
            let axes = [Vector3::x(), Vector3::y(), Vector3::z()];
            let pick = |low: bool, axis: usize| if low { low_mm[axis] } else { high_mm[axis] };
            let corners = (0..8).map(|i| {
                Point3::new(pick(i & 1 == 0, 0), pick(i & 2 == 0, 1), pick(i & 4 == 0, 2))
            });
            Ok((Body { form, origin, axes }, corners.collect()))
        }
        InnerBody::Cylinder { from_mm, to_mm, radius_mm } => {
            let radius = above_zero("the radius of the inner body", *radius_mm)?;
            let along = to_mm - from_mm;
            let length = above_zero("the length of the inner body", along.norm())?;
            let axis = along / length;
            // The axis that the body lies least along gives the sideways direction.
            let least = axis.iamin();
            let across = axis.cross(&Vector3::ith_axis(least)).normalize();
            let axes = [axis, across, axis.cross(&across)];
            let form = Form::Turned(vec![Turned::straight(0.0, length, radius)]);
            let rim = (0..RIM).flat_map(|i| {
                let turn = std::f64::consts::TAU * f64::from(i) / f64::from(RIM);
                let out = axes[1] * libm::cos(turn) + axes[2] * libm::sin(turn);
                [from_mm + out * radius, to_mm + out * radius]
            });
            let rim = rim.collect();
            Ok((Body { form, origin: *from_mm, axes }, rim))
        }
    }
}

/// The place where a function that never falls passes zero; its values at both ends are known.
fn enclosed(
    function: impl Fn(f64) -> Result<f64, GeometryError>,
    (mut low, mut high): (f64, f64),
    (mut below, mut above): (f64, f64),
) -> Result<f64, GeometryError> {
    let size = high - low;
    let mut side = 0_i8;
    for step in 0..MOST_STEPS {
        if high - low <= SETTLED * size {
            return Ok(0.5 * (low + high));
        }
        let share = if step % 4 == 3 { 0.5 } else { below / (below - above) };
        let at = low + (high - low) * share.clamp(1e-6, 1.0 - 1e-6);
        let found = function(at)?;
        if found.abs() <= SETTLED {
            return Ok(at);
        }
        // An end that stays twice counts half, or the other end would creep.
        if found < 0.0 {
            (low, below) = (at, found);
            above *= if side < 0 { 0.5 } else { 1.0 };
            side = -1;
        } else {
            (high, above) = (at, found);
            below *= if side > 0 { 0.5 } else { 1.0 };
            side = 1;
        }
    }
    Err(GeometryError::NotSettled { what: "the level of a vessel" })
}
