//! The inside of a tank, its dip stick, and what was poured into it.

use super::case::attitude_rad;
use super::component::unit_direction;
use super::keep_out::read_inside;
use super::{KeptBody, not_negative, positive, shape};
use crate::document::Section;
use crate::units::{Angle, Area, Length, Quantity, Volume};

/// The inside of a tank.
#[derive(Clone, Debug)]
pub struct TankShape {
    /// What it is, with its measures.
    pub form: TankForm,
    /// Unit direction of its length in the plan's coordinates; none of a measured one.
    pub along: Option<[f64; 3]>,
    /// Unit direction of its height, where it does not stand upright.
    pub up: Option<[f64; 3]>,
    /// A body in it that takes volume, in the tank's own directions, mm.
    pub inner: Option<KeptBody>,
}

/// What a tank is, with its inside measures in mm.
#[derive(Clone, Debug, PartialEq)]
pub enum TankForm {
    /// A cylinder whose axis is its height.
    UprightCylinder {
        /// Inside diameter.
        inside_mm: f64,
        /// Height of its shell.
        height_mm: f64,
        /// How it is closed.
        ends: TankEnds,
    },
    /// A cylinder whose axis is its length.
    LyingCylinder {
        /// Inside diameter.
        inside_mm: f64,
        /// Length of its shell.
        length_mm: f64,
        /// How it is closed.
        ends: TankEnds,
    },
    /// A box: length, width and height.
    Box([f64; 3]),
    /// Half round sides: length, width and height.
    Obround([f64; 3]),
    /// Dips in mm with volumes in mm3.
    Volumes(Vec<(f64, f64)>),
    /// Depths in mm with areas in mm2.
    Areas(Vec<(f64, f64)>),
}

/// How a cylinder is closed, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TankEnds {
    /// Flat.
    Flat,
    /// A piece of a sphere, by its depth.
    Dished(f64),
    /// Half an ellipsoid, by its depth.
    Ellipsoidal(f64),
    /// A cone, by its depth.
    Conical(f64),
    /// By the radii of crown and knuckle.
    Torispherical(f64, f64),
}

/// A dip stick.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stick {
    /// Where it meets the bottom, from the first end of the shell, mm.
    pub at_mm: f64,
    /// How far beside the middle, to the left looking along the length, mm.
    pub across_mm: f64,
    /// How far its top leans along the length, rad.
    pub lean_rad: f64,
    /// How far its lower end stays off the bottom, along the stick, mm.
    pub foot_mm: f64,
}

/// What was poured into a tank, with what its stick read.
#[derive(Clone, Debug, PartialEq)]
pub struct Poured {
    /// All that was poured so far, mm3, with the reading, mm.
    pub points: Vec<(f64, f64)>,
    /// How far each lot may be off, mm3.
    pub lot_error_mm3: f64,
    /// How far each reading may be off, mm.
    pub reading_error_mm: f64,
    /// Pitch and roll while pouring, rad.
    pub attitude_rad: [f64; 2],
}

fn mm(section: &Section<'_>, key: &str) -> Option<f64> {
    positive::<Length>(section, key).map(|l| l.value.si() * 1e3)
}

/// Reports a key that is missing, and gives what is there.
fn needed<T>(
    section: &Section<'_>,
    key: &str,
    example: &str,
    of: &str,
    read: Option<T>,
) -> Option<T> {
    if !section.has(key) {
        section.reader().absence(
            &section.header(),
            format!("{of} needs the key \"{key}\""),
            vec![format!("for example {key} = {example}")],
        );
    }
    read
}

fn length(section: &Section<'_>, key: &str, of: &str) -> Option<f64> {
    needed(section, key, "\"300 mm\"", of, mm(section, key))
}

/// Reports keys that belong to another kind.
fn report_others(section: &Section<'_>, of: &str, own: &[&str], all: &[&str]) {
    for key in all.iter().filter(|k| !own.contains(k) && section.has(k)) {
        section.reader().problem(
            &section.place(key),
            format!("{of} has no {key}"),
            "not of this kind",
            vec![format!("take out {key}")],
        );
    }
}

const MEASURES: &[&str] = &[
    "along", "up", "inside", "length", "width", "height", "ends", "depth", "crown", "knuckle",
    "volumes", "areas", "inner",
];

/// Reads `shape` of a tank.
pub fn read_shape(component: &Section<'_>, unit_mm: f64) -> Option<TankShape> {
    let section = component.section("shape", &shape::TANK_SHAPE)?;
    let kinds: Vec<(&str, usize)> =
        shape::TANK_KINDS.iter().enumerate().map(|(i, k)| (*k, i)).collect();
    let kind = section.choice("kind", &kinds)?.value;
    let words =
        ["an upright cylinder", "a lying cylinder", "a box", "an obround tank", "a measured tank"];
    let of = words[kind];
    let placed = ["along", "up", "inner"];
    let own: &[&str] = match kind {
        0 => &["inside", "height", "ends", "depth", "crown", "knuckle"],
        1 => &["inside", "length", "ends", "depth", "crown", "knuckle"],
        2 | 3 => &["length", "width", "height"],
        _ => &["volumes", "areas"],
    };
    let mut known = own.to_vec();
    if kind < 4 {
        known.extend(placed);
    }
    report_others(&section, of, &known, MEASURES);
    let form = read_form(&section, kind, of);
    let direction = |key: &str| {
        let written = section.point(key)?;
        unit_direction(&section, key, &written)
    };
    let inner = section.section("inner", &shape::INNER).map(|inner| read_inside(&inner, unit_mm));
    let along = direction("along");
    let along =
        if kind < 4 { Some(needed(&section, "along", "[1, 0, 0]", of, along)?) } else { None };
    if inner == Some(None) {
        return None;
    }
    Some(TankShape { form: form?, along, up: direction("up"), inner: inner.flatten() })
}

fn read_form(section: &Section<'_>, kind: usize, of: &str) -> Option<TankForm> {
    let of_three = || {
        let all = ["length", "width", "height"].map(|key| length(section, key, of));
        Some([all[0]?, all[1]?, all[2]?])
    };
    match kind {
        0 => {
            let (inside, height) = (length(section, "inside", of), length(section, "height", of));
            let ends = read_ends(section, of)?;
            Some(TankForm::UprightCylinder { inside_mm: inside?, height_mm: height?, ends })
        }
        1 => {
            let (inside, long) = (length(section, "inside", of), length(section, "length", of));
            let ends = read_ends(section, of)?;
            Some(TankForm::LyingCylinder { inside_mm: inside?, length_mm: long?, ends })
        }
        2 => of_three().map(TankForm::Box),
        3 => of_three().map(TankForm::Obround),
        _ => read_measured(section),
    }
}

fn read_ends(section: &Section<'_>, of: &str) -> Option<TankEnds> {
    let words: Vec<(&str, usize)> =
        shape::TANK_ENDS.iter().enumerate().map(|(i, k)| (*k, i)).collect();
    let ends = needed(section, "ends", "\"flat\"", of, section.choice("ends", &words))?.value;
    let own: &[&str] = match ends {
        0 => &[],
        4 => &["crown", "knuckle"],
        _ => &["depth"],
    };
    let named = format!("a tank with {} ends", shape::TANK_ENDS[ends]);
    report_others(section, &named, own, &["depth", "crown", "knuckle"]);
    let one = |key: &str| length(section, key, &named);
    Some(match ends {
        0 => TankEnds::Flat,
        1 => TankEnds::Dished(one("depth")?),
        2 => TankEnds::Ellipsoidal(one("depth")?),
        3 => TankEnds::Conical(one("depth")?),
        _ => {
            let (crown, knuckle) = (one("crown"), one("knuckle"));
            TankEnds::Torispherical(crown?, knuckle?)
        }
    })
}

fn read_measured(section: &Section<'_>) -> Option<TankForm> {
    let volumes = section.pairs::<Length, Volume>("volumes");
    let areas = section.pairs::<Length, Area>("areas");
    if section.has("volumes") == section.has("areas") {
        section.reader().absence(
            &section.header(),
            "a measured tank needs one of the keys \"volumes\" and \"areas\"",
            vec!["volumes = [[\"0 mm\", \"0 L\"], [\"60 mm\", \"2 L\"]]".into()],
        );
        return None;
    }
    Some(if section.has("volumes") {
        let point = |(dip, volume): &(_, _)| point_si(dip, volume, 1e9);
        TankForm::Volumes(volumes.iter().map(point).collect())
    } else {
        TankForm::Areas(areas.iter().map(|(dip, area)| point_si(dip, area, 1e6)).collect())
    })
}

fn point_si<Q: Quantity>(
    dip: &crate::document::Placed<Length>,
    other: &crate::document::Placed<Q>,
    factor: f64,
) -> (f64, f64) {
    (dip.value.si() * 1e3, other.value.si() * factor)
}

/// Reads `stick` of a tank.
pub fn read_stick(component: &Section<'_>, shape: Option<&TankShape>) -> Option<Stick> {
    let section = component.section("stick", &shape::STICK)?;
    let plain = |key: &str| {
        section.quantity::<Length>(key).map(|l: crate::document::Placed<Length>| l.value.si() * 1e3)
    };
    let foot = not_negative::<Length>(&section, "foot").map(|l| l.value.si() * 1e3);
    let lean = section.quantity::<Angle>("lean");
    if let Some(lean) = lean.as_ref().filter(|l| l.value.si().abs() > 1.0) {
        section.reader().problem(
            &lean.span,
            "a stick that leans so far cannot be read",
            "too much",
            vec!["lean is 0 deg for a stick square to the length".into()],
        );
    }
    let measured = shape.is_some_and(|s| s.along.is_none());
    let at = plain("at");
    if measured {
        report_others(
            &section,
            "the stick of a measured tank",
            &["foot"],
            &["at", "across", "lean"],
        );
        return Some(Stick { foot_mm: foot.unwrap_or(0.0), ..Stick::default() });
    }
    let at_mm = needed(&section, "at", "\"150 mm\"", "a stick", at)?;
    Some(Stick {
        at_mm,
        across_mm: plain("across").unwrap_or(0.0),
        lean_rad: lean.map_or(0.0, |l| l.value.si()),
        foot_mm: foot.unwrap_or(0.0),
    })
}

/// Reads `poured` of a tank.
pub fn read_poured(component: &Section<'_>) -> Option<Poured> {
    let section = component.section("poured", &shape::POURED)?;
    let pairs = section.pairs::<Volume, Length>("points");
    let points = pairs.iter().map(|(volume, dip)| (volume.value.si() * 1e9, dip.value.si() * 1e3));
    let lot = positive::<Volume>(&section, "lot_error");
    let reading = positive::<Length>(&section, "reading_error");
    let angle = |key: &str| section.quantity(key).map_or(0.0, |a| attitude_rad(&section, key, &a));
    Some(Poured {
        points: points.collect(),
        attitude_rad: [angle("nose_up"), angle("roll_right")],
        lot_error_mm3: lot?.value.si() * 1e9,
        reading_error_mm: reading?.value.si() * 1e3,
    })
}
