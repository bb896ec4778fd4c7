//! A tank with its stick in its own directions, and what the stick reads for a volume at an attitude.

use nalgebra::{Point3, Vector3};

use crate::geometry::vessel::profile::Profile;
use crate::geometry::vessel::{Ends, InnerBody, Vessel, VesselShape};
use crate::plan::{KeptBody, Plan, Stick, TankEnds, TankForm, TankShape};

/// Directions closer to one line than this (sine) do not tell a height.
const ALIKE: f64 = 0.1;
/// A surface that meets the stick at less than this (sine) is not read.
const FLAT: f64 = 0.2;
/// Half the step of a slope, mm.
const STEP_MM: f64 = 0.05;

/// What a stick shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// The wet line, mm from the lower end of the stick.
    At(f64),
    /// The surface passes below its end.
    Dry,
    /// The surface meets it above the tank.
    Over,
}

impl Reading {
    /// The wet line, mm.
    pub fn mm(self) -> Option<f64> {
        if let Self::At(mm) = self { Some(mm) } else { None }
    }
}

/// A tank whose marks can be worked out.
pub struct Placed {
    form: Form,
    foot_mm: f64,
    /// How far the inside reaches along the stick, mm from the bottom.
    pub reach_mm: f64,
}

enum Form {
    Vessel { vessel: Box<Vessel>, axes: [Vector3<f64>; 3], foot: Point3<f64>, stick: Vector3<f64> },
    Profile(Profile),
}

impl Placed {
    /// The tank in its place.
    ///
    /// # Errors
    /// In words: measures that no tank has, or a stick beside it.
    pub fn new(plan: &Plan, shape: &TankShape, stick: &Stick) -> Result<Self, String> {
        let words = |e: crate::geometry::GeometryError| e.to_string();
        let profile = match &shape.form {
            TankForm::Volumes(points) => Some(Profile::of_volumes(points).map_err(words)?),
            TankForm::Areas(points) => Some(Profile::of_areas(points).map_err(words)?),
            _ => None,
        };
        if let Some(profile) = profile {
            let reach_mm = profile.dips_mm().1;
            return Ok(Self { form: Form::Profile(profile), foot_mm: stick.foot_mm, reach_mm });
        }
        let vessel = vessel(shape)?;
        let axes = axes(plan, shape)?;
        let mut placed = Self {
            form: Form::Vessel {
                vessel: Box::new(vessel),
                axes,
                foot: Point3::origin(),
                stick: Vector3::z(),
            },
            foot_mm: stick.foot_mm,
            reach_mm: 0.0,
        };
        placed.stand(stick)?;
        Ok(placed)
    }

    /// Puts the stick somewhere else.
    ///
    /// # Errors
    /// In words: where it misses the tank.
    pub fn stand(&mut self, stick: &Stick) -> Result<(), String> {
        let Form::Vessel { vessel, foot, stick: towards, .. } = &mut self.form else {
            return Ok(());
        };
        let words = |e: crate::geometry::GeometryError| e.to_string();
        let at = Point3::new(stick.at_mm, stick.across_mm, 0.0);
        let column = vessel.inside_along(&at, &Vector3::z()).map_err(words)?;
        let (bottom, _) = column.ok_or("the stick stands beside the tank")?;
        *foot = at + Vector3::z() * bottom;
        *towards = Vector3::new(libm::sin(stick.lean_rad), 0.0, libm::cos(stick.lean_rad));
        let inside = vessel.inside_along(foot, towards).map_err(words)?;
        self.reach_mm = inside.ok_or("the stick does not run inside the tank")?.1;
        if stick.foot_mm >= self.reach_mm {
            return Err("the lower end of the stick stands over the top of the tank".into());
        }
        self.foot_mm = stick.foot_mm;
        Ok(())
    }

    /// Volume when full to the top, mm3.
    pub fn full_mm3(&self) -> f64 {
        match &self.form {
            Form::Vessel { vessel, .. } => vessel.full_mm3(),
            Form::Profile(profile) => profile.full_mm3(),
        }
    }

    /// Volume below which nothing is known, mm3.
    pub fn least_mm3(&self) -> f64 {
        match &self.form {
            Form::Vessel { .. } => 0.0,
            Form::Profile(profile) => profile.least_mm3(),
        }
    }

    /// Whether only the level tank is known.
    pub fn only_level(&self) -> bool {
        matches!(self.form, Form::Profile(_))
    }

    /// How long the tank is where a stick could stand, mm.
    pub fn length_mm(&self, form: &TankForm) -> Option<f64> {
        match form {
            TankForm::UprightCylinder { inside_mm, .. } => Some(*inside_mm),
            TankForm::LyingCylinder { length_mm, .. } => Some(*length_mm),
            TankForm::Box(size) | TankForm::Obround(size) => Some(size[0]),
            TankForm::Volumes(_) | TankForm::Areas(_) => None,
        }
    }

    /// The level of a volume when this is up: what [`Placed::on_stick_mm`] asks for.
    ///
    /// # Errors
    /// In words.
    pub fn level(&self, up: [f64; 3], volume_mm3: f64) -> Result<f64, String> {
        match &self.form {
            Form::Vessel { vessel, axes, .. } => {
                vessel.level_mm(&turned(axes, up), volume_mm3).map_err(|e| e.to_string())
            }
            Form::Profile(profile) => profile.dip_mm(volume_mm3).map_err(|e| e.to_string()),
        }
    }

    /// Where the surface at a level meets the line of the stick, mm from its lower end, inside the tank or not.
    ///
    /// # Errors
    /// In words: a surface that runs along the stick.
    pub fn on_stick_mm(&self, up: [f64; 3], level: f64) -> Result<f64, String> {
        match &self.form {
            Form::Vessel { axes, foot, stick, .. } => {
                let up = turned(axes, up);
                let steep = up.dot(stick);
                if steep < FLAT {
                    return Err("the surface runs along the stick".into());
                }
                Ok((level - up.dot(&foot.coords)) / steep - self.foot_mm)
            }
            Form::Profile(_) => Ok(level - self.foot_mm),
        }
    }

    /// What the stick shows at a level.
    ///
    /// # Errors
    /// As [`Placed::on_stick_mm`].
    pub fn reading(&self, up: [f64; 3], level: f64) -> Result<Reading, String> {
        let mm = self.on_stick_mm(up, level)?;
        Ok(if mm < 0.0 {
            Reading::Dry
        } else if mm + self.foot_mm > self.reach_mm {
            Reading::Over
        } else {
            Reading::At(mm)
        })
    }

    /// The volume for a wet line, mm3, and the change of the last round of its integral as a share of the full tank.
    ///
    /// # Errors
    /// In words.
    pub fn volume_mm3(&self, up: [f64; 3], reading_mm: f64) -> Result<(f64, f64), String> {
        match &self.form {
            Form::Vessel { vessel, axes, foot, stick } => {
                let up = turned(axes, up);
                let level = up.dot(&(foot + stick * (reading_mm + self.foot_mm)).coords);
                let found = vessel.volume_below(&up, level).map_err(|e| e.to_string())?;
                Ok((found.volume_mm3, found.change))
            }
            Form::Profile(profile) => {
                let (least, most) = profile.dips_mm();
                let dip = (reading_mm + self.foot_mm).clamp(least, most);
                Ok((profile.volume_mm3(dip).map_err(|e| e.to_string())?, 0.0))
            }
        }
    }

    /// The volume for a wet line with what one millimetre more adds, which is never nothing.
    ///
    /// # Errors
    /// In words.
    pub fn slope(&self, up: [f64; 3], reading_mm: f64) -> Result<(f64, f64), String> {
        let at = |mm: f64| Ok::<f64, String>(self.volume_mm3(up, mm)?.0);
        let wide = (at(reading_mm + STEP_MM)? - at(reading_mm - STEP_MM)?) / (2.0 * STEP_MM);
        Ok((at(reading_mm)?, wide.max(0.01 * self.full_mm3() / self.reach_mm)))
    }

    /// Wet lines between which the inner body takes room.
    ///
    /// # Errors
    /// As [`Placed::on_stick_mm`].
    pub fn inner_mm(&self, up: [f64; 3]) -> Result<Option<(f64, f64)>, String> {
        let Form::Vessel { vessel, axes, .. } = &self.form else { return Ok(None) };
        let Some((low, high)) = vessel.inner_levels_mm(&turned(axes, up)) else { return Ok(None) };
        Ok(Some((self.on_stick_mm(up, low)?, self.on_stick_mm(up, high)?)))
    }
}

fn turned(axes: &[Vector3<f64>; 3], up: [f64; 3]) -> Vector3<f64> {
    let up = Vector3::from(up);
    Vector3::from(axes.map(|a| a.dot(&up))).normalize()
}

/// Volume of a tank that is given by its measures, mm3, or why no tank has them; none of one that is given by points.
pub fn vessel_mm3(shape: &TankShape) -> Option<Result<f64, String>> {
    let by_points = matches!(shape.form, TankForm::Volumes(_) | TankForm::Areas(_));
    (!by_points).then(|| Ok(vessel(shape)?.full_mm3()))
}

fn vessel(shape: &TankShape) -> Result<Vessel, String> {
    let inner = shape.inner.and_then(inner_body);
    Vessel::new(&vessel_shape(&shape.form), inner.as_ref()).map_err(|e| e.to_string())
}

/// Along, left of it and up, in the plan's coordinates.
fn axes(plan: &Plan, shape: &TankShape) -> Result<[Vector3<f64>; 3], String> {
    let along = Vector3::from(shape.along.unwrap_or(plan.axes.forward));
    let up = Vector3::from(shape.up.unwrap_or(plan.axes.up));
    let up = up - along * along.dot(&up);
    if up.norm() < ALIKE {
        return Err(
            "the length of the tank stands upright: choose another kind, or give `up`".into()
        );
    }
    let up = up.normalize();
    Ok([along, up.cross(&along), up])
}

fn vessel_shape(form: &TankForm) -> VesselShape {
    match *form {
        TankForm::UprightCylinder { inside_mm, height_mm, ends } => {
            VesselShape::UprightCylinder { diameter_mm: inside_mm, height_mm, ends: closed(ends) }
        }
        TankForm::LyingCylinder { inside_mm, length_mm, ends } => {
            VesselShape::LyingCylinder { diameter_mm: inside_mm, length_mm, ends: closed(ends) }
        }
        TankForm::Obround([length_mm, width_mm, height_mm]) => {
            VesselShape::Obround { length_mm, width_mm, height_mm }
        }
        TankForm::Box([length_mm, width_mm, height_mm]) => {
            VesselShape::Box { length_mm, width_mm, height_mm }
        }
        TankForm::Volumes(_) | TankForm::Areas(_) => {
            VesselShape::Box { length_mm: 0.0, width_mm: 0.0, height_mm: 0.0 }
        }
    }
}

fn closed(ends: TankEnds) -> Ends {
    match ends {
        TankEnds::Flat => Ends::Flat,
        TankEnds::Dished(depth_mm) => Ends::Dished { depth_mm },
        TankEnds::Ellipsoidal(depth_mm) => Ends::Ellipsoidal { depth_mm },
        TankEnds::Conical(depth_mm) => Ends::Conical { depth_mm },
        TankEnds::Torispherical(crown_mm, knuckle_mm) => {
            Ends::Torispherical { crown_mm, knuckle_mm }
        }
    }
}

fn inner_body(body: KeptBody) -> Option<InnerBody> {
    match body {
        KeptBody::Box { low_mm, high_mm } => {
            Some(InnerBody::Box { low_mm: Point3::from(low_mm), high_mm: Point3::from(high_mm) })
        }
        KeptBody::Cylinder { from_mm, to_mm, radius_mm } => Some(InnerBody::Cylinder {
            from_mm: Point3::from(from_mm),
            to_mm: Point3::from(to_mm),
            radius_mm,
        }),
        KeptBody::Plane { .. } => None,
    }
}
