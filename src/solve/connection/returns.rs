//! Where the return of a pump ends while a selector picks the tank it draws from.

use std::collections::{BTreeMap, BTreeSet};

use super::walk::{Pump, Rules, States, Walk};
use crate::plan::Plan;

/// Supply and return of a pump over the states of what switches them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReturnFacts {
    /// The pump, by component.
    pub pump: usize,
    /// Components whose state decides, in the order of the plan.
    pub by: Vec<usize>,
    /// What each combination of their states gives; none where there are too many to look at.
    pub ways: Option<Vec<ReturnWay>>,
}

/// Supply and return in one combination of states.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReturnWay {
    /// State of each component that decides, by index.
    pub states: Vec<usize>,
    /// Tanks that feed the pump.
    pub from: BTreeSet<usize>,
    /// Tanks that what it delivers can end up in.
    pub to: BTreeSet<usize>,
    /// Of these, the ones that do not feed it now but feed it in another state.
    pub wrong: BTreeSet<usize>,
}

/// Supply and return of every pump of a circuit in which something selects.
///
/// More than `most` combinations of states are not looked at.
pub fn returns(walk: &Walk<'_>, most: usize) -> Vec<ReturnFacts> {
    let selectors = selectors(walk);
    if selectors.is_empty() {
        return Vec::new();
    }
    walk.pumps().iter().filter_map(|pump| of_pump(walk, pump, &selectors, most)).collect()
}

/// Components of the circuit with two states that shut different paths.
fn selectors(walk: &Walk<'_>) -> Vec<usize> {
    let selects = |component: &usize| {
        let states = &walk.plan.components[*component].states;
        states.iter().any(|s| s.shut != states[0].shut)
    };
    walk.circuit.components().into_iter().filter(selects).collect()
}

fn of_pump(walk: &Walk<'_>, pump: &Pump, selectors: &[usize], most: usize) -> Option<ReturnFacts> {
    let plan = walk.plan;
    let mut counts = selectors.iter().map(|c| plan.components[*c].states.len());
    let count = counts.try_fold(1_usize, usize::checked_mul).filter(|n| *n <= most);
    let Some(count) = count else {
        return Some(ReturnFacts { pump: pump.component, by: selectors.to_vec(), ways: None });
    };
    let all: Vec<(Vec<usize>, [BTreeSet<usize>; 2])> = (0..count)
        .map(|number| chosen(plan, selectors, number))
        .filter(|states| is_allowed(plan, selectors, states))
        .map(|states| {
            let ends = ends(walk, pump, selectors, &states);
            (states, ends)
        })
        .collect();
    let deciding = deciding(selectors, &all);
    let sources: BTreeSet<usize> = all.iter().flat_map(|(_, ends)| &ends[0]).copied().collect();
    let mut ways: BTreeMap<Vec<usize>, [BTreeSet<usize>; 2]> = BTreeMap::new();
    for (states, [from, to]) in all {
        let key = deciding.iter().map(|i| states[*i]).collect();
        let way = ways.entry(key).or_default();
        // Components that do not decide, such as the pump's own switch, may leave nothing open.
        way[0].extend(from);
        way[1].extend(to);
    }
    let ways: Vec<ReturnWay> = ways
        .into_iter()
        .map(|(states, [from, to])| {
            let elsewhere = |t: &usize| !from.contains(t) && sources.contains(t);
            let wrong = to.iter().copied().filter(|t| !from.is_empty() && elsewhere(t)).collect();
            ReturnWay { states, from, to, wrong }
        })
        .collect();
    let returns = ways.iter().any(|w| !w.to.is_empty());
    returns.then(|| ReturnFacts {
        pump: pump.component,
        by: deciding.iter().map(|i| selectors[*i]).collect(),
        ways: Some(ways),
    })
}

/// The states that belong to a number: the last component changes first.
fn chosen(plan: &Plan, selectors: &[usize], mut number: usize) -> Vec<usize> {
    let mut states = vec![0; selectors.len()];
    for (state, component) in states.iter_mut().zip(selectors).rev() {
        let count = plan.components[*component].states.len();
        *state = number % count;
        number /= count;
    }
    states
}

/// Whether the plan's matrix allows these states; what it says of other components does not count here.
fn is_allowed(plan: &Plan, selectors: &[usize], states: &[usize]) -> bool {
    let holds = |(component, state): &(usize, usize)| {
        let place = selectors.iter().position(|c| c == component);
        place.is_some_and(|place| states[place] == *state)
    };
    let mut without = plan.matrix.iter().flat_map(|m| &m.without);
    !without.any(|w| !w.is_empty() && w.iter().all(holds))
}

/// Tanks that feed a pump and tanks that it delivers to; both empty while it stands still.
fn ends(
    walk: &Walk<'_>,
    pump: &Pump,
    selectors: &[usize],
    states: &[usize],
) -> [BTreeSet<usize>; 2] {
    let states = States::These { of: selectors, are: states };
    if !super::walk::is_open(walk.plan, pump.component, pump.path, states) {
        return [BTreeSet::new(), BTreeSet::new()];
    }
    let none = BTreeSet::new();
    let from = walk.tanks(&walk.from(pump.inlet, &Rules::supply(states), &none));
    // What goes back through the pump's own relief valve has not left.
    let inlet = BTreeSet::from([pump.inlet]);
    let to = walk.tanks(&walk.from(pump.outlet, &Rules::course(states), &inlet));
    [from, to]
}

/// Selectors, by position, whose state makes a difference where all others stay.
fn deciding(selectors: &[usize], all: &[(Vec<usize>, [BTreeSet<usize>; 2])]) -> Vec<usize> {
    let matters = |place: &usize| {
        let mut by_others: BTreeMap<Vec<usize>, &[BTreeSet<usize>; 2]> = BTreeMap::new();
        all.iter().filter(|(_, [from, _])| !from.is_empty()).any(|(states, ends)| {
            let mut others = states.clone();
            others[*place] = 0;
            *by_others.entry(others).or_insert(ends) != ends
        })
    };
    (0..selectors.len()).filter(matters).collect()
}
