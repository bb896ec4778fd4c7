//! What lines, fittings, components and the liquid in them weigh, and where that balances.

mod items;
mod moved;

use super::fill::SystemFacts;
use super::{Facts, fill, measured};
use crate::makeup::mass::balance;
use crate::plan::Plan;
pub use moved::{Burned, RETURN_S, Returned};

/// What something that weighs is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// The bare hose or tube of a line, by index.
    Line(usize),
    /// The fitting at an end of a line: 0 is end A.
    Fitting(usize, usize),
    /// A component, empty, by index.
    Component(usize),
    /// Liquid in a line.
    InLine(usize),
    /// Liquid in a component.
    InComponent(usize),
    /// Liquid in a tank.
    InTank(usize),
}

impl What {
    /// Whether it is there before anything is filled in.
    pub fn is_dry(self) -> bool {
        matches!(self, Self::Line(_) | Self::Fitting(..) | Self::Component(_))
    }
}

/// How a place is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// Along the route, or by `centre`.
    Given,
    /// Assumed: the mean of the ports.
    Ports,
    /// Assumed: beside the point on the surface, half way down to the lowest port.
    Surface,
}

/// Something that weighs.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is.
    pub what: What,
    /// Its system.
    pub system: String,
    /// Index of the fluid; none where it is dry.
    pub fluid: Option<usize>,
    /// Its mass, kg.
    pub mass_kg: f64,
    /// Where it balances, mm.
    pub at_mm: [f64; 3],
    /// How that place is known.
    pub known: Known,
}

/// Something whose mass is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// What it is.
    pub what: What,
    /// Its system.
    pub system: String,
    /// What is not given.
    pub why: String,
}

/// Masses added up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sum {
    /// All together, kg.
    pub mass_kg: f64,
    /// Mass times arm along each axis of the plan, kg m.
    pub moment_kg_m: [f64; 3],
    /// Where it balances, mm.
    pub centre_mm: [f64; 3],
}

/// Masses of a system, or of all; none where nothing of it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Total {
    /// The system; none for all of them.
    pub system: Option<String>,
    /// Lines, fittings, components.
    pub dry: Option<Sum>,
    /// Liquid in them.
    pub fluid: Option<Sum>,
    /// Both.
    pub wet: Option<Sum>,
    /// Whether something dry is missing, and something liquid: the masses are then the least there can be.
    pub at_least: [bool; 2],
}

/// All masses of a plan.
#[derive(Clone, Debug)]
pub struct MassFacts {
    /// Everything that weighs.
    pub items: Vec<Item>,
    /// What it weighs is not known.
    pub missing: Vec<Missing>,
    /// The temperature that the density of each fluid is taken at, K; none where no case gives one.
    pub temperatures_k: Vec<Option<f64>>,
    /// By system, then all.
    pub totals: Vec<Total>,
    /// The machine's lines with so much fuel left; empty where nothing holds fuel.
    pub burned: Vec<Burned>,
    /// What moves from tank to tank while the machine runs.
    pub returned: Vec<Returned>,
}

/// All masses of a plan.
pub fn solve(plan: &Plan, facts: &Facts) -> MassFacts {
    let built = measured::as_built(plan);
    let plan = &*built.plan;
    let systems: Vec<SystemFacts> = fill::solve(plan, facts);
    let found = items::all(plan, facts, &systems);
    let wet = sum(found.items.iter());
    MassFacts {
        totals: totals(&found.items, &found.missing),
        burned: moved::burned(plan, &found.items, &systems, &found.temperatures_k),
        returned: wet
            .map_or_else(Vec::new, |wet| moved::returned(plan, facts, &found.temperatures_k, &wet)),
        temperatures_k: found.temperatures_k,
        items: found.items,
        missing: found.missing,
    }
}

/// Masses added up; none where there are none.
pub fn sum<'i>(items: impl Iterator<Item = &'i Item>) -> Option<Sum> {
    sum_of(&items.map(|i| (i.mass_kg, i.at_mm)).collect::<Vec<_>>())
}

fn sum_of(masses: &[(f64, [f64; 3])]) -> Option<Sum> {
    let mut sum = Sum { mass_kg: 0.0, moment_kg_m: [0.0; 3], centre_mm: [0.0; 3] };
    for axis in 0..3 {
        let along: Vec<(f64, f64)> = masses.iter().map(|(m, at)| (*m, at[axis] / 1e3)).collect();
        let found = balance(&along).ok()?;
        sum.mass_kg = found.mass_kg;
        sum.moment_kg_m[axis] = found.moment_kg_m;
        sum.centre_mm[axis] = found.arm_m * 1e3;
    }
    Some(sum)
}

fn totals(items: &[Item], missing: &[Missing]) -> Vec<Total> {
    let mut names: Vec<&str> = Vec::new();
    for system in items.iter().map(|i| &i.system).chain(missing.iter().map(|m| &m.system)) {
        if !names.contains(&system.as_str()) {
            names.push(system);
        }
    }
    let each = names.into_iter().map(Some).chain([None]);
    each.map(|name| total(name, items, missing)).collect()
}

fn total(name: Option<&str>, items: &[Item], missing: &[Missing]) -> Total {
    let own = |system: &str| name.is_none_or(|n| n == system);
    let of = |dry: &[bool]| {
        sum(items.iter().filter(|i| own(&i.system) && dry.contains(&i.what.is_dry())))
    };
    let lacks = |dry: bool| missing.iter().any(|m| own(&m.system) && m.what.is_dry() == dry);
    Total {
        system: name.map(str::to_owned),
        dry: of(&[true]),
        fluid: of(&[false]),
        wet: of(&[true, false]),
        at_least: [lacks(true), lacks(false)],
    }
}
