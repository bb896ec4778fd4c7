//! The keys of the plan file, each said once: for reading, for messages and for the JSON schema.

mod bender;
mod case;
mod component;
mod keep_out;
mod strap;
mod tank;

pub use bender::{BENDER, MARKS, ROOM, TURNS};
pub use case::{CASE, MATRIX, WEATHER};
pub use component::{
    COMPONENT, COMPONENTS, DATUM, JOIN, NEED, PATH, PORT, PORT_END, PUMP, STATE, TANK_KEYS, TAPE,
};
pub use keep_out::{BOX, CYLINDER, KEEP_OUT, PLANE};
pub use strap::{BODIES, HOLE, ROUND, STRAP, TEST_BEND};
pub use tank::{INNER, POURED, STICK, TANK_ENDS, TANK_KINDS, TANK_SHAPE};

use crate::document::{Key, Kind, Shape, quantity};
use crate::table::end::End;
use crate::units::{
    AbsolutePressure, Angle, Density, DynamicViscosity, Flow, FlowCoefficient, GaugePressure,
    Length, LinearMass, Mass, PressureDifference, Ratio, SpecificHeat, Stress, Temperature, Time,
    Velocity,
};

/// Directions an axis can point in.
pub const DIRECTIONS: &[&str] = &["forward", "aft", "right", "left", "up", "down"];
/// Length units for bare coordinates.
pub const LENGTH_UNITS: &[&str] = &["mm", "cm", "m", "in"];
/// What a line is for.
pub const SERVICES: &[&str] =
    &["suction", "pressure", "return", "gravity", "vent", "fill", "drain", "overflow", "gauge"];
/// Where a line runs, for the fire rules.
pub const ZONES: &[&str] = &["engine", "cabin", "open"];
/// What a bend radius is measured to.
pub const BEND_DATUMS: &[&str] = &["inside", "centre-line"];
/// Standing of a figure that the builder types.
pub const STANDINGS: &[&str] = &["plan", "demo", "from-memory", "common-practice"];
/// The whole plan.
pub static ROOT: Shape = Shape {
    title: "the plan",
    about: "A machine to be plumbed: components with ports, lines between them, operating cases.",
    keys: &[
        Key::must("plan", Kind::Section(&PLAN), "the machine, its axes and its length unit"),
        Key::may("fluid", Kind::Sections(&FLUID), "the fluids in the lines"),
        Key::may("hose", Kind::Sections(&HOSE), "hoses that are in no table"),
        Key::may("end", Kind::Sections(&END), "end fittings that are in no table"),
        Key::may("bender", Kind::Sections(&BENDER), "benders for rigid tube"),
        Key::may("datum", Kind::Sections(&DATUM), "known points that places are taped from"),
        Key::may("component", Kind::Sections(&COMPONENT), "what the lines connect"),
        Key::may("line", Kind::Sections(&LINE), "the hoses and tubes"),
        Key::may("join", Kind::Sections(&JOIN), "ports screwed together without a line"),
        Key::may("keep_out", Kind::Sections(&KEEP_OUT), "what the lines keep clear of"),
        Key::may("strap", Kind::Sections(&STRAP), "straps of sheet that hold a body"),
        Key::may("case", Kind::Sections(&CASE), "operating cases"),
        Key::may("matrix", Kind::Section(&MATRIX), "operating cases made by combination"),
        Key::may("stock", Kind::Section(&STOCK), "what the lines are cut from"),
        Key::may("order", Kind::Section(&ORDER), "how to order"),
    ],
};

/// `[plan]`
pub static PLAN: Shape = Shape {
    title: "[plan]",
    about: "The machine, its axes and its length unit.",
    keys: &[
        Key::must("name", Kind::Words, "what the machine is called"),
        Key::may("revision", Kind::Words, "letter or number of this edition of the plan"),
        Key::may("note", Kind::Words, "anything worth telling"),
        Key::must("length_unit", Kind::Choice(LENGTH_UNITS), "unit of all bare coordinates"),
        Key::must("axes", Kind::Section(&AXES), "where x, y and z point"),
        Key::may(
            "cut_step",
            quantity::<Length>(),
            "cut lengths are rounded up to this; 1 mm if absent",
        ),
        Key::may("cut_tolerance", quantity::<Length>(), "how far a cut hose may be off its length"),
        Key::may(
            "cut_off_tolerance",
            quantity::<Length>(),
            "how far the cut-off of one fitting may be off",
        ),
        Key::may(
            "port_tolerance",
            quantity::<Length>(),
            "how well the place of a port is known where the port does not say",
        ),
        Key::may(
            "waterline",
            Kind::Point,
            "boat: a point of the surface of the water outside, about which it heels and trims",
        ),
        Key::may(
            "rules",
            Kind::Names,
            "yardsticks to hold the machine against, by row of limit/regulation",
        ),
        Key::may(
            "hose_life",
            Kind::Names,
            "rules on the life of hose, by row of limit/hose-life, see `hosewright log life`",
        ),
        Key::may(
            "torque",
            Kind::NameOrNames,
            "the torque table that joints are tightened by, or a list, each for other families; see `hosewright tables \
             torque`",
        ),
    ],
};

/// `axes = { ... }`
pub static AXES: Shape = Shape {
    title: "axes",
    about: "Where the three axes of the coordinates point, seen by the operator.",
    keys: &[
        Key::must("x", Kind::Choice(DIRECTIONS), "where x points"),
        Key::must("y", Kind::Choice(DIRECTIONS), "where y points"),
        Key::must("z", Kind::Choice(DIRECTIONS), "where z points"),
    ],
};

/// `[[fluid]]`
pub static FLUID: Shape = Shape {
    title: "[[fluid]]",
    about: "A fluid from a table, or with the builder's own figures.",
    keys: &[
        Key::must("id", Kind::Name, "what the lines call it"),
        Key::may("table", Kind::Name, "a fluid table, see `hosewright tables fluid`"),
        Key::may("grade", Kind::Words, "the grade in that table"),
        Key::may("reid", quantity::<AbsolutePressure>(), "Reid vapour pressure of this petrol"),
        Key::may(
            "use",
            Kind::Words,
            "fuel, engine oil, hydraulic oil, coolant, water, air; own figures only",
        ),
        Key::may("class", Kind::Words, "fluid class of the compatibility table; own figures only"),
        Key::may("flammable", Kind::Flag, "whether it burns; own figures only"),
        Key::may("gas", Kind::Flag, "whether it is a gas; own figures only"),
        Key::may(
            "pressure",
            quantity::<AbsolutePressure>(),
            "absolute pressure at which the densities of a gas hold; own figures only",
        ),
        Key::may("points", Kind::Sections(&FLUID_POINT), "own figures by temperature"),
        Key::may("bulk_modulus", quantity::<Stress>(), "adiabatic bulk modulus, for surge"),
        Key::may("source", Kind::Words, "where own figures come from"),
        Key::may("standing", Kind::Choice(STANDINGS), "how far to trust own figures"),
    ],
};

/// One entry of `points` of a fluid.
pub static FLUID_POINT: Shape = Shape {
    title: "points",
    about: "One measured state of a fluid.",
    keys: &[
        Key::must("temperature", quantity::<Temperature>(), "temperature"),
        Key::must("density", quantity::<Density>(), "density"),
        Key::must("viscosity", quantity::<DynamicViscosity>(), "dynamic viscosity"),
        Key::may("vapour", quantity::<AbsolutePressure>(), "vapour pressure, absolute"),
        Key::may("specific_heat", quantity::<SpecificHeat>(), "specific heat, to warm and cool it"),
    ],
};

/// `[[hose]]`
pub static HOSE: Shape = Shape {
    title: "[[hose]]",
    about: "A hose that is in no table, with the builder's figures. What is not known is left out.",
    keys: &[
        Key::must("id", Kind::Name, "what the lines call it"),
        Key::must("bore", quantity::<Length>(), "inside diameter"),
        Key::may("outside", quantity::<Length>(), "outside diameter"),
        Key::may("working", quantity::<GaugePressure>(), "working pressure"),
        Key::may("proof", quantity::<GaugePressure>(), "proof pressure"),
        Key::may("burst", quantity::<GaugePressure>(), "least burst pressure"),
        Key::may("bend_radius", quantity::<Length>(), "least bend radius"),
        Key::may("bend_to", Kind::Choice(BEND_DATUMS), "what the bend radius is measured to"),
        Key::may("vacuum", quantity::<PressureDifference>(), "pressure below ambient it stands"),
        Key::may("mass", quantity::<LinearMass>(), "mass per length"),
        Key::may(
            "droop_test",
            Kind::Section(&DROOP_TEST),
            "how stiff it is: a straight piece of it, empty, held level at one end",
        ),
        Key::may("end_bore", quantity::<Length>(), "least bore of its end fittings"),
        Key::may("liner", Kind::Words, "material that touches the fluid"),
        Key::may("temperature_min", quantity::<Temperature>(), "coldest service"),
        Key::may("temperature_max", quantity::<Temperature>(), "hottest service"),
        Key::may(
            "full_pressure_when_hot",
            Kind::Flag,
            "true: the working pressure holds over the whole temperature range",
        ),
        Key::may(
            "derate",
            Kind::Pairs("temperature", "share"),
            "share of the working pressure by temperature",
        ),
        Key::may(
            "length_change_min",
            quantity::<Ratio>(),
            "shortening under pressure, such as \"-4 %\"",
        ),
        Key::may("length_change_max", quantity::<Ratio>(), "lengthening under pressure"),
        Key::may("surface", Kind::Words, "row of the roughness table"),
        Key::may("fire", Kind::Words, "fire class: fire-resistant, fireproof or none"),
        Key::must("source", Kind::Words, "where the figures come from"),
        Key::may("standing", Kind::Choice(STANDINGS), "how far to trust them"),
    ],
};

/// `droop_test = { ... }` of a hose.
pub static DROOP_TEST: Shape = Shape {
    title: "droop_test",
    about: "How far a straight piece of empty hose hangs down that is held level at one end.",
    keys: &[
        Key::must("overhang", quantity::<Length>(), "length that hangs free"),
        Key::must("droop", quantity::<Length>(), "how far its free end hangs below the held one"),
    ],
};

/// `[[end]]`
pub static END: Shape = Shape {
    title: "[[end]]",
    about: "An end fitting that is in no table.",
    keys: &[
        Key::must("id", Kind::Name, "what the lines call it"),
        Key::must("family", Kind::Name, "thread and seat family, such as flare-37"),
        Key::must("size", Kind::Words, "size as the family counts it, such as -8"),
        Key::must("gender", Kind::Choice(&["female", "male"]), "nut or cone"),
        Key::may("angle", quantity::<Angle>(), "angle between joint and hose; straight if absent"),
        Key::must(
            "cut_off",
            quantity::<Length>(),
            "length of fitting beyond the hose end, one fitting",
        ),
        Key::may(
            "drop",
            quantity::<Length>(),
            "angled ends: from the hose axis to the seat, square to the hose",
        ),
        Key::may("bore", quantity::<Length>(), "least bore"),
        Key::may("wetted", Kind::Words, "material that touches the fluid"),
        Key::may("mass", quantity::<Mass>(), "what one fitting weighs"),
        Key::may("attached", Kind::Choice(End::ATTACHED), "how it is put on the hose or tube"),
        Key::must("source", Kind::Words, "where the figures come from"),
        Key::may("standing", Kind::Choice(STANDINGS), "how far to trust them"),
    ],
};

/// `[[line]]`
pub static LINE: Shape = Shape {
    title: "[[line]]",
    about: "A hose or tube from one port to another. End A is at `from`.",
    keys: &[
        Key::must("id", Kind::Name, "short name, such as F1"),
        Key::may("name", Kind::Words, "full name"),
        Key::must("system", Kind::Words, "which system it belongs to"),
        Key::must("fluid", Kind::Name, "id of its fluid"),
        Key::must("service", Kind::Choice(SERVICES), "what it is for"),
        Key::must("from", Kind::Words, "COMPONENT.PORT at end A, where the fluid enters"),
        Key::must("to", Kind::Words, "COMPONENT.PORT at end B"),
        Key::may("hose", Kind::Name, "a hose table or a [[hose]] of the plan"),
        Key::may("tube", Kind::Name, "a tube table or a tube material"),
        Key::may("size", Kind::Words, "size in that table, such as -8"),
        Key::may("material", Kind::Name, "tube from a table that does not say: its material"),
        Key::may("outside", quantity::<Length>(), "tube by material: outside diameter"),
        Key::may("wall", quantity::<Length>(), "tube by material: wall"),
        Key::may(
            "end_a",
            Kind::Words,
            "end fitting at A: table or [[end]] id, then a size if it differs",
        ),
        Key::may("end_b", Kind::Words, "end fitting at B"),
        Key::may("aim_a", Kind::Point, "angled end A: direction in which the hose leaves"),
        Key::may("aim_b", Kind::Point, "angled end B: direction in which the hose leaves"),
        Key::may(
            "bender",
            Kind::Name,
            "tube: the [[bender]] it is bent in, which decides the radius",
        ),
        Key::may(
            "bend_radius",
            quantity::<Length>(),
            "bend radius to the centre line; the least allowed if absent",
        ),
        Key::may("clips", Kind::Clips(&CLIP), "corners of the route from A to B"),
        Key::may("slack", quantity::<Ratio>(), "spare length as a share of the assembly"),
        Key::may(
            "clock",
            quantity::<Angle>(),
            "two angled ends, as made: A at 6 o'clock, counter-clockwise to B, seen from A",
        ),
        Key::may("zone", Kind::Choice(ZONES), "where it runs, for the fire rules"),
        Key::may("sleeves", Kind::Sections(&SLEEVE), "sleeves over it"),
        Key::may("losses", Kind::Sections(&LOSS), "what else resists the flow in it"),
        Key::may("duty", Kind::Sections(&DUTY), "flow, pressure and temperature, by case"),
        Key::may("velocity_limit", quantity::<Velocity>(), "the builder's own limit of velocity"),
        Key::may("drop_limit", quantity::<PressureDifference>(), "greatest pressure drop allowed"),
        Key::may(
            "leak_allowed",
            quantity::<Flow>(),
            "what it may leak at its highest pressure, as its maker says; fuel may not leak at all",
        ),
        Key::may(
            "closing_time",
            quantity::<Time>(),
            "a valve in it can stop the flow within this time",
        ),
        Key::may("snubber", Kind::Flag, "a gauge line has a restrictor at its source"),
        Key::may("lead_time_short", Kind::Flag, "no spare needs to be ordered"),
        Key::may("note", Kind::Words, "anything worth telling"),
    ],
};

/// One clip written as a table.
pub static CLIP: Shape = Shape {
    title: "clips",
    about: "A corner of the route; with a clip unless `held = false`.",
    keys: &[
        Key::must("at", Kind::Point, "where"),
        Key::may(
            "measured",
            Kind::Sections(&TAPE),
            "taped distances that place it; `at` then only tells the side",
        ),
        Key::may(
            "tolerance",
            quantity::<Length>(),
            "how far the clip may be from `at`, where it is measured",
        ),
        Key::may("held", Kind::Flag, "false: a corner without a clip"),
        Key::may("bleed", Kind::Flag, "air can be let out here"),
        Key::may("drain", Kind::Flag, "fluid can be let out here"),
    ],
};

/// One sleeve.
pub static SLEEVE: Shape = Shape {
    title: "sleeves",
    about: "A sleeve, by its start and end from end A along the line.",
    keys: &[
        Key::must("kind", Kind::Choice(&["chafe", "heat", "fire"]), "what it protects from"),
        Key::must("start", quantity::<Length>(), "where it starts, from end A"),
        Key::must("end", quantity::<Length>(), "where it ends, from end A"),
    ],
};

/// One extra resistance.
pub static LOSS: Shape = Shape {
    title: "losses",
    about: "A resistance inside the line: loss coefficient, flow coefficient, or a measured drop.",
    keys: &[
        Key::must("what", Kind::Words, "what it is"),
        Key::may("k", Kind::Number, "loss coefficient, with its bore"),
        Key::may("bore", quantity::<Length>(), "the bore that k belongs to"),
        Key::may("kv", quantity::<FlowCoefficient>(), "flow coefficient"),
        Key::may("drop", quantity::<PressureDifference>(), "measured drop, with its flow"),
        Key::may("at_flow", quantity::<Flow>(), "the flow of the measured drop"),
        Key::may("law", Kind::Choice(&["linear", "square"]), "how the drop grows with flow"),
        Key::may("at", Kind::Choice(&["A", "B"]), "the end where it sits; A if absent"),
    ],
};

/// One duty.
pub static DUTY: Shape = Shape {
    title: "[[line.duty]]",
    about: "What the line must do in a case.",
    keys: &[
        Key::may("case", Kind::Words, "name of the case; every case if absent"),
        Key::must("flow", quantity::<Flow>(), "flow from A to B"),
        Key::must("temperature", quantity::<Temperature>(), "temperature of the fluid"),
        Key::may("pressure_from", quantity::<GaugePressure>(), "pressure at end A"),
        Key::may("pressure_to", quantity::<GaugePressure>(), "pressure at end B"),
        Key::may(
            "pressure_max",
            quantity::<GaugePressure>(),
            "highest pressure it can see, such as a relief setting",
        ),
    ],
};

/// `[stock]`
pub static STOCK: Shape = Shape {
    title: "[stock]",
    about: "What the lines are cut from.",
    keys: &[
        Key::must("kerf", quantity::<Length>(), "width of one cut"),
        Key::must(
            "squaring",
            quantity::<Length>(),
            "length lost to square the end of each stock piece",
        ),
        Key::may("piece", Kind::Sections(&PIECE), "stock lengths"),
    ],
};

/// `[[stock.piece]]`
pub static PIECE: Shape = Shape {
    title: "[[stock.piece]]",
    about: "A stock length on the shelf, or one that can be bought.",
    keys: &[
        Key::must("of", Kind::Words, "what it is: hose or tube as the cut list names it"),
        Key::must("length", quantity::<Length>(), "length"),
        Key::may("count", Kind::Count, "how many there are; as many as needed if absent"),
    ],
};

/// `[order]`
pub static ORDER: Shape = Shape {
    title: "[order]",
    about: "How to order.",
    keys: &[Key::may("spares", quantity::<Ratio>(), "spare end fittings as a share, rounded up")],
};
