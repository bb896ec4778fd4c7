//! Where pumps and needs get their fluid from.

use std::collections::BTreeSet;

use super::walk::{Pump, Rules, States, Walk};
use crate::plan::Plan;

/// Where a pump gets its fluid from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PumpFacts {
    /// Its component.
    pub component: usize,
    /// Its path.
    pub path: usize,
    /// Where its fluid comes from.
    pub source: Source,
}

/// Where fluid comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// Tanks, by component.
    Tanks(BTreeSet<usize>),
    /// The pump's own outlet, around a loop; tanks that are joined to the loop.
    Loop(BTreeSet<usize>),
    /// Nowhere.
    None,
}

/// Where something that uses fluid up gets it from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NeedFacts {
    /// Its component.
    pub component: usize,
    /// Tanks that feed it while every component is in its usual state.
    pub usual: BTreeSet<usize>,
    /// Tanks that feed it in some state.
    pub ever: BTreeSet<usize>,
}

/// The source of each pump of a plan; a pump in no circuit has none.
pub fn pumps(plan: &Plan, walks: &[Walk<'_>]) -> Vec<PumpFacts> {
    let mut facts: Vec<PumpFacts> = walks
        .iter()
        .flat_map(|walk| walk.pumps().into_iter().map(|pump| of_pump(walk, &pump)))
        .collect();
    for (component, of) in plan.components.iter().enumerate() {
        for (path, _) in of.paths.iter().enumerate().filter(|(_, p)| p.law.is_pump()) {
            if !facts.iter().any(|f| (f.component, f.path) == (component, path)) {
                facts.push(PumpFacts { component, path, source: Source::None });
            }
        }
    }
    facts
}

fn of_pump(walk: &Walk<'_>, pump: &Pump) -> PumpFacts {
    let trail = walk.from(pump.inlet, &Rules::supply(States::Any), &BTreeSet::new());
    let tanks = walk.tanks(&trail);
    let source = if !tanks.is_empty() {
        Source::Tanks(tanks)
    } else if trail.reaches(pump.outlet) {
        Source::Loop(walk.all_tanks())
    } else {
        Source::None
    };
    PumpFacts { component: pump.component, path: pump.path, source }
}

/// The source of each need of a plan; a need in no circuit has none.
pub fn needs(plan: &Plan, walks: &[Walk<'_>]) -> Vec<NeedFacts> {
    let usual = vec![0; plan.components.len()];
    let with_need = plan.components.iter().enumerate().filter(|(_, c)| c.need.is_some());
    with_need
        .map(|(component, _)| {
            let mut facts = NeedFacts { component, usual: BTreeSet::new(), ever: BTreeSet::new() };
            for walk in walks {
                for (_, spot) in walk.needs().into_iter().filter(|(c, _)| *c == component) {
                    let tanks = |states| {
                        walk.tanks(&walk.from(spot, &Rules::supply(states), &BTreeSet::new()))
                    };
                    facts.usual.extend(tanks(States::These(&usual)));
                    facts.ever.extend(tanks(States::Any));
                }
            }
            facts
        })
        .collect()
}
