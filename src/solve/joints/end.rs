//! A joint at an end of a line.

use super::value::Fastened;
use super::{Found, JointPlace};
use crate::plan::{Carrier, Line, Plan, PortEnd};
use crate::solve::fitting;
use crate::table::Tables;
use crate::table::end::End;
use crate::units::{System, write};

/// The joint at end A (0) or B (1) of a line.
pub(super) fn at<'p>(plan: &'p Plan, tables: &Tables, index: usize, end: usize) -> Found<'p> {
    let line = &plan.lines[index];
    let (component, port) = plan.port(if end == 0 { &line.from } else { &line.to });
    let fitting = line.ends[end].as_ref();
    let [joint_a, joint_b] = fitting::solve(plan, tables, line);
    let held = held(line);
    let wetted = fitting.and_then(|e| e.wetted.as_ref()).map(|w| w.value.as_str());
    let at_port: Vec<&str> = component.wetted.iter().map(String::as_str).collect();
    let turned = match held {
        Fastened::Tube(metal) => Some(metal),
        _ => wetted,
    };
    let steel = |metal: &str| metal == "steel";
    Found {
        place: JointPlace::End { line: index, end },
        name: format!("{} {} at {}.{}", line.id, ["A", "B"][end], component.id, port.name),
        at_mm: port.at_mm,
        family: fitting.map_or(&port.end.family, |e| &e.family).clone(),
        size: size(fitting, &port.end),
        fit: if end == 0 { joint_a.joint } else { joint_b.joint },
        held,
        steel: wetted.is_some_and(steel) && !at_port.is_empty() && at_port.iter().all(|m| steel(m)),
        metals: turned.into_iter().chain(at_port).collect(),
        uses: vec![plan.fluids[line.fluid].fluid.used_as()],
        services: vec![line.service.word()],
        systems: vec![&line.system],
    }
}

fn held(line: &Line) -> Fastened<'_> {
    match &line.carrier {
        Carrier::Hose(_) => Fastened::Hose,
        Carrier::Tube(tube) => {
            Fastened::Tube(tube.strength.wetted.as_ref().map_or("", |w| w.value.as_str()))
        }
    }
}

/// The size of the fitting; of a spigot its outside.
fn size(fitting: Option<&End>, port: &PortEnd) -> String {
    match (fitting, port.outside) {
        (Some(end), _) => end.size.clone(),
        (None, Some(outside)) if port.is_spigot() => write(outside, System::Metric),
        _ => port.size.clone().unwrap_or_default(),
    }
}
