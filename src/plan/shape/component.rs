//! Keys of a component: ports, the paths between them, states, what a tank holds; and of a join.

use super::tank::{POURED, STICK, TANK_SHAPE};
use crate::document::{Key, Kind, Shape, quantities, quantity};
use crate::units::{
    Flow, FlowCoefficient, GaugePressure, Length, Mass, MassFlow, Power, PressureDifference, Ratio,
    Temperature, Volume,
};

/// Kinds of component.
pub const COMPONENTS: &[&str] = &[
    "tank",
    "pump",
    "engine",
    "radiator",
    "exchanger",
    "thermostat",
    "filter",
    "valve",
    "tee",
    "regulator",
    "cylinder",
    "vent",
    "strainer",
    "gauge",
    "other",
];

/// `[[component]]`
pub static COMPONENT: Shape = Shape {
    title: "[[component]]",
    about: "Something the lines connect.",
    keys: &[
        Key::must("id", Kind::Name, "short name, such as TANK"),
        Key::may("name", Kind::Words, "full name"),
        Key::must("kind", Kind::Choice(COMPONENTS), "what it is"),
        Key::may("wetted", Kind::Names, "materials that touch the fluid"),
        Key::must("ports", Kind::Map(&PORT), "where lines connect"),
        Key::may(
            "moves",
            quantity::<Length>(),
            "how far it moves at most, such as an engine on its mounts; lines on it move along",
        ),
        Key::may("mass", quantity::<Mass>(), "what it weighs, empty"),
        Key::may(
            "centre",
            Kind::Point,
            "where its mass is, and of a tank the middle of its inside; the mean of its ports if absent",
        ),
        Key::may(
            "holds",
            quantity::<Volume>(),
            "all but a tank: liquid in it, in all its paths together; \"0 L\" where it is next to nothing",
        ),
        Key::may("path", Kind::Sections(&PATH), "what the fluid meets between two ports"),
        Key::may("state", Kind::Sections(&STATE), "states it can be in, the usual one first"),
        Key::may("need", Kind::Section(&NEED), "what it uses up"),
        Key::may("surface", Kind::Point, "tank: a point on the surface of the liquid"),
        Key::may(
            "pressure",
            quantity::<GaugePressure>(),
            "tank: pressure of the gas over the liquid; 0 bar where it is vented",
        ),
        Key::may("cap", quantity::<GaugePressure>(), "tank: pressure at which its cap lets go"),
        Key::may("capacity", quantity::<Volume>(), "tank: volume when brim full"),
        Key::may("volume", quantity::<Volume>(), "tank: volume of liquid in it"),
        Key::may("unusable", quantity::<Volume>(), "tank: volume that cannot be drawn"),
        Key::may("shape", Kind::Section(&TANK_SHAPE), "tank: its inside, for dip marks"),
        Key::may("stick", Kind::Section(&STICK), "tank: its dip stick"),
        Key::may("poured", Kind::Section(&POURED), "tank: known volumes poured into it, and dips"),
    ],
};

/// One port of a component.
pub static PORT: Shape = Shape {
    title: "[component.ports.NAME]",
    about: "A place where a line connects.",
    keys: &[
        Key::must("at", Kind::Point, "the seat, or the tip of a spigot, in the plan's length unit"),
        Key::must("faces", Kind::Point, "direction out of the port; any length"),
        Key::must("end", Kind::Section(&PORT_END), "what a line must mate with"),
        Key::may("tolerance", quantity::<Length>(), "how well the place is known"),
        Key::may(
            "measured",
            Kind::Sections(&TAPE),
            "taped distances that place it; `at` then only tells the side",
        ),
    ],
};

/// `[[datum]]`
pub static DATUM: Shape = Shape {
    title: "[[datum]]",
    about: "A known point of the machine that ports and clips are taped from.",
    keys: &[
        Key::must("id", Kind::Name, "short name, such as D1"),
        Key::must("at", Kind::Point, "where it is, in the plan's length unit"),
    ],
};

/// One entry of `measured` of a port or a clip.
pub static TAPE: Shape = Shape {
    title: "measured",
    about: "A distance taped from a datum, straight through the air.",
    keys: &[
        Key::must("from", Kind::Name, "the datum"),
        Key::must("distance", quantity::<Length>(), "what the tape reads"),
        Key::must("tolerance", quantity::<Length>(), "how far that may be off, to either side"),
    ],
};

/// `end = { ... }` of a port.
pub static PORT_END: Shape = Shape {
    title: "end",
    about: "What a line must mate with.",
    keys: &[
        Key::must("family", Kind::Name, "thread and seat family, such as flare-37, or spigot"),
        Key::may("size", Kind::Words, "size as the family counts it"),
        Key::may("gender", Kind::Choice(&["female", "male"]), "nut or cone; not for a spigot"),
        Key::may("outside", quantity::<Length>(), "spigot: outside diameter"),
        Key::may("insertion", quantity::<Length>(), "spigot: how far the hose is pushed over it"),
        Key::may("bead", Kind::Flag, "spigot: whether it has a bead"),
        Key::may("bore", quantity::<Length>(), "least bore of the port"),
    ],
};

/// Keys of a component that only a tank has.
pub const TANK_KEYS: &[&str] =
    &["surface", "pressure", "cap", "capacity", "volume", "unusable", "shape", "stick", "poured"];

/// `[[component.path]]`
pub static PATH: Shape = Shape {
    title: "[[component.path]]",
    about: "How the fluid gets from one port of the component to another, and what that costs.",
    keys: &[
        Key::may("name", Kind::Name, "its name within the component; FROM-TO if absent"),
        Key::must("from", Kind::Words, "port where the fluid enters"),
        Key::must("to", Kind::Words, "port where it leaves"),
        Key::may("free", Kind::Flag, "true: nothing resists, an open chamber"),
        Key::may("k", Kind::Number, "loss coefficient, with its bore"),
        Key::may("bore", quantity::<Length>(), "the bore that k belongs to, or before a hole"),
        Key::may("kv", quantity::<FlowCoefficient>(), "flow coefficient"),
        Key::may("drop", quantity::<PressureDifference>(), "measured drop, with its flow"),
        Key::may("at_flow", quantity::<Flow>(), "the flow of the measured drop"),
        Key::may("law", Kind::Choice(&["linear", "square"]), "how the drop grows with flow"),
        Key::may("hole", quantity::<Length>(), "diameter of a sharp-edged hole"),
        Key::may("discharge", quantity::<Ratio>(), "discharge coefficient of the hole"),
        Key::may(
            "curve",
            Kind::Pairs("flow", "pressure difference"),
            "measured drops by flow, from 0, 0",
        ),
        Key::may("pump", Kind::Section(&PUMP), "a pump"),
        Key::may("one_way", Kind::Flag, "true: a check valve, which lets fluid pass to `to` only"),
        Key::may(
            "opens_at",
            quantity::<PressureDifference>(),
            "a spring holds it shut up to this difference: relief valve, check valve",
        ),
        Key::may(
            "holds_before",
            quantity::<GaugePressure>(),
            "back-pressure regulator: pressure it holds where the fluid enters",
        ),
        Key::may(
            "holds_after",
            quantity::<GaugePressure>(),
            "reducing regulator: pressure it holds where the fluid leaves",
        ),
        Key::may(
            "opens",
            quantities::<Temperature>(),
            "thermostat: begins to open, is open; by the fluid that enters",
        ),
        Key::may(
            "shuts",
            quantities::<Temperature>(),
            "thermostat: begins to shut, is shut; by the fluid that enters",
        ),
        Key::may("heat", quantity::<Power>(), "heat given to the fluid; negative takes it away"),
        Key::may(
            "effectiveness",
            quantity::<Ratio>(),
            "heat exchanger: share of the greatest possible heat",
        ),
        Key::may("exchanges_with", Kind::Name, "heat exchanger: path on its other side"),
        Key::may("air_flow", quantity::<MassFlow>(), "radiator: air on its other side"),
        Key::may("flow_least", quantity::<Flow>(), "the flow this path must have"),
        Key::may("volume", quantity::<Volume>(), "liquid inside it"),
        Key::may("top", Kind::Point, "highest point inside, where air collects"),
        Key::may("bottom", Kind::Point, "lowest point inside, where liquid collects"),
        Key::may("bleed", Kind::Flag, "true: air is let out at the top, by itself or by a screw"),
        Key::may("drain", Kind::Flag, "true: fluid is let out at the bottom"),
        Key::may(
            "outlet_most",
            quantity::<GaugePressure>(),
            "highest pressure allowed where the fluid leaves",
        ),
        Key::may(
            "inlet_margin",
            quantity::<PressureDifference>(),
            "pump: pressure over the vapour pressure that it needs at its inlet",
        ),
    ],
};

/// `pump = { ... }` of a path.
pub static PUMP: Shape = Shape {
    title: "pump",
    about: "A pump: points of a curve, rise at rest and at a flow, or flow and slip.",
    keys: &[
        Key::may(
            "curve",
            Kind::Pairs("flow", "pressure difference"),
            "pressure rises by flow, from no flow",
        ),
        Key::may("rest", quantity::<PressureDifference>(), "pressure rise without flow"),
        Key::may("rise", quantity::<PressureDifference>(), "pressure rise at a flow"),
        Key::may("at_flow", quantity::<Flow>(), "the flow of that rise"),
        Key::may("flow", quantity::<Flow>(), "positive displacement: flow without a rise"),
        Key::may("slip", quantity::<Flow>(), "positive displacement: flow that slips back"),
        Key::may("at_rise", quantity::<PressureDifference>(), "the pressure rise of that slip"),
    ],
};

/// `[[component.state]]`
pub static STATE: Shape = Shape {
    title: "[[component.state]]",
    about: "A state the component can be in; the first one is the usual one.",
    keys: &[
        Key::must("name", Kind::Words, "its name, such as off"),
        Key::may("shut", Kind::Names, "paths that are shut in it"),
        Key::may("blocked", quantity::<Ratio>(), "share of the passage that is blocked"),
        Key::may("speed", quantity::<Ratio>(), "pump: speed as a share of that of its curve"),
        Key::may(
            "position",
            quantity::<Ratio>(),
            "stuck thermostat: 0 % as when cold, 100 % as when warm",
        ),
        Key::may("surface", Kind::Point, "tank: a point on the surface of the liquid"),
        Key::may("volume", quantity::<Volume>(), "tank: volume of liquid in it"),
        Key::may("pressure", quantity::<GaugePressure>(), "tank: pressure over the liquid"),
    ],
};

/// `need = { ... }` of a component.
pub static NEED: Shape = Shape {
    title: "need",
    about: "What the component uses up.",
    keys: &[
        Key::must("port", Kind::Words, "port it takes the fluid from"),
        Key::must("flow", quantity::<Flow>(), "flow it takes"),
        Key::must("pressure", quantity::<GaugePressure>(), "pressure it needs there"),
    ],
};

/// `[[join]]`
pub static JOIN: Shape = Shape {
    title: "[[join]]",
    about: "Two ports that are screwed together without a line.",
    keys: &[Key::must("ports", Kind::Names, "the two, as COMPONENT.PORT")],
};
