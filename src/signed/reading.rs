//! What is measured on a finished line, under which name, and what is right.

use core::f64::consts::TAU;

use crate::plan::{Carrier, Line, Plan};
use crate::solve::LineFacts;
use crate::units::{Angle, Length, Quantity, read_uncertain};

/// Something that is measured on a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reading {
    /// Length of the bare hose or tube as sawn.
    Cut,
    /// Length of the finished hose from seat to seat.
    Assembly,
    /// Clock angle of two angled ends.
    Clock,
    /// Caps and plugs that were put on.
    CapsOn,
    /// Caps and plugs that were taken off.
    CapsOff,
}

impl Reading {
    /// All of them, in the order of the card.
    pub const ALL: [Self; 5] =
        [Self::Cut, Self::Assembly, Self::Clock, Self::CapsOn, Self::CapsOff];

    /// Its name among the values of an entry.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Assembly => "assembly",
            Self::Clock => "clock",
            Self::CapsOn => "caps on",
            Self::CapsOff => "caps off",
        }
    }

    /// The reading that a name means, however it is capitalised.
    ///
    /// ```
    /// use hosewright::signed::Reading;
    /// assert_eq!(Reading::named("Caps  on"), Some(Reading::CapsOn));
    /// assert_eq!(Reading::named("torque"), None);
    /// ```
    pub fn named(name: &str) -> Option<Self> {
        let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
        let name = words.join(" ");
        Self::ALL.into_iter().find(|r| r.word() == name)
    }
}

/// Between which numbers a reading is right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Room {
    /// mm; no upper end where no rule gives one.
    Length(f64, Option<f64>),
    /// An angle and how far it may be off either way, rad.
    Angle(f64, f64),
    /// As many as were put on.
    SameCount,
    /// Any whole number.
    Count,
    /// Not known, since the plan gives no tolerance.
    Open,
}

/// A reading that a card asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Right {
    /// The reading.
    pub reading: Reading,
    /// What is right.
    pub room: Room,
}

/// The readings that the card of a line asks for.
pub fn rights(plan: &Plan, line: &Line, own: &LineFacts) -> Vec<Right> {
    let mut rights = Vec::new();
    let mut add = |reading, room| rights.push(Right { reading, room });
    if let Ok(makeup) = &own.makeup {
        let cut = makeup.cut.cut_mm;
        let tolerance = plan.tolerances.cut_mm;
        add(Reading::Cut, tolerance.map_or(Room::Open, |t| Room::Length(cut - t, Some(cut + t))));
        if matches!(line.carrier, Carrier::Hose(_)) {
            add(Reading::Assembly, Room::Length(makeup.cut.shortest_mm, own.longest_mm()));
        }
        if let Ok(Some(clock)) = &makeup.clock {
            let room = clock.tolerance.as_ref();
            add(Reading::Clock, room.map_or(Room::Open, |t| Room::Angle(clock.angle_rad, t.value)));
        }
    }
    add(Reading::CapsOn, Room::Count);
    add(Reading::CapsOff, Room::SameCount);
    rights
}

impl Reading {
    /// The number of a count such as `2 caps`.
    ///
    /// ```
    /// use hosewright::signed::Reading;
    /// assert_eq!(Reading::count("2 caps"), Some(2));
    /// assert_eq!(Reading::count("2"), None);
    /// assert_eq!(Reading::count("-2 caps"), None);
    /// ```
    pub fn count(text: &str) -> Option<u32> {
        let (number, word) = text.trim().split_once(' ')?;
        let known = matches!(word.trim(), "cap" | "caps" | "plug" | "plugs" | "piece" | "pieces");
        number.parse().ok().filter(|_| known && number.bytes().all(|b| b.is_ascii_digit()))
    }
}

impl Right {
    /// Whether a text is right; none where that cannot be told.
    pub fn holds(&self, text: &str, caps_on: Option<&str>) -> Option<bool> {
        match self.room {
            Room::Length(from, to) => {
                // What is printed is rounded; so may be what was read.
                let mm = read_uncertain::<Length>(text).ok()?.0.si() * 1e3;
                Some(mm >= from - HALF_MM && to.is_none_or(|to| mm <= to + HALF_MM))
            }
            Room::Angle(angle, within) => {
                let read = read_uncertain::<Angle>(text).ok()?.0.si();
                let turns = (read - angle) / TAU;
                Some((turns - turns.round()).abs() * TAU <= within + HALF_DEGREE)
            }
            Room::SameCount => Some(Reading::count(text)? == Reading::count(caps_on?)?),
            Room::Count => Reading::count(text).map(|_| true),
            Room::Open => None,
        }
    }

    /// What is right, in words.
    pub fn words(&self) -> String {
        match self.room {
            Room::Length(from, Some(to)) => format!("{from:.1} to {to:.1} mm"),
            Room::Length(from, None) => format!("at least {from:.0} mm"),
            Room::Angle(angle, within) => {
                let (angle, within) = (angle.to_degrees(), within.to_degrees());
                format!("{:.0} to {:.0} deg", angle - within, angle + within)
            }
            Room::SameCount => "as many as were put on".to_owned(),
            Room::Count => "a number, such as 2 caps".to_owned(),
            Room::Open => "the plan gives no tolerance".to_owned(),
        }
    }
}

/// Half of the last place that is printed, mm.
const HALF_MM: f64 = 0.05;
/// Half of the last place that is printed, rad.
const HALF_DEGREE: f64 = TAU / 720.0;
