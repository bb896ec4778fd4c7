//! Where the hose axis lies at an end fitting, straight or elbow.

use nalgebra::{Point3, Vector3};

use super::direction::{any_square, square_part, unit};
use super::{GeometryError, finite, within};

/// Angles below this are straight ends.
const STRAIGHT_RAD: f64 = 1e-9;
/// Sharpest elbow the model takes; beyond it the corner runs away from the port.
const SHARPEST_RAD: f64 = 5.0 * std::f64::consts::PI / 6.0;

/// One end of a line as it sits on its port.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RouteEnd {
    /// The sealing seat of the port.
    pub seat: Point3<f64>,
    /// Direction of length 1 pointing out of the port.
    pub faces: Vector3<f64>,
    /// Angle the fitting turns through: 0 for a straight end.
    pub angle_rad: f64,
    /// Distance of the seat from the hose axis, square to that axis; 0 for a straight end.
    pub drop_mm: f64,
    /// Distance, parallel to the hose, from the measuring point to the cut end of the hose; below zero
    /// for a hose pushed over a spigot.
    pub cut_off_mm: f64,
    /// Wished direction of the hose side of an elbow.
    pub aim: Option<Vector3<f64>>,
}

/// Where the hose axis begins at an end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndPlacement {
    /// Where the axis of the port meets the axis of the hose; the seat of a straight end.
    pub corner: Point3<f64>,
    /// Where lengths count from: the foot of the seat on the hose axis; the seat of a straight end.
    pub measuring: Point3<f64>,
    /// Direction of length 1 in which the hose leaves the fitting.
    pub hose_dir: Vector3<f64>,
    /// True where nothing decided which way an elbow points, so a fixed choice was made.
    pub direction_open: bool,
}

impl RouteEnd {
    /// Length of the fitting on the hose axis, which cannot bend.
    #[must_use]
    pub fn stiff_mm(&self) -> f64 {
        self.cut_off_mm.max(0.0)
    }

    /// Where the axis of the port meets the axis of the hose, whichever way an elbow points.
    ///
    /// # Errors
    ///
    /// [`GeometryError::NotFinite`], [`GeometryError::NotUnit`] for `faces`,
    /// [`GeometryError::OutOfRange`] for an angle outside 0 to 150 degrees or a drop below zero.
    pub fn corner(&self) -> Result<Point3<f64>, GeometryError> {
        finite("seat", self.seat.coords.norm())?;
        finite("cut_off_mm", self.cut_off_mm)?;
        within("angle_rad of an end", self.angle_rad, 0.0, SHARPEST_RAD)?;
        within("drop_mm of an end", self.drop_mm, 0.0, f64::MAX)?;
        let faces = unit("faces of an end", &self.faces)?;
        Ok(self.seat + faces * self.reach_mm())
    }

    /// Distance from the seat to the corner.
    fn reach_mm(&self) -> f64 {
        if self.angle_rad < STRAIGHT_RAD { 0.0 } else { self.drop_mm / libm::sin(self.angle_rad) }
    }

    /// # What it gives
    ///
    /// The measuring point and the direction of the hose for an end that looks towards `target`.
    ///
    /// # Formula
    ///
    /// `reach = drop / sin(angle)`, `corner = seat + reach faces`,
    /// `hose_dir = cos(angle) faces + sin(angle) across`, where `across` is the part of the aim (or of
    /// `target - corner`) square to `faces`, and `measuring = corner - reach cos(angle) hose_dir`.
    ///
    /// # Valid for
    ///
    /// Angles from 0 to 150 degrees, drops in millimetres from 0.
    ///
    /// # Source
    ///
    /// Length of an elbow end counted parallel to the hose to the centre line of the outlet:
    /// MIL-DTL-83796/5, figure 2 (read). The coordinates are derived here.
    ///
    /// # Notes
    ///
    /// An elbow can be turned freely before it is tightened, so the direction across is a choice.
    ///
    /// # Errors
    ///
    /// As [`RouteEnd::corner`].
    ///
    /// # Example
    ///
    /// ```
    /// use hosewright::geometry::RouteEnd;
    /// use nalgebra::{Point3, Vector3};
    ///
    /// let elbow = RouteEnd {
    ///     seat: Point3::origin(),
    ///     faces: Vector3::z(),
    ///     angle_rad: std::f64::consts::FRAC_PI_2,
    ///     drop_mm: 25.0,
    ///     cut_off_mm: 30.0,
    ///     aim: None,
    /// };
    /// let placed = elbow.placed(&Point3::new(400.0, 0.0, 10.0))?;
    /// assert!((placed.measuring - Point3::new(0.0, 0.0, 25.0)).norm() < 1e-12);
    /// assert!((placed.hose_dir - Vector3::x()).norm() < 1e-12);
    /// # Ok::<(), hosewright::geometry::GeometryError>(())
    /// ```
    pub fn placed(&self, target: &Point3<f64>) -> Result<EndPlacement, GeometryError> {
        let corner = self.corner()?;
        let faces = unit("faces of an end", &self.faces)?;
        if self.angle_rad < STRAIGHT_RAD {
            return Ok(EndPlacement {
                corner,
                measuring: self.seat,
                hose_dir: faces,
                direction_open: false,
            });
        }
        let wish = self.aim.unwrap_or(target - corner);
        finite("aim of an end", wish.norm())?;
        let across = square_part(&wish, &faces);
        let (sin, cos) = (libm::sin(self.angle_rad), libm::cos(self.angle_rad));
        let hose_dir = faces * cos + across.unwrap_or_else(|| any_square(&faces)) * sin;
        Ok(EndPlacement {
            corner,
            measuring: corner - hose_dir * (self.reach_mm() * cos),
            hose_dir,
            direction_open: across.is_none(),
        })
    }
}
