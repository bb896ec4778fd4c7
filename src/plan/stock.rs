//! What lines are cut from, and how to order.

use super::{not_negative, positive, shape};
use crate::document::Section;
use crate::units::{Length, Quantity, Ratio};

/// A stock length.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Hose or tube, as the cut list names it.
    pub of: String,
    /// Length, mm.
    pub length_mm: f64,
    /// How many there are; as many as needed when absent.
    pub count: Option<u32>,
}

/// What lines are cut from.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Width of one cut, mm.
    pub kerf_mm: f64,
    /// Length lost to square the end of each piece, mm.
    pub squaring_mm: f64,
    /// Stock lengths.
    pub pieces: Vec<Piece>,
}

/// How to order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Order {
    /// Spare end fittings as a share.
    pub spares: Option<f64>,
}

/// Reads `[stock]`.
pub fn read(section: &Section<'_>) -> Option<Stock> {
    let kerf = not_negative::<Length>(section, "kerf");
    let squaring = not_negative::<Length>(section, "squaring");
    let mut pieces = Vec::new();
    for piece in section.sections("piece", &shape::PIECE) {
        let of = piece.words("of");
        let length = positive::<Length>(&piece, "length");
        let count = piece.count("count").map(|c| c.value);
        if let (Some(of), Some(length)) = (of, length) {
            pieces.push(Piece { of: of.value, length_mm: length.value.si() * 1e3, count });
        }
    }
    Some(Stock { kerf_mm: kerf?.value.si() * 1e3, squaring_mm: squaring?.value.si() * 1e3, pieces })
}

/// Reads `[order]`.
pub fn read_order(section: &Section<'_>) -> Order {
    Order { spares: not_negative::<Ratio>(section, "spares").map(|s| s.value.si()) }
}
