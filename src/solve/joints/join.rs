//! A joint of two ports that are screwed together without a line.

use super::value::Fastened;
use super::{Found, JointPlace};
use crate::plan::{Component, Line, Plan, PortRef};
use crate::solve::fitting;
use crate::solve::network::circuit::{Circuit, circuits_of};
use crate::solve::network::wiring::Wiring;
use crate::table::Tables;

/// What runs through the ports of a plan, and the lines at each component.
pub(super) struct Around {
    circuits: Vec<Circuit>,
    lines: Vec<Vec<usize>>,
}

impl Around {
    /// Liquids and gases of the plan.
    pub fn new(plan: &Plan) -> Self {
        let wiring = Wiring::planned(plan);
        let mut circuits = circuits_of(plan, &wiring, false);
        circuits.extend(circuits_of(plan, &wiring, true));
        let mut lines = vec![Vec::new(); plan.components.len()];
        for (index, line) in plan.lines.iter().enumerate() {
            lines[line.from.component].push(index);
            lines[line.to.component].push(index);
        }
        Self { circuits, lines }
    }

    fn fluid(&self, port: PortRef) -> Option<usize> {
        self.circuits.iter().find(|c| c.spot_of(port).is_some()).map(|c| c.fluid)
    }

    /// The lines of a fluid at the two components of a join: it serves what they serve.
    fn near<'p>(&self, plan: &'p Plan, ports: [PortRef; 2], fluid: Option<usize>) -> Vec<&'p Line> {
        let lines = ports.iter().flat_map(|p| &self.lines[p.component]).map(|l| &plan.lines[*l]);
        lines.filter(|l| Some(l.fluid) == fluid).collect()
    }
}

/// The joint of a join; its name where its family has no thread.
pub(super) fn at<'p>(
    plan: &'p Plan,
    tables: &Tables,
    around: &Around,
    join: usize,
) -> Result<Found<'p>, String> {
    let ports = plan.joins[join].ports;
    let [(one, a), (other, b)] = ports.map(|p| plan.port(&p));
    let name = format!("{}.{} on {}.{}", one.id, a.name, other.id, b.name);
    let family = &a.end.family;
    if tables.get("thread", family).is_none() {
        return Err(format!("{name} ({family})"));
    }
    let fluid = around.fluid(ports[0]).or_else(|| around.fluid(ports[1]));
    let near = around.near(plan, ports, fluid);
    let steel = |c: &Component| !c.wetted.is_empty() && c.wetted.iter().all(|m| m == "steel");
    Ok(Found {
        place: JointPlace::Join(join),
        name,
        at_mm: a.at_mm,
        family: family.clone(),
        size: a.end.size.clone().unwrap_or_default(),
        fit: fitting::joined(tables, &a.end, &b.end),
        held: Fastened::Ports,
        steel: steel(one) && steel(other),
        metals: one.wetted.iter().chain(&other.wetted).map(String::as_str).collect(),
        uses: fluid.map(|f| plan.fluids[f].fluid.used_as()).into_iter().collect(),
        services: near.iter().map(|l| l.service.word()).collect(),
        systems: near.iter().map(|l| l.system.as_str()).collect(),
    })
}
