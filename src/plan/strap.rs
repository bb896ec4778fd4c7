//! Straps of sheet that hold a body.

use super::{Given, not_negative, own, positive, shape};
use crate::document::{Placed, Section};
use crate::source::Cite;
use crate::units::{Angle, Length, Quantity, Stress};

/// Section of a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Round {
    /// A rectangle.
    Box {
        /// Width, mm.
        width_mm: f64,
        /// Height, mm.
        height_mm: f64,
        /// Radius of its corners, mm.
        corner_mm: Option<f64>,
    },
    /// A circle.
    Cylinder {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// A rectangle with half circles on two sides.
    Obround {
        /// Width, mm.
        width_mm: f64,
        /// Height, mm.
        height_mm: f64,
    },
}

/// How a strap ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ends {
    /// On two feet.
    Feet {
        /// From the face that they stand on to the top of the body, mm.
        depth_mm: f64,
        /// Straight part of each, mm.
        feet_mm: f64,
    },
    /// Closed round the body.
    Gap {
        /// Between the ends, mm.
        gap_mm: f64,
    },
}

/// A strip that was bent to see `k`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripBend {
    /// Its length when flat, mm.
    pub flat_mm: f64,
    /// Both legs, outside, mm.
    pub legs_mm: [f64; 2],
    /// Angle that it was bent through.
    pub angle_rad: f64,
}

/// A hole on the middle of a strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripHole {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// From the end to its centre, mm.
    pub from_end_mm: f64,
    /// Whether that is end B.
    pub from_b: bool,
}

/// A strap.
#[derive(Clone, Debug)]
pub struct Strap {
    /// Short name.
    pub id: String,
    /// What it holds.
    pub name: Option<String>,
    /// Width of the strip, mm.
    pub width_mm: f64,
    /// Thickness of the strip, mm.
    pub thickness_mm: f64,
    /// The body.
    pub round: Round,
    /// Lining, as compressed, mm.
    pub lining_mm: f64,
    /// How it ends.
    pub ends: Ends,
    /// Inside radius of what is bent over an edge, mm.
    pub bend_radius_mm: Option<f64>,
    /// Alloy and temper.
    pub metal: Option<String>,
    /// Where the neutral layer lies.
    pub k: Option<f64>,
    /// A test bend.
    pub test_bend: Option<StripBend>,
    /// Yield strength and modulus, Pa.
    pub strength_pa: Option<[f64; 2]>,
    /// Holes.
    pub holes: Vec<StripHole>,
    /// Where the figures come from.
    pub cite: Cite,
}

/// Reads all `[[strap]]`.
pub fn read(root: &Section<'_>) -> Vec<Strap> {
    let mut given = Given::new("strap");
    let mut all = Vec::new();
    for section in root.sections("strap", &shape::STRAP) {
        let strap = read_strap(&section);
        let Some(id) = section.id("id") else { continue };
        let fresh = given.is_new(&section, &id);
        all.extend(strap.filter(|_| fresh).map(|s| Strap { id: id.value, ..s }));
    }
    all
}

fn mm(length: &Placed<Length>) -> f64 {
    length.value.si() * 1e3
}

fn read_strap(section: &Section<'_>) -> Option<Strap> {
    let [width, thickness] =
        ["width", "thickness"].map(|k| positive::<Length>(section, k).map(|l| mm(&l)));
    let lining = not_negative::<Length>(section, "lining").map(|l| mm(&l));
    let round = section.section("round", &shape::ROUND).and_then(|s| read_round(&s));
    let ends = read_ends(section);
    let bend_radius_mm = not_negative::<Length>(section, "bend_radius").map(|l| mm(&l));
    let test_bend = section.section("test_bend", &shape::TEST_BEND).and_then(|s| read_bend(&s));
    let [strength, modulus] =
        ["yield", "modulus"].map(|k| positive::<Stress>(section, k).map(|s| s.value.si()));
    let holes = section.sections("hole", &shape::HOLE).iter().filter_map(read_hole).collect();
    let bent = round.is_some_and(|r| matches!(r, Round::Box { .. }))
        || ends.is_some_and(|e| matches!(e, Ends::Feet { .. }));
    if bent && !section.has("bend_radius") {
        section.reader().absence(
            &section.header(),
            "a strap with feet or round a box needs the key \"bend_radius\"",
            vec!["the radius of the edge it is bent over: bend_radius = \"3 mm\"".into()],
        );
        return None;
    }
    Some(Strap {
        id: String::new(),
        name: section.words("name").map(|n| n.value),
        metal: section.name("metal").map(|n| n.value),
        k: read_k(section),
        cite: own::cite(section, "strap"),
        width_mm: width?,
        thickness_mm: thickness?,
        round: round?,
        lining_mm: lining?,
        ends: ends?,
        bend_radius_mm,
        test_bend,
        strength_pa: strength.zip(modulus).map(|(y, e)| [y, e]),
        holes,
    })
}

fn read_k(section: &Section<'_>) -> Option<f64> {
    let k = section.number("k")?;
    if k.value > 0.0 && k.value < 1.0 {
        return Some(k.value);
    }
    let help = vec!["a share of the thickness, from the inside of the bend: k = 0.42".into()];
    section.reader().problem(&k.span, "k must be between 0 and 1", "out of range", help);
    None
}

/// The sizes that belong to a shape, and no others.
fn read_round(section: &Section<'_>) -> Option<Round> {
    let words = [("box", 0_u8), ("cylinder", 1), ("obround", 2)];
    let shape = section.choice("shape", &words)?;
    let (wanted, spare): (&[&str], &[&str]) = match shape.value {
        1 => (&["diameter"], &["width", "height", "corner"]),
        0 => (&["width", "height"], &["diameter"]),
        _ => (&["width", "height"], &["diameter", "corner"]),
    };
    let [diameter, width, height] =
        ["diameter", "width", "height"].map(|k| positive::<Length>(section, k).map(|l| mm(&l)));
    let corner_mm = not_negative::<Length>(section, "corner").map(|l| mm(&l));
    if let Some(key) = spare.iter().find(|k| section.has(k)) {
        let help = vec![format!("its sizes are: {}", wanted.join(", "))];
        let message = format!("a body of this shape has no {key}");
        section.reader().problem(&section.place(key), message, "one too many", help);
        return None;
    }
    if let Some(key) = wanted.iter().find(|k| !section.has(k)) {
        let message = format!("a body of this shape needs the key \"{key}\"");
        section.reader().absence(&section.header(), message, vec![format!("{key} = \"90 mm\"")]);
        return None;
    }
    if shape.value == 1 {
        return Some(Round::Cylinder { diameter_mm: diameter? });
    }
    let (width_mm, height_mm) = (width?, height?);
    let most_mm = 0.5 * width_mm.min(height_mm);
    if corner_mm.is_some_and(|c| c > most_mm) {
        let help = vec![format!("it is at most {most_mm} mm")];
        let message = "the radius of the corners is more than half a side";
        section.reader().problem(&section.place("corner"), message, "too large", help);
        return None;
    }
    Some(match shape.value {
        0 => Round::Box { width_mm, height_mm, corner_mm },
        _ => Round::Obround { width_mm, height_mm },
    })
}

/// Feet or a gap; neither or both are a problem.
fn read_ends(section: &Section<'_>) -> Option<Ends> {
    let depth = positive::<Length>(section, "depth").map(|l| mm(&l));
    let feet = positive::<Length>(section, "feet").map(|l| mm(&l));
    let gap = not_negative::<Length>(section, "gap").map(|l| mm(&l));
    let on_feet = section.has("depth") || section.has("feet");
    if on_feet && section.has("gap") {
        section.reader().problem(
            &section.place("gap"),
            "a strap stands on feet or closes round the body",
            "besides depth or feet",
            vec!["keep depth and feet, or gap".into()],
        );
        return None;
    }
    let missing = match [section.has("depth"), section.has("feet"), section.has("gap")] {
        [true, true, _] | [false, false, true] => None,
        [true, false, _] => Some("feet"),
        [false, true, _] => Some("depth"),
        [false, false, false] => Some("gap"),
    };
    if let Some(key) = missing {
        section.reader().absence(
            &section.header(),
            format!("a strap needs depth and feet, or gap: there is no \"{key}\""),
            vec![format!("{key} = \"20 mm\"")],
        );
        return None;
    }
    if on_feet {
        return Some(Ends::Feet { depth_mm: depth?, feet_mm: feet? });
    }
    Some(Ends::Gap { gap_mm: gap? })
}

fn read_bend(section: &Section<'_>) -> Option<StripBend> {
    let [flat, a, b] =
        ["flat", "leg_a", "leg_b"].map(|key| positive::<Length>(section, key).map(|l| mm(&l)));
    let angle = positive::<Angle>(section, "angle")?;
    // At half a turn the outsides do not meet, so that a leg has no corner to be measured to.
    if angle.value.si().to_degrees() > 170.0 {
        let help = vec!["90 deg is the easiest to measure".into()];
        let message = "a test bend goes through at most 170 degrees";
        section.reader().problem(&angle.span, message, "too far", help);
        return None;
    }
    Some(StripBend { flat_mm: flat?, legs_mm: [a?, b?], angle_rad: angle.value.si() })
}

fn read_hole(section: &Section<'_>) -> Option<StripHole> {
    let diameter = positive::<Length>(section, "diameter").map(|l| mm(&l));
    let [a, b] = ["from_a", "from_b"].map(|key| positive::<Length>(section, key).map(|l| mm(&l)));
    if section.has("from_a") == section.has("from_b") {
        section.reader().absence(
            &section.header(),
            "a hole needs one of the keys \"from_a\" and \"from_b\"",
            vec!["from_a = \"14 mm\"".into()],
        );
        return None;
    }
    let from_b = section.has("from_b");
    Some(StripHole { diameter_mm: diameter?, from_end_mm: if from_b { b? } else { a? }, from_b })
}
