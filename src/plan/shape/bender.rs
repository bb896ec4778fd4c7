//! Keys of a bender for rigid tube.

use super::STANDINGS;
use crate::document::{Key, Kind, Shape, quantity};
use crate::units::Length;

/// What a mark on the tube is brought to.
pub const MARKS: &[&str] = &["start", "centre", "corner"];
/// Which way a bender turns the tube.
pub const TURNS: &[&str] = &["left", "right"];

/// `[[bender]]`
pub static BENDER: Shape = Shape {
    title: "[[bender]]",
    about: "A bender for rigid tube, with what was measured on it. What is not known is left out.",
    keys: &[
        Key::must("id", Kind::Name, "what the lines call it"),
        Key::must("outside", quantity::<Length>(), "outside diameter of the tube it bends"),
        Key::must(
            "radius",
            quantity::<Length>(),
            "radius of a finished bend to the centre line of the tube",
        ),
        Key::may(
            "clamp",
            quantity::<Length>(),
            "straight tube it grips ahead of a bend: the least straight between bends",
        ),
        Key::may(
            "end_straight",
            quantity::<Length>(),
            "least straight at an end of the tube, for the flare, its tool, sleeve and nut",
        ),
        Key::may(
            "test_bends",
            Kind::Pairs("angle set", "angle left"),
            "bends made to see the springback: angle set and angle left, such as [[\"90 deg\", \"87 deg\"]]",
        ),
        Key::may(
            "stretch",
            quantity::<Length>(),
            "how much longer a bend of 90 degrees makes the tube, measured on a test bend",
        ),
        Key::may("mark", Kind::Choice(MARKS), "what a mark on the tube is brought to"),
        Key::may(
            "room",
            Kind::Section(&ROOM),
            "the room it takes, to see whether a bent tube passes",
        ),
        Key::may(
            "smallest",
            quantity::<Length>(),
            "smallest outside diameter measured across a test bend",
        ),
        Key::may(
            "largest",
            quantity::<Length>(),
            "largest outside diameter measured across a test bend",
        ),
        Key::may("source", Kind::Words, "where the figures come from"),
        Key::may("standing", Kind::Choice(STANDINGS), "how far to trust them"),
    ],
};

/// `room` of a bender.
pub static ROOM: Shape = Shape {
    title: "room",
    about: "The room a bender takes: former, clamp ahead of the bend, block behind it, and its bench.",
    keys: &[
        Key::must(
            "thickness",
            quantity::<Length>(),
            "thickness of former, clamp and block along the axis of the former",
        ),
        Key::must("block", quantity::<Length>(), "length of the fixed block behind the bend"),
        Key::must(
            "width",
            quantity::<Length>(),
            "how far clamp and block reach from the centre line, away from the former",
        ),
        Key::may(
            "bench",
            quantity::<Length>(),
            "height of the tube's centre line over the bench; absent: held free of a bench",
        ),
        Key::may("reach", quantity::<Length>(), "how far the bench goes from the former's axis"),
        Key::may(
            "turn",
            Kind::Choice(TURNS),
            "the way it turns the tube, seen from above the bench along the tube as it is fed",
        ),
    ],
};
