//! Keys of a strap of sheet that holds a body.

use super::STANDINGS;
use crate::document::{Key, Kind, Shape, quantity};
use crate::units::{Angle, Length, Stress};

/// Sections of bodies.
pub const BODIES: &[&str] = &["box", "cylinder", "obround"];

/// `[[strap]]`
pub static STRAP: Shape = Shape {
    title: "[[strap]]",
    about: "A strap of sheet round a body: over it and on two feet (depth, feet), or closed round it (gap).",
    keys: &[
        Key::must("id", Kind::Name, "short name, such as S1"),
        Key::may("name", Kind::Words, "what it holds"),
        Key::must("width", quantity::<Length>(), "width of the strip"),
        Key::must("thickness", quantity::<Length>(), "thickness of the strip"),
        Key::must("round", Kind::Section(&ROUND), "the body, without lining"),
        Key::must("lining", quantity::<Length>(), "lining between, as compressed; 0 mm for none"),
        Key::may(
            "depth",
            quantity::<Length>(),
            "from the face that the feet stand on to the top of the body, without lining",
        ),
        Key::may("feet", quantity::<Length>(), "straight part of each foot, beyond its bend"),
        Key::may("gap", quantity::<Length>(), "between the ends of a strap that closes"),
        Key::may(
            "bend_radius",
            quantity::<Length>(),
            "inside radius of what is bent over an edge: the corners of a box, the feet",
        ),
        Key::may(
            "metal",
            Kind::Name,
            "alloy and temper, such as 5052-h32, for the least bend radius; see `hosewright tables limit sheet-bend`",
        ),
        Key::may("k", Kind::Number, "where the neutral layer lies, as a share of the thickness"),
        Key::may(
            "test_bend",
            Kind::Section(&TEST_BEND),
            "a strip that was bent to see k; goes before k",
        ),
        Key::may("yield", quantity::<Stress>(), "yield strength, for the springback"),
        Key::may("modulus", quantity::<Stress>(), "Young's modulus, for the springback"),
        Key::may("hole", Kind::Sections(&HOLE), "holes, on the middle of the strip"),
        Key::may("source", Kind::Words, "where the figures come from"),
        Key::may("standing", Kind::Choice(STANDINGS), "how far to trust them; plan if absent"),
    ],
};

/// `round = { ... }`
pub static ROUND: Shape = Shape {
    title: "round",
    about: "The section of the body that a strap goes round, without lining.",
    keys: &[
        Key::must("shape", Kind::Choice(BODIES), "its shape"),
        Key::may("diameter", quantity::<Length>(), "diameter of a cylinder"),
        Key::may("width", quantity::<Length>(), "width of a box or an obround"),
        Key::may("height", quantity::<Length>(), "height of a box or an obround"),
        Key::may("corner", quantity::<Length>(), "radius of the corners of a box"),
    ],
};

/// `test_bend = { ... }`
pub static TEST_BEND: Shape = Shape {
    title: "test_bend",
    about: "A piece of the strip that was cut, measured, bent once to bend_radius, and measured again.",
    keys: &[
        Key::must("flat", quantity::<Length>(), "its length when flat"),
        Key::must("leg_a", quantity::<Length>(), "one leg, outside, to the corner"),
        Key::must("leg_b", quantity::<Length>(), "the other leg, outside, to the corner"),
        Key::must("angle", quantity::<Angle>(), "angle that it was bent through"),
    ],
};

/// `[[strap.hole]]`
pub static HOLE: Shape = Shape {
    title: "[[strap.hole]]",
    about: "A hole on the middle of the strip.",
    keys: &[
        Key::must("diameter", quantity::<Length>(), "its diameter"),
        Key::may("from_a", quantity::<Length>(), "from end A to its centre, along the flat strip"),
        Key::may("from_b", quantity::<Length>(), "from end B to its centre, along the flat strip"),
    ],
};
