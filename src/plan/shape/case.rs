//! Keys of an operating case and of the matrix that makes many of them.

use crate::document::{Key, Kind, Shape, quantities, quantity};
use crate::units::{AbsolutePressure, Angle, Length, Quantity, Temperature};

/// `[[case]]`
pub static CASE: Shape = Shape {
    title: "[[case]]",
    about: "An operating case.",
    keys: &[
        Key::must("name", Kind::Words, "its name"),
        Key::may(
            "altitude",
            quantity::<Length>(),
            "height above the sea in the standard atmosphere",
        ),
        Key::may(
            "ambient",
            quantity::<AbsolutePressure>(),
            "pressure of the air, if not by altitude",
        ),
        Key::may("nose_up", quantity::<Angle>(), "pitch, nose or bow up positive"),
        Key::may("roll_right", quantity::<Angle>(), "roll or heel, right side down positive"),
        Key::may(
            "acceleration",
            Kind::Point,
            "along the plan's axes, in multiples of standard gravity",
        ),
        Key::may(
            "warm",
            Kind::Flag,
            "false: just started, every fluid still as warm as given here; true if absent",
        ),
        Key::may("air", quantity::<Temperature>(), "temperature of the air"),
        Key::may(
            "fluids",
            Kind::AssignQuantities(Temperature::NAME, Temperature::EXAMPLES),
            "temperature of fluids where they start from, by id",
        ),
        Key::may("states", Kind::Assign, "state of components by id; the usual one if absent"),
        Key::may("note", Kind::Words, "anything worth telling"),
    ],
};

/// `[matrix]`
pub static MATRIX: Shape = Shape {
    title: "[matrix]",
    about: "Operating cases made by combination: every height, attitude, weather and state.",
    keys: &[
        Key::must(
            "altitude",
            quantities::<Length>(),
            "heights above the sea in the standard atmosphere",
        ),
        Key::may("nose_up", quantities::<Angle>(), "pitches, nose or bow up positive"),
        Key::may("roll_right", quantities::<Angle>(), "rolls or heels, right side down positive"),
        Key::may(
            "vary",
            Kind::Names,
            "components whose states are combined; all with two or more states if absent",
        ),
        Key::may("without", Kind::Assigns, "combinations of states the machine does not allow"),
        Key::may("weather", Kind::Sections(&WEATHER), "temperatures that go together"),
    ],
};

/// `[[matrix.weather]]`
pub static WEATHER: Shape = Shape {
    title: "[[matrix.weather]]",
    about: "Temperatures that go together.",
    keys: &[
        Key::must("name", Kind::Words, "what it is called"),
        Key::may(
            "warm",
            Kind::Flag,
            "false: just started, every fluid still as warm as given here; true if absent",
        ),
        Key::may("air", quantity::<Temperature>(), "temperature of the air"),
        Key::may(
            "fluids",
            Kind::AssignQuantities(Temperature::NAME, Temperature::EXAMPLES),
            "temperature of fluids where they start from, by id",
        ),
    ],
};
