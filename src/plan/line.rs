//! Lines: hose or tube, its ends, its route and what it must do.

mod carrier;
mod clip;
mod duty;
mod known;
mod port;
mod size;

use super::component::unit_direction;
use super::{Given, not_negative, positive, shape};
use crate::document::{Section, shorten};
use crate::source::Sourced;
use crate::table::SizeRow;
use crate::table::end::End;
use crate::table::hose::Hose;
use crate::table::material::Material;
use crate::units::{
    Angle, Flow, FlowCoefficient, GaugePressure, Length, PressureDifference, Quantity, Ratio,
    Temperature, Time, Velocity,
};
use carrier::{bender, carrier, end, size_is_at_fault};
use clip::clips;
pub use clip::{Clip, clip_name};
pub use duty::loss_law;
use duty::{duties, loss};
pub use known::{Known, Named};
use port::report_missing_ends;
pub use port::{Taken, Used, port_ref};
pub use size::Resized;

/// What a line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Service {
    /// To the inlet of a pump.
    Suction,
    /// From a pump.
    Pressure,
    /// Back to a tank.
    Return,
    /// By height alone.
    Gravity,
    /// Air or vapour.
    Vent,
    /// Filling a tank.
    Fill,
    /// Emptying.
    Drain,
    /// Overflow.
    Overflow,
    /// To a gauge: no flow.
    Gauge,
}

impl Service {
    const WORDS: [(&'static str, Self); 9] = [
        ("suction", Self::Suction),
        ("pressure", Self::Pressure),
        ("return", Self::Return),
        ("gravity", Self::Gravity),
        ("vent", Self::Vent),
        ("fill", Self::Fill),
        ("drain", Self::Drain),
        ("overflow", Self::Overflow),
        ("gauge", Self::Gauge),
    ];

    /// The word of the plan.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, s)| *s == self).map_or("", |(w, _)| w)
    }
}

/// Where a line runs, for the fire rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zone {
    /// Engine space.
    Engine,
    /// With people.
    Cabin,
    /// Neither.
    Open,
}

/// A port by its place in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PortRef {
    /// Index of the component.
    pub component: usize,
    /// Index of its port.
    pub port: usize,
}

/// A rigid tube.
#[derive(Clone, Debug)]
pub struct Tube {
    /// What the order list says.
    pub label: String,
    /// Where it stands in the tables; none for a tube by its material.
    pub row: Option<SizeRow>,
    /// Name of the material.
    pub material: String,
    /// Its strength and weight.
    pub strength: Material,
    /// Outside diameter.
    pub outside: Sourced<Length>,
    /// Wall.
    pub wall: Sourced<Length>,
    /// Share of the wall that may be missing.
    pub wall_tolerance: Option<Sourced<f64>>,
    /// Least bend radius to the centre line.
    pub bend_radius: Option<Sourced<Length>>,
    /// Least bore after an end has been formed.
    pub end_bore: Option<Sourced<Length>>,
    /// Row of the roughness table.
    pub surface: Option<Sourced<String>>,
}

/// Hose or tube.
#[derive(Clone, Debug)]
pub enum Carrier {
    /// A flexible hose.
    Hose(Hose),
    /// A rigid tube.
    Tube(Tube),
}

impl Carrier {
    /// What the cut list and the order list call it.
    pub fn label(&self) -> &str {
        match self {
            Self::Hose(hose) => &hose.label,
            Self::Tube(tube) => &tube.label,
        }
    }
}

/// A sleeve, from end A along the line.
#[derive(Clone, Debug)]
pub struct Sleeve {
    /// What it protects from: chafe, heat or fire.
    pub kind: &'static str,
    /// Start, mm.
    pub start_mm: f64,
    /// End, mm.
    pub end_mm: f64,
}

/// How an extra resistance acts.
#[derive(Clone, Copy, Debug)]
pub enum LossLaw {
    /// Loss coefficient on a bore.
    Coefficient {
        /// The coefficient.
        k: f64,
        /// The bore it belongs to.
        bore: Length,
    },
    /// Flow coefficient.
    Valve(FlowCoefficient),
    /// A measured drop at a flow.
    Measured {
        /// The drop.
        drop: PressureDifference,
        /// Its flow.
        at: Flow,
        /// Whether it grows with the flow, or with its square.
        linear: bool,
    },
}

/// An extra resistance.
#[derive(Clone, Debug)]
pub struct Loss {
    /// What it is.
    pub what: String,
    /// How it acts.
    pub law: LossLaw,
    /// Whether it sits at end B; at end A otherwise, where it lowers the whole line.
    pub at_b: bool,
}

/// Where a pressure is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Anchor {
    /// At end A.
    From(GaugePressure),
    /// At end B.
    To(GaugePressure),
    /// Nowhere.
    None,
}

/// What a line must do in a case.
#[derive(Clone, Debug)]
pub struct Duty {
    /// Index of the case; every case when absent.
    pub case: Option<usize>,
    /// Flow from A to B.
    pub flow: Flow,
    /// Temperature of the fluid.
    pub temperature: Temperature,
    /// The stated pressure.
    pub anchor: Anchor,
    /// Highest pressure it can see.
    pub pressure_max: Option<GaugePressure>,
}

/// A line of the plan.
#[derive(Clone, Debug)]
pub struct Line {
    /// Short name.
    pub id: String,
    /// Full name.
    pub name: Option<String>,
    /// System it belongs to.
    pub system: String,
    /// Index of its fluid.
    pub fluid: usize,
    /// What it is for.
    pub service: Service,
    /// Port at end A.
    pub from: PortRef,
    /// Port at end B.
    pub to: PortRef,
    /// Hose or tube.
    pub carrier: Carrier,
    /// End fittings at A and B; none where a hose is pushed over a spigot.
    pub ends: [Option<End>; 2],
    /// Wished directions of angled ends.
    pub aims: [Option<[f64; 3]>; 2],
    /// Index of the bender of a rigid tube.
    pub bender: Option<usize>,
    /// Bend radius to the centre line, mm.
    pub bend_radius_mm: Option<f64>,
    /// Corners of the route.
    pub clips: Vec<Clip>,
    /// Slack as a share of the assembly.
    pub slack: Option<f64>,
    /// By how much it was cut shorter than planned, mm, below zero where longer; nothing in the plan says so.
    pub cut_short_mm: f64,
    /// Clock angle of its two angled ends as made, rad.
    pub clock_rad: Option<f64>,
    /// Where it runs.
    pub zone: Option<Zone>,
    /// Sleeves.
    pub sleeves: Vec<Sleeve>,
    /// Extra resistances.
    pub losses: Vec<Loss>,
    /// Duties.
    pub duties: Vec<Duty>,
    /// The builder's limit of velocity.
    pub velocity_limit: Option<Velocity>,
    /// Greatest pressure drop allowed.
    pub drop_limit: Option<PressureDifference>,
    /// What it may leak at its highest pressure.
    pub leak_allowed: Option<Flow>,
    /// A valve can stop the flow within this time.
    pub closing_time: Option<Time>,
    /// Whether a gauge line has a restrictor.
    pub snubber: Option<bool>,
    /// Whether no spare needs to be ordered.
    pub lead_time_short: bool,
    /// Anything worth telling.
    pub note: Option<String>,
}

/// Reads all `[[line]]` and notes the ports that they take.
pub fn read(root: &Section<'_>, known: &Known<'_>, used: &mut Used) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut given = Given::new("line");
    for section in root.sections("line", &shape::LINE) {
        if let Some(id) = section.id("id") {
            given.is_new(&section, &id);
        }
        let line = read_line(&section, known, used);
        lines.extend(line);
    }
    lines
}

fn read_line(section: &Section<'_>, known: &Known<'_>, used: &mut Used) -> Option<Line> {
    // Everything is read before the first `?`, so that one fault does not hide the next.
    let id = section.id("id");
    let name = section.words("name");
    let system = section.words("system");
    let fluid = fluid_index(section, known);
    let service = section.choice("service", &Service::WORDS);
    let what = id.as_ref().filter(|i| !i.value.is_empty());
    let what = what.map_or("another line".into(), |i| format!("line {}", shorten(&i.value)));
    let by = Taken { what, by: section.span.start };
    let mut port = |key| port_ref(section, &section.words(key)?, key, &by, known, used);
    let (from, to) = (port("from"), port("to"));
    let carrier = carrier(section, known);
    let bender = bender(section, known, carrier.as_ref());
    let sized = !size_is_at_fault(section, known, carrier.is_some());
    // What is named for a spigot is wrong whatever it is: it is not looked up.
    let fitted = [("end_a", from), ("end_b", to)];
    let ends = fitted.map(|(key, port)| {
        let bare =
            port.is_some_and(|p| known.components[p.component].ports[p.port].end.is_spigot());
        if bare { None } else { end(section, key, known, sized) }
    });
    report_missing_ends(section, known, [from, to]);
    let aims = [aim(section, "aim_a"), aim(section, "aim_b")];
    let clock_rad = clock(section, &ends);
    let zones = [("engine", Zone::Engine), ("cabin", Zone::Cabin), ("open", Zone::Open)];
    let optional = Line {
        id: String::new(),
        name: name.map(|n| n.value),
        system: String::new(),
        fluid: 0,
        service: Service::Pressure,
        from: PortRef { component: 0, port: 0 },
        to: PortRef { component: 0, port: 0 },
        ends,
        aims,
        bender,
        bend_radius_mm: positive::<Length>(section, "bend_radius").map(|r| r.value.si() * 1e3),
        clips: clips(section, known),
        slack: slack(section),
        cut_short_mm: 0.0,
        clock_rad,
        zone: section.choice("zone", &zones).map(|z| z.value),
        sleeves: sleeves(section),
        losses: section.sections("losses", &shape::LOSS).iter().filter_map(loss).collect(),
        duties: duties(section, known),
        velocity_limit: positive::<Velocity>(section, "velocity_limit").map(|v| v.value),
        drop_limit: positive::<PressureDifference>(section, "drop_limit").map(|d| d.value),
        leak_allowed: not_negative::<Flow>(section, "leak_allowed").map(|l| l.value),
        closing_time: positive::<Time>(section, "closing_time").map(|t| t.value),
        snubber: section.flag("snubber"),
        lead_time_short: section.flag("lead_time_short").unwrap_or(false),
        note: section.words("note").map(|n| n.value),
        // Last, since the values are read in the order they stand in here.
        carrier: carrier?,
    };
    Some(Line {
        id: id?.value,
        system: system?.value,
        fluid: fluid?,
        service: service?.value,
        from: from?,
        to: to?,
        ..optional
    })
}

fn fluid_index(section: &Section<'_>, known: &Known<'_>) -> Option<usize> {
    let name = section.name("fluid")?;
    let index = known.fluids.get(name.value.as_str()).copied();
    if index.is_none() && !known.may_name("fluid") {
        section.unknown(&name, "fluid", known.fluids.keys().copied());
    }
    index
}

fn aim(section: &Section<'_>, key: &str) -> Option<[f64; 3]> {
    let written = section.point(key)?;
    unit_direction(section, key, &written)
}

fn slack(section: &Section<'_>) -> Option<f64> {
    let slack = not_negative::<Ratio>(section, "slack")?;
    if slack.value.si() > 0.5 {
        let message = "slack is more than half of the assembly";
        section.reader().problem(&slack.span, message, "too much", vec!["slack = \"5 %\"".into()]);
        return None;
    }
    Some(slack.value.si())
}

/// The clock angle as made; only two angled ends have one.
fn clock(section: &Section<'_>, ends: &[Option<End>; 2]) -> Option<f64> {
    let clock = section.quantity::<Angle>("clock")?;
    let straight = |end: &Option<End>| end.as_ref().is_some_and(|e| e.angle.si() < 1e-9);
    let bare = |key: &str, end: &Option<End>| end.is_none() && !section.has(key);
    let none = bare("end_a", &ends[0]) || bare("end_b", &ends[1]);
    if none || ends.iter().any(straight) {
        let help = vec!["only two elbows stand at an angle to each other".into()];
        let message =
            "clock is the angle between two angled ends, and this line does not have them";
        section.reader().problem(&clock.span, message, "no such angle", help);
        return None;
    }
    Some(clock.value.si().rem_euclid(std::f64::consts::TAU))
}

fn sleeves(section: &Section<'_>) -> Vec<Sleeve> {
    let kinds = [("chafe", "chafe"), ("heat", "heat"), ("fire", "fire")];
    let mut sleeves = Vec::new();
    for sleeve in section.sections("sleeves", &shape::SLEEVE) {
        let kind = sleeve.choice("kind", &kinds);
        let start = not_negative::<Length>(&sleeve, "start");
        let end = positive::<Length>(&sleeve, "end");
        let (Some(kind), Some(start), Some(end)) = (kind, start, end) else {
            continue;
        };
        let (start_mm, end_mm) = (start.value.si() * 1e3, end.value.si() * 1e3);
        if end_mm <= start_mm {
            let message = "the sleeve ends before it starts";
            section.reader().problem(
                &end.span,
                message,
                "not after start",
                vec!["both count from end A".into()],
            );
        }
        sleeves.push(Sleeve { kind: kind.value, start_mm, end_mm });
    }
    sleeves
}
