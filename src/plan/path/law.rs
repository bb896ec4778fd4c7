//! What a path costs or adds: which of the laws is written, and its figures.

use super::PathLaw;
use crate::document::{Placed, Section};
use crate::plan::line::{LossLaw, loss_law};
use crate::plan::{Bounds, not_negative, positive, ratio, shape};
use crate::units::{Flow, Length, PressureDifference, Quantity};

/// A law by the key that stands for it, with the keys that go with that one.
type Law = (&'static str, &'static [&'static str]);

/// The laws of a path.
const PATHS: &[Law] = &[
    ("free", &[]),
    ("k", &["bore"]),
    ("kv", &[]),
    ("drop", &["at_flow", "law"]),
    ("hole", &["bore", "discharge"]),
    ("curve", &[]),
    ("pump", &[]),
];

/// The laws of a pump.
const PUMPS: &[Law] =
    &[("curve", &[]), ("rest", &["rise", "at_flow"]), ("flow", &["slip", "at_rise"])];

impl From<LossLaw> for PathLaw {
    fn from(law: LossLaw) -> Self {
        match law {
            LossLaw::Coefficient { k, bore } => Self::Coefficient { k, bore },
            LossLaw::Valve(kv) => Self::Valve(kv),
            LossLaw::Measured { drop, at, linear } => Self::Measured { drop, at, linear },
        }
    }
}

/// The law of a path.
pub fn law(section: &Section<'_>) -> Option<PathLaw> {
    match written(section, "path", PATHS)? {
        "free" => free(section),
        "hole" => orifice(section),
        "curve" => Some(PathLaw::Curve(curve(section, false)?)),
        "pump" => pump(&section.section("pump", &shape::PUMP)?),
        _ => loss_law(section).map(PathLaw::from),
    }
}

/// The key of the one law that is written, when all that goes with it is there and nothing else.
fn written(section: &Section<'_>, what: &str, laws: &[Law]) -> Option<&'static str> {
    let mut found: Vec<&Law> = laws.iter().filter(|(key, _)| section.has(key)).collect();
    found.sort_by_key(|(key, _)| section.place(key).start);
    let reader = section.reader();
    let [(key, with)] = found.as_slice() else {
        let shown = |(key, with): &Law| match with {
            [] => (*key).to_owned(),
            _ => format!("{key} with {}", with.join(" and ")),
        };
        let help =
            vec![format!("one of: {}", laws.iter().map(shown).collect::<Vec<_>>().join(", "))];
        match found.get(1) {
            None => reader.absence(&section.header(), format!("the {what} has no law"), help),
            Some((second, _)) => reader.problem(
                &section.place(second),
                format!("the {what} has two laws, {} and {second}", found[0].0),
                "one too many",
                help,
            ),
        }
        return None;
    };
    let missing: Vec<&&str> = with.iter().filter(|k| !section.has(k)).collect();
    for other in &missing {
        let message = format!("a {what} with {key} needs the key \"{other}\"");
        let help = vec![format!("{key} goes with {}", with.join(" and "))];
        reader.absence(&section.header(), message, help);
    }
    let all = laws.iter().flat_map(|(_, with)| with.iter());
    let foreign: Vec<&&str> = all.filter(|k| !with.contains(k) && section.has(k)).collect();
    for other in &foreign {
        let message = format!("{other} does not go with {key}");
        let help = vec![format!("take out {other}")];
        reader.problem(&section.place(other), message, "not with this law", help);
    }
    (missing.is_empty() && foreign.is_empty()).then_some(key)
}

fn free(section: &Section<'_>) -> Option<PathLaw> {
    if section.flag("free")? {
        return Some(PathLaw::Free);
    }
    section.reader().problem(
        &section.place("free"),
        "free = false does not say what resists the flow",
        "no law",
        vec!["write free = true, or a law such as kv = \"Kv 2\"".into()],
    );
    None
}

fn orifice(section: &Section<'_>) -> Option<PathLaw> {
    let hole = positive::<Length>(section, "hole");
    let bore = positive::<Length>(section, "bore");
    let discharge = ratio(section, "discharge", &Bounds::ABOVE_0_TO_1);
    let (hole, bore) = (hole?, bore?);
    if hole.value.si() >= bore.value.si() {
        section.reader().problem(
            &hole.span,
            "the hole is not smaller than the bore before it",
            "no orifice",
            vec!["the bore is that of the line or passage before the hole".into()],
        );
        return None;
    }
    Some(PathLaw::Orifice { hole: hole.value, bore: bore.value, discharge: discharge?.value.si() })
}

fn pump(section: &Section<'_>) -> Option<PathLaw> {
    match written(section, "pump", PUMPS)? {
        "curve" => Some(PathLaw::PumpCurve(curve(section, true)?)),
        "rest" => {
            let rest = positive::<PressureDifference>(section, "rest");
            let rise = not_negative::<PressureDifference>(section, "rise");
            let at = positive::<Flow>(section, "at_flow");
            let (rest, rise) = (rest?, rise?);
            let help = "a pump gives less pressure the more flows; rest is the rise without flow";
            less(section, ("rise", &rise), ("rest", &rest), help)?;
            Some(PathLaw::PumpSquare { rest: rest.value, rise: rise.value, at: at?.value })
        }
        _ => {
            let flow = positive::<Flow>(section, "flow");
            let slip = not_negative::<Flow>(section, "slip");
            let at = positive::<PressureDifference>(section, "at_rise");
            let (flow, slip) = (flow?, slip?);
            let help = "slip is the part of the flow that leaks back at that rise";
            less(section, ("slip", &slip), ("flow", &flow), help)?;
            Some(PathLaw::Displacement { flow: flow.value, slip: slip.value, at: at?.value })
        }
    }
}

/// The first of two must be less than the second.
fn less<Q: Quantity>(
    section: &Section<'_>,
    (name, value): (&str, &Placed<Q>),
    (other, limit): (&str, &Placed<Q>),
    help: &str,
) -> Option<()> {
    if value.value.si() < limit.value.si() {
        return Some(());
    }
    let message = format!("{name} is not less than {other}");
    section.reader().problem(&value.span, message, "not less", vec![help.to_owned()]);
    None
}

/// One point of a curve as it stands in the text.
type Point = (Placed<Flow>, Placed<PressureDifference>);

/// A curve from no flow; the pressure rises from nothing, or falls if it is that of a pump.
fn curve(section: &Section<'_>, of_pump: bool) -> Option<Vec<(Flow, PressureDifference)>> {
    let pairs = section.pairs::<Flow, PressureDifference>("curve");
    if pairs.len() != section.array("curve").len() {
        return None;
    }
    if let Some((span, message, label)) = fault(section, &pairs, of_pump) {
        let help = if of_pump {
            "for example [[\"0 L/min\", \"90 kPa\"], [\"60 L/min\", \"68 kPa\"]]"
        } else {
            "for example [[\"0 L/min\", \"0 kPa\"], [\"10 L/min\", \"3 kPa\"]]"
        };
        section.reader().problem(&span, message, label, vec![help.into()]);
        return None;
    }
    Some(pairs.into_iter().map(|(flow, pressure)| (flow.value, pressure.value)).collect())
}

type Fault = (core::ops::Range<usize>, &'static str, &'static str);

fn fault(section: &Section<'_>, pairs: &[Point], of_pump: bool) -> Option<Fault> {
    let [(flow, pressure), _, ..] = pairs else {
        let message = "a curve needs two points or more";
        return Some((section.place("curve"), message, "too short"));
    };
    if flow.value.si() != 0.0 {
        return Some((flow.span.clone(), "a curve begins without flow", "not 0"));
    }
    if !of_pump && pressure.value.si() != 0.0 {
        return Some((pressure.span.clone(), "without flow there is no drop", "not 0"));
    }
    let steps = || pairs.windows(2).filter_map(|w| w.first().zip(w.last()));
    if let Some((_, (flow, _))) = steps().find(|(a, b)| b.0.value.si() <= a.0.value.si()) {
        let message = "the flows of a curve must rise";
        return Some((flow.span.clone(), message, "not more than before"));
    }
    let change = |(a, b): &(&Point, &Point)| b.1.value.si() - a.1.value.si();
    if of_pump {
        if let Some((_, (_, rise))) = steps().find(|s| change(s) >= 0.0) {
            let message = "the pressure rises of a pump must fall with the flow";
            return Some((rise.span.clone(), message, "not less than before"));
        }
        let (_, last) = pairs.last().filter(|(_, rise)| rise.value.si() < 0.0)?;
        return Some((last.span.clone(), "a pump takes no pressure away", "negative"));
    }
    let (_, (_, drop)) = steps().find(|s| change(s) <= 0.0)?;
    Some((
        drop.span.clone(),
        "the drops of a curve must rise with the flow",
        "not more than before",
    ))
}
