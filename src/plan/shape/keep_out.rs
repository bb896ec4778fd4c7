//! Keys of a keep-out: what the lines have to keep clear of.

use crate::document::{Key, Kind, Shape, quantity};
use crate::units::Length;

/// `[[keep_out]]`
pub static KEEP_OUT: Shape = Shape {
    title: "[[keep_out]]",
    about: "A body that the lines keep clear of; one of box, cylinder and plane says where it is.",
    keys: &[
        Key::must("id", Kind::Name, "short name, such as EXHAUST"),
        Key::may("name", Kind::Words, "full name"),
        Key::must(
            "kind",
            Kind::Name,
            "kind of neighbour, a row of limit/clearance such as hot, sharp, moving or wiring",
        ),
        Key::may("box", Kind::Section(&BOX), "a box along the axes"),
        Key::may("cylinder", Kind::Section(&CYLINDER), "a cylinder with flat ends"),
        Key::may("plane", Kind::Section(&PLANE), "everything behind a plane"),
        Key::may("moves", quantity::<Length>(), "how far it moves at most, in any direction"),
        Key::may("moves_by", Kind::Point, "how far it moves at most along x, y and z"),
        Key::may(
            "clearance",
            quantity::<Length>(),
            "the builder's own least distance; goes before the table",
        ),
        Key::may(
            "of",
            Kind::Name,
            "component that it belongs to: lines leave out their ends there",
        ),
    ],
};

/// `box = { ... }`
pub static BOX: Shape = Shape {
    title: "box",
    about: "A box along the axes of the plan.",
    keys: &[
        Key::must("from", Kind::Point, "a corner"),
        Key::must("to", Kind::Point, "the corner across from it"),
    ],
};

/// `cylinder = { ... }`
pub static CYLINDER: Shape = Shape {
    title: "cylinder",
    about: "A cylinder with flat ends.",
    keys: &[
        Key::must("from", Kind::Point, "middle of one end"),
        Key::must("to", Kind::Point, "middle of the other end"),
        Key::may("radius", quantity::<Length>(), "its radius, if diameter is not given"),
        Key::may("diameter", quantity::<Length>(), "its diameter, if radius is not given"),
    ],
};

/// `plane = { ... }`
pub static PLANE: Shape = Shape {
    title: "plane",
    about: "Everything behind a plane.",
    keys: &[
        Key::must("at", Kind::Point, "a point of the plane"),
        Key::must("faces", Kind::Point, "direction of its open side; any length"),
    ],
};
