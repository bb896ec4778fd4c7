//! How the balance moves: with the fuel that is burned, and with what returns into another tank.

use std::collections::BTreeMap;

use super::items::{density, place_in_tank};
use super::{Item, Sum, What, sum_of};
use crate::hydraulics::tank::Outlook;
use crate::plan::{Component, Plan, Tank};
use crate::solve::Facts;
use crate::solve::connection::balance::TankFacts;
use crate::solve::fill::SystemFacts;
use crate::units::{Quantity, Volume};

/// How long a return runs, s.
pub const RETURN_S: f64 = 600.0;

/// All masses with so much fuel in the tanks.
#[derive(Clone, Debug, PartialEq)]
pub struct Burned {
    /// How much, in words.
    pub fuel: &'static str,
    /// Fuel in the tanks, kg, with the balance of everything; or what is not given.
    pub found: Result<(f64, Sum), String>,
}

/// What moves from tank to tank.
#[derive(Clone, Debug, PartialEq)]
pub struct Returned {
    /// The tank that gains, by component.
    pub into: usize,
    /// Those that feed it.
    pub from: Vec<usize>,
    /// Index of the case in which most moves.
    pub case: usize,
    /// How long it runs, s: ten minutes, or until a tank runs over or empty.
    pub time_s: f64,
    /// What moves in that time, kg, and the way the balance of everything moves, mm; or what is not known.
    pub moved: Result<(f64, [f64; 3]), String>,
}

/// As planned, full, half full, and with nothing left that can be drawn.
pub(super) fn burned(
    plan: &Plan,
    items: &[Item],
    systems: &[SystemFacts],
    temperatures_k: &[Option<f64>],
) -> Vec<Burned> {
    let fuels = systems.iter().filter(|s| plan.fluids[s.fluid].fluid.is_fuel());
    let tanks: Vec<(usize, usize)> =
        fuels.flat_map(|s| s.tanks.iter().map(|t| (t.component, s.fluid))).collect();
    if tanks.is_empty() {
        return Vec::new();
    }
    let of = |c: &Component, key: fn(&Tank) -> Option<Volume>| key(c.tank.as_ref()?);
    let capacity = |c: &Component| of(c, |t| t.capacity).map(Quantity::si);
    let levels: [(&str, &str, Level<'_>); 4] = [
        ("as planned", "volume", &|c| of(c, |t| t.volume).map(Quantity::si)),
        ("full", "capacity", &capacity),
        ("half", "capacity", &|c| Some(0.5 * capacity(c)?)),
        ("unusable only", "unusable", &|c| of(c, |t| t.unusable).map(Quantity::si)),
    ];
    let in_tanks =
        |i: &&Item| matches!(i.what, What::InTank(tank) if tanks.iter().any(|(t, _)| *t == tank));
    let rest = items.iter().filter(|i| !in_tanks(i)).map(|i| (i.mass_kg, i.at_mm));
    let rest: Vec<(f64, [f64; 3])> = rest.collect();
    let row = |(fuel, key, level): (&'static str, &str, Level<'_>)| {
        let fuels = tanks.iter().map(|(tank, fluid)| {
            let component = &plan.components[*tank];
            let id = &component.id;
            let volume = level(component).ok_or_else(|| format!("{key} of {id} is not given"))?;
            let at = place_in_tank(plan, component);
            let (at, _) = at.ok_or_else(|| format!("where {id} is is not known"))?;
            Ok((volume * density(plan, *fluid, temperatures_k[*fluid])?, at))
        });
        let found = fuels.collect::<Result<Vec<_>, String>>().and_then(|fuels| {
            let fuel_kg = fuels.iter().map(|(mass, _)| mass).sum();
            let all: Vec<_> = rest.iter().copied().chain(fuels).collect();
            Ok((fuel_kg, sum_of(&all).ok_or("nothing weighs anything")?))
        });
        Burned { fuel, found }
    };
    levels.into_iter().map(row).collect()
}

/// How much is in a tank, m3.
type Level<'l> = &'l dyn Fn(&Component) -> Option<f64>;

/// Every tank that gains what others lose, in the case in which it gains most.
pub(super) fn returned(
    plan: &Plan,
    facts: &Facts,
    temperatures_k: &[Option<f64>],
    wet: &Sum,
) -> Vec<Returned> {
    let gain = |t: &TankFacts| t.inflow_m3_s - t.outflow_m3_s;
    let mut worst: BTreeMap<(usize, Vec<usize>), &TankFacts> = BTreeMap::new();
    for tank in &facts.connection.balances {
        if tank.outlook == Ok(Outlook::Stays) || gain(tank) <= 0.0 || tank.feeders.is_empty() {
            continue;
        }
        let known = worst.entry((tank.tank, tank.feeders.clone())).or_insert(tank);
        if gain(tank) > gain(known) {
            *known = tank;
        }
    }
    let one = |tank: &TankFacts| {
        let limits = [
            match tank.outlook {
                Ok(Outlook::Overflows { after_s } | Outlook::Empties { after_s }) => Some(after_s),
                _ => None,
            },
            tank.feeders_last_s,
        ];
        let time_s = limits.into_iter().flatten().fold(RETURN_S, f64::min);
        let density = density(plan, tank.fluid, temperatures_k[tank.fluid]);
        let moved = density.and_then(|d| {
            let mass_kg = d * gain(tank) * time_s;
            Ok((mass_kg, shift(plan, facts, tank, mass_kg, wet)?))
        });
        let (into, from, case) = (tank.tank, tank.feeders.clone(), tank.case);
        Returned { into, from, case, time_s, moved }
    };
    worst.into_values().map(one).collect()
}

/// How the balance of everything moves when a mass goes from the feeding tanks into another, mm.
fn shift(
    plan: &Plan,
    facts: &Facts,
    tank: &TankFacts,
    mass_kg: f64,
    wet: &Sum,
) -> Result<[f64; 3], String> {
    let at = |component: usize| {
        let of = &plan.components[component];
        place_in_tank(plan, of)
            .map(|p| p.0)
            .ok_or_else(|| format!("where {} is is not known", of.id))
    };
    let into = at(tank.tank)?;
    // What each of them loses, by which the moved mass is shared out.
    let loses = |component: &usize| {
        let same = |t: &&TankFacts| t.tank == *component && t.case == tank.case;
        let own = facts.connection.balances.iter().find(same);
        own.map_or(0.0, |t| t.outflow_m3_s - t.inflow_m3_s)
    };
    let all: f64 = tank.feeders.iter().map(loses).sum();
    let mut shift = [0.0; 3];
    for feeder in &tank.feeders {
        let (share, from) = (loses(feeder) / all, at(*feeder)?);
        for axis in 0..3 {
            shift[axis] += share * (into[axis] - from[axis]) * mass_kg / wet.mass_kg;
        }
    }
    Ok(shift)
}
