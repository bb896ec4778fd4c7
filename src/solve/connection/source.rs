//! Where pumps and needs get their fluid from.

use std::collections::{BTreeMap, BTreeSet};

use super::walk::{Pump, Rules, States, Walk};
use crate::plan::Plan;
use crate::solve::network::region::Region;

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

/// The source of each pump of a region; a pump in no circuit has none.
pub fn pumps(plan: &Plan, region: &Region, walks: &[Walk<'_>]) -> Vec<PumpFacts> {
    let mut facts: Vec<PumpFacts> = walks
        .iter()
        .flat_map(|walk| walk.pumps().into_iter().map(|pump| of_pump(walk, &pump)))
        .collect();
    let found: BTreeSet<_> = facts.iter().map(|f| (f.component, f.path)).collect();
    for (&component, paths) in &region.components {
        let is_pump = |path: &&usize| plan.components[component].paths[**path].law.is_pump();
        for &path in paths.iter().filter(is_pump) {
            if !found.contains(&(component, path)) {
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

/// The source of each need of a region; a need in no circuit has none.
pub fn needs(region: &Region, walks: &[Walk<'_>]) -> Vec<NeedFacts> {
    let nothing = |&component: &usize| {
        (component, NeedFacts { component, usual: BTreeSet::new(), ever: BTreeSet::new() })
    };
    let mut needs: BTreeMap<usize, NeedFacts> = region.needs.iter().map(nothing).collect();
    for walk in walks {
        for (component, spot) in walk.needs() {
            let tanks =
                |states| walk.tanks(&walk.from(spot, &Rules::supply(states), &BTreeSet::new()));
            if let Some(facts) = needs.get_mut(&component) {
                facts.usual.extend(tanks(States::USUAL));
                facts.ever.extend(tanks(States::Any));
            }
        }
    }
    needs.into_values().collect()
}
