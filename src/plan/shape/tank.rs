//! Keys of a tank that is dipped: its shape, its stick, and what was poured into it.

use super::keep_out::{BOX, CYLINDER};
use crate::document::{Key, Kind, Shape, quantity};
use crate::units::{Angle, Length, Volume};

/// Kinds of tank by shape.
pub const TANK_KINDS: &[&str] =
    &["upright cylinder", "lying cylinder", "box", "obround", "measured"];
/// How a cylinder is closed.
pub const TANK_ENDS: &[&str] = &["flat", "dished", "ellipsoidal", "conical", "torispherical"];

/// `shape = { ... }` of a tank.
pub static TANK_SHAPE: Shape = Shape {
    title: "shape",
    about: "The inside of a tank; `at` of its stick counts from where the length begins.",
    keys: &[
        Key::must("kind", Kind::Choice(TANK_KINDS), "what it is"),
        Key::may(
            "along",
            Kind::Point,
            "direction of its length in the plan's coordinates, from the first end; any length",
        ),
        Key::may("up", Kind::Point, "direction of its height where it does not stand upright"),
        Key::may("inside", quantity::<Length>(), "cylinders: inside diameter"),
        Key::may(
            "length",
            quantity::<Length>(),
            "inside length; of a lying cylinder that of its shell, without ends that stand out",
        ),
        Key::may("width", quantity::<Length>(), "box, obround: inside width"),
        Key::may("height", quantity::<Length>(), "all but a lying cylinder: inside height"),
        Key::may("ends", Kind::Choice(TANK_ENDS), "cylinders: how both ends are closed"),
        Key::may(
            "depth",
            quantity::<Length>(),
            "dished, ellipsoidal, conical: how far an end stands out beyond the shell",
        ),
        Key::may("crown", quantity::<Length>(), "torispherical: inside radius of the crown"),
        Key::may("knuckle", quantity::<Length>(), "torispherical: inside radius of the knuckle"),
        Key::may(
            "volumes",
            Kind::Pairs("length", "volume"),
            "measured: dips with the volume at each, both climbing",
        ),
        Key::may(
            "areas",
            Kind::Pairs("length", "area"),
            "measured: depths from the bottom with the area of the surface at each",
        ),
        Key::may(
            "inner",
            Kind::Section(&INNER),
            "a body in it that takes volume, such as a cooler",
        ),
    ],
};

/// `inner = { ... }` of a shape.
pub static INNER: Shape = Shape {
    title: "inner",
    about: "A body in the tank, in the plan's length unit: from the first end, to the side from the middle, from the bottom.",
    keys: &[
        Key::may("box", Kind::Section(&BOX), "a box along the tank's own directions"),
        Key::may("cylinder", Kind::Section(&CYLINDER), "a cylinder with flat ends"),
    ],
};

/// `stick = { ... }` of a tank.
pub static STICK: Shape = Shape {
    title: "stick",
    about: "The dip stick: its place, and how it stands.",
    keys: &[
        Key::may(
            "at",
            quantity::<Length>(),
            "where it meets the bottom, from the first end of the shell",
        ),
        Key::may(
            "across",
            quantity::<Length>(),
            "how far it stands beside the middle; on it if absent; to the left, looking along, positive",
        ),
        Key::may(
            "lean",
            quantity::<Angle>(),
            "how far its top leans along the length; square to it if absent",
        ),
        Key::may(
            "foot",
            quantity::<Length>(),
            "how far its lower end stays off the bottom; it touches if absent",
        ),
    ],
};

/// `poured = { ... }` of a tank.
pub static POURED: Shape = Shape {
    title: "poured",
    about: "Volumes poured into the empty tank lot by lot, and what the stick read after each.",
    keys: &[
        Key::must(
            "points",
            Kind::Pairs("volume", "length"),
            "all that was poured so far with the height of the wet line; one lot between two rows",
        ),
        Key::must("lot_error", quantity::<Volume>(), "how far each lot may be off, to either side"),
        Key::must("reading_error", quantity::<Length>(), "how far each reading may be off"),
        Key::may("nose_up", quantity::<Angle>(), "pitch while pouring; level if absent"),
        Key::may("roll_right", quantity::<Angle>(), "roll while pouring; level if absent"),
    ],
};
