//! The keys of a pile file, each said once: for reading and for messages.

use crate::document::{Key, Kind, Shape, quantity};
use crate::units::{Angle, Length, Ratio};

/// Which side of a joint an end is.
pub const GENDERS: &[&str] = &["female", "male"];

/// The whole file.
pub static ROOT: Shape = Shape {
    title: "the pile",
    about: "Measured pipes, to be told apart by a plan.",
    keys: &[
        Key::must("pile", Kind::Section(&PILE), "what was measured, and how well"),
        Key::must("pipe", Kind::Sections(&PIPE), "the pipes"),
    ],
};

/// `[pile]`
pub static PILE: Shape = Shape {
    title: "[pile]",
    about: "What was measured, and how well.",
    keys: &[
        Key::must("name", Kind::Words, "what the pile is called"),
        Key::may("note", Kind::Words, "anything worth telling"),
        Key::may(
            "strangers",
            quantity::<Ratio>(),
            "share of the pile that is thought to belong to no line",
        ),
        Key::may("error", Kind::Section(&ERROR), "by how much readings may be wrong"),
    ],
};

/// `error = { ... }`
pub static ERROR: Shape = Shape {
    title: "error",
    about: "By how much readings may be wrong to either side, where they do not say it themselves.",
    keys: &[
        Key::may("length", quantity::<Length>(), "of a length"),
        Key::may("bore", quantity::<Length>(), "of a bore"),
        Key::may("outside", quantity::<Length>(), "of the outside of a pipe"),
        Key::may("angle", quantity::<Angle>(), "of the angle of an end"),
        Key::may("cone", quantity::<Angle>(), "of the angle of a cone"),
        Key::may("thread", quantity::<Length>(), "of the diameter of a thread"),
        Key::may("pitch", quantity::<Length>(), "of a pitch"),
    ],
};

/// `[[pipe]]`
pub static PIPE: Shape = Shape {
    title: "[[pipe]]",
    about: "A pipe; what was not read is left out.",
    keys: &[
        Key::must("id", Kind::Name, "what it is called, such as the letter chalked on it"),
        Key::may("label", Kind::Name, "the line that a tag on it names"),
        Key::may("length", quantity::<Length>(), "from measuring point to measuring point"),
        Key::may("bore", quantity::<Length>(), "inside diameter"),
        Key::may("outside", quantity::<Length>(), "outside diameter"),
        Key::may("material", Kind::Words, "what touches the fluid"),
        Key::may("sleeved", Kind::Flag, "whether there is a sleeve over it"),
        Key::may("end_a", Kind::Section(&END), "one end"),
        Key::may("end_b", Kind::Section(&END), "the other end"),
    ],
};

/// `end_a = { ... }`
pub static END: Shape = Shape {
    title: "end",
    about: "What was read at an end.",
    keys: &[
        Key::may("thread", Kind::Words, "the thread where it is known, such as 3/4-16 or M22x1.5"),
        Key::may("diameter", quantity::<Length>(), "over or between the crests of the thread"),
        Key::may("pitch", Kind::Words, "pitch, such as \"1.5 mm\" or \"16 tpi\""),
        Key::may("cone", quantity::<Angle>(), "angle of the cone against the axis"),
        Key::may("gender", Kind::Choice(GENDERS), "nut or cone"),
        Key::may("angle", quantity::<Angle>(), "between joint and pipe, 0 deg for a straight end"),
    ],
};
