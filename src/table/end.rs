//! End fittings and threads: one row of an end table as typed figures with sources.

use super::Tables;
use super::file::TableFile;
use crate::source::Sourced;
use crate::units::{Angle, Length, Mass, Quantity};

/// Which part of a joint turns over the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gender {
    /// Nut or socket.
    Female,
    /// Cone or spigot.
    Male,
}

impl Gender {
    /// The words of plan and tables.
    pub const WORDS: [(&'static str, Self); 2] = [("female", Self::Female), ("male", Self::Male)];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Female => "female",
            Self::Male => "male",
        }
    }
}

/// An end fitting of one size.
#[derive(Clone, Debug)]
pub struct End {
    /// Table and size, or the builder's id: what the order list says.
    pub label: String,
    /// The table it stands in; none for an end that the builder describes.
    pub table: Option<String>,
    /// Thread and seat family, such as `flare-37`, or `spigot`.
    pub family: String,
    /// Size as the family counts it.
    pub size: String,
    /// Gender of the joint.
    pub gender: Option<Gender>,
    /// Angle between the joint's axis and the hose, 0 for a straight end.
    pub angle: Angle,
    /// Length of fitting beyond the hose end.
    pub cut_off: Option<Sourced<Length>>,
    /// Distance from the hose axis to the seat, square to the hose; angled ends only.
    pub drop: Option<Sourced<Length>>,
    /// Least bore.
    pub bore: Option<Sourced<Length>>,
    /// What one fitting weighs.
    pub mass: Option<Sourced<Mass>>,
    /// Material that touches the fluid.
    pub wetted: Option<Sourced<String>>,
    /// How it is put on the hose or tube: one of [`End::ATTACHED`].
    pub attached: Option<Sourced<String>>,
}

impl End {
    /// The words for how an end is put on: screwed on by hand, pressed on in a press, a flare with its nut.
    pub const ATTACHED: &[&str] = &["reusable", "pressed", "flared"];

    /// The end of a size from a table; `None` when the size is not in it.
    pub fn from_table(table: &TableFile, size: &str) -> Option<Self> {
        let row = table.row(&[("size", size)])?;
        // A cut-off printed for both ends of an assembly would be counted twice.
        let pair = table.fact_words("cut_off_per").is_some_and(|w| w.value == "pair");
        let halve = |cut_off: Sourced<Length>| cut_off.map(|c| Length::from_si(c.si() / 2.0));
        let cut_off = table.quantity(row, "cut_off");
        Some(Self {
            label: format!("{} {size}", table.name),
            table: Some(table.name.clone()),
            family: table.fact_words("family")?.value,
            size: size.to_owned(),
            gender: table.fact_words("gender").and_then(|g| gender(&g.value)),
            angle: table.fact_quantity("angle").map_or(Angle::from_si(0.0), |a| a.value),
            cut_off: if pair { cut_off.map(halve) } else { cut_off },
            drop: table.quantity(row, "drop"),
            bore: table.quantity(row, "bore"),
            mass: table.quantity(row, "mass"),
            wetted: table.fact_words("wetted"),
            attached: table.fact_words("attached"),
        })
    }
}

fn gender(word: &str) -> Option<Gender> {
    Gender::WORDS.iter().find(|(w, _)| *w == word).map(|(_, g)| *g)
}

/// The thread that a family uses at a size, as its table prints it.
pub fn thread(tables: &Tables, family: &str, size: &str) -> Option<Sourced<String>> {
    let table = tables.get("thread", family)?;
    table.words(table.row(&[("size", size)])?, "thread")
}
