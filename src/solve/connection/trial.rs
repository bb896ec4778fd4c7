//! The machine with two ends exchanged, solved in the named cases: what still comes at its needs.

use std::collections::BTreeMap;

use crate::plan::{Plan, PortRef};
use crate::solve::hydraulics::LineHydraulics;
use crate::solve::network::machine::{Group, Machine};
use crate::solve::network::settle::Scratch;
use crate::solve::network::setup::Tweaks;
use crate::solve::network::tally::flow_out;
use crate::solve::network::wiring::Wiring;
use crate::solve::{CaseFacts, LineFacts};
use crate::table::Tables;
use crate::units::Quantity;

/// A need that gets less than as planned.
#[derive(Clone, Debug, PartialEq)]
pub struct NeedTrial {
    /// Its component.
    pub component: usize,
    /// Index of the case.
    pub case: usize,
    /// What it uses, m3/s.
    pub wanted_m3_s: f64,
    /// What comes as planned, m3/s.
    pub planned_m3_s: f64,
    /// What would come, m3/s, or why nothing settles.
    pub then_m3_s: Result<f64, String>,
}

/// What comes at a need in a case, m3/s, or why that is not known; by component and case.
type Comes = BTreeMap<(usize, usize), Result<f64, String>>;

/// Less than planned by no more than this share is the error of the balance.
const SAME: f64 = 1e-6;

/// The machine as planned, to hold others against.
pub struct Trials<'t> {
    plan: &'t Plan,
    tables: &'t Tables,
    cases: &'t [CaseFacts],
    lines: &'t [LineFacts],
    planned: Comes,
}

impl<'t> Trials<'t> {
    /// Solves the machine as planned.
    pub fn new(
        plan: &'t Plan,
        tables: &'t Tables,
        cases: &'t [CaseFacts],
        lines: &'t [LineFacts],
    ) -> Self {
        let mut trials = Self { plan, tables, cases, lines, planned: Comes::new() };
        trials.planned = trials.comes(plan);
        trials
    }

    /// Named cases that a trial takes; 0 where no need is fed as planned.
    pub fn cases(&self) -> usize {
        if self.planned.values().any(Result::is_ok) { self.named().count() } else { 0 }
    }

    fn named(&self) -> impl Iterator<Item = (usize, &'t CaseFacts)> + use<'t> {
        self.cases.iter().enumerate().filter(|(_, c)| !c.combined)
    }

    /// The needs that get less in another wiring; none where no need is fed as planned.
    pub fn with(&self, wiring: &Wiring) -> Option<Vec<NeedTrial>> {
        if self.cases() == 0 {
            return None;
        }
        let mut plan = self.plan.clone();
        for (line, [from, to]) in plan.lines.iter_mut().zip(&wiring.lines) {
            (line.from, line.to) = (*from, *to);
        }
        for (join, ports) in plan.joins.iter_mut().zip(&wiring.joins) {
            join.ports = *ports;
        }
        let mut comes = self.comes(&plan);
        let mut less = Vec::new();
        for ((component, case), planned) in &self.planned {
            let (Ok(planned), Some(need)) = (planned, &plan.components[*component].need) else {
                continue;
            };
            let cut_off = || Err("nothing leads there any more".to_owned());
            let then = comes.remove(&(*component, *case)).unwrap_or_else(cut_off);
            if then.as_ref().is_ok_and(|then| *then >= planned - SAME * planned.abs()) {
                continue;
            }
            less.push(NeedTrial {
                component: *component,
                case: *case,
                wanted_m3_s: need.flow.si(),
                planned_m3_s: *planned,
                then_m3_s: then,
            });
        }
        Some(less)
    }

    /// What comes at each need of a plan that is like this one but for its wiring.
    fn comes(&self, plan: &Plan) -> Comes {
        let mut comes = Comes::new();
        if plan.components.iter().all(|c| c.need.is_none()) {
            return comes;
        }
        let lines: Vec<LineHydraulics<'_>> = plan
            .lines
            .iter()
            .zip(self.lines)
            .map(|(line, facts)| {
                let assembly_mm = facts.makeup.as_ref().ok().map(|m| m.cut.assembly_mm);
                let geometry = facts.geometry.as_ref().ok();
                LineHydraulics::new(plan, self.tables, line, geometry, assembly_mm)
            })
            .collect();
        let machine = Machine::new(plan, self.tables, &lines);
        for group in &machine.groups {
            let mut scratch = Scratch::default();
            for (component, at) in needs(&machine, group) {
                for (index, case) in self.named() {
                    let come = come(&machine, group, case, (component, at), &mut scratch);
                    comes.insert((component, index), come);
                }
            }
        }
        comes
    }
}

/// The needs of a group: component and port.
fn needs(machine: &Machine<'_>, group: &Group) -> Vec<(usize, PortRef)> {
    let plan = machine.plan;
    let all = plan.components.iter().enumerate().filter_map(|(component, c)| {
        let need = c.need.as_ref()?;
        Some((component, PortRef { component, port: need.port }))
    });
    let inside = |(_, port): &(usize, PortRef)| {
        group.circuits.iter().any(|c| machine.circuits[*c].spot_of(*port).is_some())
    };
    all.filter(inside).collect()
}

/// What comes at a need that takes all it can get at the pressure it must have, m3/s.
fn come(
    machine: &Machine<'_>,
    group: &Group,
    case: &CaseFacts,
    (component, at): (usize, PortRef),
    scratch: &mut Scratch,
) -> Result<f64, String> {
    let tweaks = Tweaks { opened: Some(component), ..Tweaks::default() };
    let solution = machine.solve(group, case, &tweaks, scratch)?;
    let mut comes = 0.0;
    for solved in &solution.circuits {
        let circuit = &machine.circuits[solved.circuit];
        if let Some(spot) = circuit.spot_of(at) {
            comes -= flow_out(circuit, solved, spot);
        }
    }
    Ok(comes)
}
