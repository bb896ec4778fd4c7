//! Benders for rigid tube, with what the builder measured on them.

use super::{Given, Tube, not_negative, own, positive, shape};
use crate::document::Section;
use crate::source::Cite;
use crate::units::{Angle, Length, Quantity};

/// What a mark on the tube is brought to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Where the bend begins.
    Start,
    /// The middle of the bend.
    Centre,
    /// The corner, where the straights would meet.
    Corner,
}

/// A bench under a bender.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bench {
    /// Height of the tube's centre line over it, mm.
    pub below_mm: f64,
    /// How far it goes from the axis of the former, mm.
    pub reach_mm: f64,
    /// Whether the bender turns the tube to the left; to the right otherwise.
    pub left: bool,
}

/// The room that a bender takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Thickness of former, clamp and block, mm.
    pub thickness_mm: f64,
    /// Length of the fixed block behind the bend, mm.
    pub block_mm: f64,
    /// How far clamp and block reach from the centre line, mm.
    pub width_mm: f64,
    /// The bench; none where the bender is held free.
    pub bench: Option<Bench>,
}

/// A bender.
#[derive(Clone, Debug)]
pub struct Bender {
    /// What the lines call it.
    pub id: String,
    /// Outside diameter of the tube it bends, mm.
    pub outside_mm: f64,
    /// Radius of a finished bend to the centre line, mm.
    pub radius_mm: f64,
    /// Straight tube it grips ahead of a bend, mm.
    pub clamp_mm: Option<f64>,
    /// Least straight at an end of the tube, mm.
    pub end_straight_mm: Option<f64>,
    /// Angle set and angle left of each test bend, rad.
    pub test_bends_rad: Vec<[f64; 2]>,
    /// How much longer a right angle makes the tube, mm.
    pub stretch_mm: Option<f64>,
    /// What a mark is brought to.
    pub mark: Option<Mark>,
    /// The room it takes.
    pub room: Option<Room>,
    /// Smallest outside diameter across a test bend, mm.
    pub smallest_mm: Option<f64>,
    /// Largest outside diameter across a test bend, mm.
    pub largest_mm: Option<f64>,
    /// Where the figures come from.
    pub cite: Cite,
}

/// A bender takes tubes whose outside differs by no more than this, mm: an inch size and its metric twin.
const SAME_OUTSIDE_MM: f64 = 0.06;

impl Bender {
    /// Whether it is made for the outside diameter of a tube.
    pub fn takes(&self, tube: &Tube) -> bool {
        // A bender with a fault takes every tube, so that its lines are not reported as well.
        let off_mm = (self.outside_mm - mm(tube.outside.value)).abs();
        off_mm.is_nan() || off_mm <= SAME_OUTSIDE_MM
    }
}

/// Reads all `[[bender]]`.
pub fn read(root: &Section<'_>) -> Vec<Bender> {
    let mut benders: Vec<Bender> = Vec::new();
    let mut given = Given::new("bender");
    for section in root.sections("bender", &shape::BENDER) {
        let bender = read_bender(&section);
        let Some(id) = section.id("id") else { continue };
        given.is_new(&section, &id);
        benders.push(Bender { id: id.value, ..bender });
    }
    benders
}

/// A bender; what has a fault is made up, so that its lines are not reported as well.
fn read_bender(section: &Section<'_>) -> Bender {
    let length = |key: &str| positive::<Length>(section, key).map(|l| l.map(mm));
    let outside = length("outside");
    let radius = length("radius");
    if let (Some(outside), Some(radius)) = (&outside, &radius)
        && 2.0 * radius.value <= outside.value
    {
        section.reader().problem(
            &radius.span,
            "the radius to the centre line is not more than half the outside diameter",
            "too small",
            vec!["measured to the inside of the bend it is smaller by half the diameter".into()],
        );
    }
    let (smallest, largest) = (length("smallest"), length("largest"));
    if let (Some(smallest), Some(largest)) = (&smallest, &largest)
        && largest.value < smallest.value
    {
        section.reader().problem(
            &largest.span,
            "the largest diameter is less than the smallest",
            "less than smallest",
            vec!["both are measured across the same test bend".into()],
        );
    }
    let marks = [("start", Mark::Start), ("centre", Mark::Centre), ("corner", Mark::Corner)];
    Bender {
        id: String::new(),
        outside_mm: outside.map_or(f64::NAN, |l| l.value),
        radius_mm: radius.map_or(f64::NAN, |l| l.value),
        clamp_mm: not_negative::<Length>(section, "clamp").map(|l| mm(l.value)),
        end_straight_mm: not_negative::<Length>(section, "end_straight").map(|l| mm(l.value)),
        test_bends_rad: test_bends(section),
        stretch_mm: section.quantity::<Length>("stretch").map(|l| mm(l.value)),
        mark: section.choice("mark", &marks).map(|m| m.value),
        room: section.section("room", &shape::ROOM).and_then(|s| room(&s)),
        smallest_mm: smallest.map(|l| l.value),
        largest_mm: largest.map(|l| l.value),
        cite: own::cite(section, "bender"),
    }
}

fn mm(length: Length) -> f64 {
    length.si() * 1e3
}

/// Test bends in rising order of the angle set, each with less left than was set.
fn test_bends(section: &Section<'_>) -> Vec<[f64; 2]> {
    let mut pairs = section.pairs::<Angle, Angle>("test_bends");
    pairs.sort_by(|(a, _), (b, _)| a.value.si().total_cmp(&b.value.si()));
    let half_turn = core::f64::consts::PI + 1e-9;
    let mut before = [0.0, 0.0];
    for (set, got) in &pairs {
        let (set_rad, got_rad) = (set.value.si(), got.value.si());
        let (place, message, label) = if set_rad > half_turn || set_rad <= 0.0 || got_rad <= 0.0 {
            (set, "a test bend has angles above 0 and up to 180 degrees", "out of range")
        } else if got_rad > set_rad {
            (got, "a test bend cannot leave more than was set", "more than set")
        } else if set_rad <= before[0] || got_rad <= before[1] {
            (got, "of two test bends the one set further must leave more", "not more")
        } else {
            before = [set_rad, got_rad];
            continue;
        };
        let help = "the angle set, then the angle left: [[\"45 deg\", \"43 deg\"], [\"90 deg\", \"87 deg\"]]";
        section.reader().problem(&place.span, message, label, vec![help.into()]);
        return Vec::new();
    }
    pairs.iter().map(|(set, got)| [set.value.si(), got.value.si()]).collect()
}

fn room(section: &Section<'_>) -> Option<Room> {
    let thickness = positive::<Length>(section, "thickness");
    let block = not_negative::<Length>(section, "block");
    let width = not_negative::<Length>(section, "width");
    let bench = not_negative::<Length>(section, "bench");
    let reach = positive::<Length>(section, "reach");
    let left = section.choice("turn", &[("left", true), ("right", false)]);
    for key in ["reach", "turn"] {
        if section.has("bench") && !section.has(key) {
            section.reader().absence(
                &section.header(),
                format!("a bender on a bench needs the key \"{key}\" in its room"),
                vec![
                    "room = { bench = \"150 mm\", reach = \"300 mm\", turn = \"left\", ... }"
                        .into(),
                ],
            );
        }
    }
    let bench = bench.and_then(|bench| {
        let (reach, left) = (reach?, left?);
        Some(Bench { below_mm: mm(bench.value), reach_mm: mm(reach.value), left: left.value })
    });
    Some(Room {
        thickness_mm: mm(thickness?.value),
        block_mm: mm(block?.value),
        width_mm: mm(width?.value),
        bench,
    })
}
