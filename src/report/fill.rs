//! Filling for a person with a can: what each system takes, what it gains, what runs back, in which order to bleed,
//! and what a poured volume says.

use super::Layout;
use super::caution::FILLING;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::value;
use crate::assess::Assessment;
use crate::assess::poured::{Filling, Outcome, Poured};
use crate::plan::Plan;
use crate::solve::fill::{SystemFacts, TankFill};
use crate::solve::joined::{BleedFacts, PocketFacts};
use crate::units::System;

/// A volume given in m3.
fn volume(m3: f64, system: System) -> String {
    value(m3 * 1e3, "L", system)
}

/// The report of `fill`: the chosen systems.
pub fn text(
    assessment: &Assessment,
    filling: &Filling,
    chosen: &[usize],
    layout: Layout,
) -> String {
    let mut out = wrapped(&format!("Filling of {}", assessment.plan.name), layout.width, 0);
    for index in chosen {
        let system = &filling.systems[*index];
        let fluid = &assessment.plan.fluids[system.fluid].id;
        out.push('\n');
        out.push_str(&wrapped(&format!("{}, of {fluid}", system.name), layout.width, 0));
        out.push_str(&parts(&assessment.plan, system, layout.system).to_text(layout.width));
        let poured = filling.poured.iter().filter(|p| p.system == *index);
        let told = notes(&assessment.plan, system, layout.system).into_iter();
        let told = told.chain(poured.flat_map(|p| said(assessment, system, p, layout.system)));
        for line in told {
            out.push_str(&wrapped(&line, layout.width, 0));
        }
        for (number, step) in sequence(assessment, system, layout.system).iter().enumerate() {
            out.push_str(&wrapped(&format!("{}. {step}", number + 1), layout.width, 2));
        }
    }
    out.push('\n');
    out.push_str(&wrapped(ASSUMED, layout.width, 0));
    out.push_str(&wrapped(FILLING, layout.width, 0));
    closing(&mut out, assessment, layout.width);
    out
}

/// What the figures rest on.
pub const ASSUMED: &str = "Lines are counted full over their assembly length at their bore, fittings at the bore they \
replace, tanks to their volume in the plan, all at rest and level. What runs back is the most that can: air gets in at \
every top, pumps, thermostats and springs give way in time, check valves hold, states are the usual ones.";

/// Every part with what it holds.
fn parts(plan: &Plan, of: &SystemFacts, system: System) -> Grid {
    let mut grid = Grid::new(&["part", "holds", "of it is known"], &[1]);
    let mut row = |part: String, volume_m3: Option<f64>, why: String| {
        let holds = volume_m3.map_or("open".to_owned(), |v| volume(v, system));
        grid.rows.push(vec![part, holds, why]);
    };
    for (line, volume_m3) in &of.lines {
        let why = if volume_m3.is_none() { "no bore or no length" } else { "" };
        row(plan.lines[*line].id.clone(), *volume_m3, why.into());
    }
    for held in &of.components {
        let id = plan.components[held.component].id.clone();
        row(
            id,
            held.volume_m3.as_ref().ok().copied(),
            held.volume_m3.clone().err().unwrap_or_default(),
        );
    }
    for tank in &of.tanks {
        let states: Vec<String> =
            tank.states.iter().map(|(name, v)| format!("{name} {}", volume(*v, system))).collect();
        let id = &plan.components[tank.component].id;
        let why = if tank.volume_m3.is_none() {
            "volume is not given (open water has none)".into()
        } else {
            states.join(", ")
        };
        row(format!("tank {id}"), tank.volume_m3, why);
    }
    grid
}

/// Charge, room for what it gains, and what runs back, a sentence or two each.
pub fn notes(plan: &Plan, of: &SystemFacts, system: System) -> Vec<String> {
    let not_known = of.not_known(plan);
    let charge = volume(of.charge_m3(), system);
    let mut lines = vec![if not_known.is_empty() {
        format!("Charge: {charge}, of which {} in lines.", volume(of.lines_m3(), system))
    } else {
        format!(
            "Charge: open, at least {charge}, of which {} in lines; not known: {}. Give holds, or volume of their \
             paths.",
            volume(of.lines_m3(), system),
            not_known.join(", ")
        )
    }];
    lines.push(warm(of, !not_known.is_empty(), system));
    lines.extend(of.tanks.iter().filter_map(|t| runs_back(plan, t, system)));
    lines
}

fn warm(of: &SystemFacts, at_least: bool, system: System) -> String {
    let gain = match (&of.gain_m3, of.temperatures_k) {
        (Ok(gain), Some((cold, hot))) => format!(
            "Warm: it gains {}{} from {} to {}",
            if at_least { "at least " } else { "" },
            volume(*gain, system),
            value(cold - 273.15, "degC", system),
            value(hot - 273.15, "degC", system)
        ),
        (Err(why), _) => return format!("Warm: open, what it gains is not known: {why}."),
        (Ok(_), None) => return "Warm: open, no temperature is known.".to_owned(),
    };
    match (of.room_m3(), of.overflow_m3()) {
        (Some(room), Some(0.0)) => {
            format!("{gain}; {} are free in its tanks as planned.", volume(room, system))
        }
        (Some(room), Some(over)) => format!(
            "{gain}; only {} are free in its tanks as planned: {} run over.",
            volume(room, system),
            volume(over, system)
        ),
        _ => format!(
            "{gain}; open, the space for it is not known: give capacity and volume of its tanks."
        ),
    }
}

fn runs_back(plan: &Plan, tank: &TankFill, system: System) -> Option<String> {
    let id = &plan.components[tank.component].id;
    let back = tank.drain_back.as_ref()?;
    let runs = match &back.runs {
        Ok(runs) => *runs,
        Err(why) => return Some(format!("Pump stopped: what runs back into {id} is open: {why}.")),
    };
    let stays = volume(back.stays_m3, system);
    if runs <= 0.0 && back.not_known.is_empty() {
        return Some(format!(
            "Pump stopped: nothing over the surface of {id} runs back into it; {stays} there are held."
        ));
    }
    let ids: Vec<&str> = back.lines.iter().map(|l| plan.lines[*l].id.as_str()).collect();
    let unknown: Vec<String> = back.not_known.iter().map(|at| at.words(plan)).collect();
    let more = if unknown.is_empty() {
        String::new()
    } else {
        format!(", and what is in {}", unknown.join("; "))
    };
    let of = if ids.is_empty() { String::new() } else { format!(" of {}", ids.join(", ")) };
    let room = match (tank.room_m3(), tank.spilled_m3()) {
        (Some(room), Some(0.0)) => format!("{} are free in it", volume(room, system)),
        (Some(room), Some(over)) => format!(
            "only {} are free in it: {} run over; leave it lower, or put in a check valve",
            volume(room, system),
            volume(over, system)
        ),
        _ => "open, the space in it is not known".to_owned(),
    };
    Some(format!(
        "Pump stopped: up to {}{of}{more} run back into {id}; {room}. Over its surface {stays} are held by valves or \
         dips.",
        volume(runs, system)
    ))
}

/// The order of filling and bleeding.
pub fn sequence(assessment: &Assessment, of: &SystemFacts, system: System) -> Vec<String> {
    let plan = &assessment.plan;
    let at = of.fill_at.map(|tank| plan.components[tank].id.as_str());
    let fill = at.map_or("Fill at its highest opening".to_owned(), |at| {
        format!("Fill at {at}, its highest tank")
    });
    let mut steps = vec![format!(
        "Machine level and cold, drains shut, valves open. {fill}, slowly, so that air gets out beside what runs in."
    )];
    steps.push(bleed(assessment, of));
    steps.push(
        "Run the pump, engine cold, with the cap on as it will be; keep liquid over the outlet of the tank. Bleed again \
         until no more air comes, let it cool, and bleed once more."
            .to_owned(),
    );
    let levels = of.tanks.iter().filter_map(|t| {
        let id = &plan.components[t.component].id;
        Some(format!("{id} {}", volume(t.volume_m3?, system)))
    });
    let levels: Vec<String> = levels.collect();
    let to = if levels.is_empty() {
        "to its mark".to_owned()
    } else {
        format!("to {}", levels.join(", "))
    };
    steps.push(format!(
        "Cold again, top up {to}; add up all that went in and ask again with --poured."
    ));
    steps
}

fn bleed(assessment: &Assessment, of: &SystemFacts) -> String {
    let plan = &assessment.plan;
    let one = |bleed: &BleedFacts| {
        let at = bleed.place.at.words(plan);
        if bleed.fitted {
            at
        } else {
            format!("{at} (no bleed is there: fit one, or loosen the joint next to it)")
        }
    };
    let all: Vec<String> =
        of.bleeds.iter().map(|b| one(&assessment.facts.joined.bleed_order[*b])).collect();
    if all.is_empty() {
        return "No bleed is planned and none is missing: air rises to a tank by itself."
            .to_owned();
    }
    format!(
        "Bleeds from the lowest to the highest, each shut when liquid runs without air: {}.",
        all.join("; ")
    )
}

/// What a poured volume says, with the places where the air could be.
pub fn said(
    assessment: &Assessment,
    of: &SystemFacts,
    poured: &Poured,
    system: System,
) -> Vec<String> {
    let went_in = volume(poured.poured_m3, system);
    let predicted = volume(poured.predicted_m3, system);
    let least = if poured.at_least { "at least " } else { "" };
    let error = poured.error_m3().map(|e| format!(" ± {}", volume(e, system)));
    let missing = volume(poured.missing_m3().abs(), system);
    let known = error.clone().unwrap_or_default();
    let mut lines = vec![match poured.outcome {
        Outcome::Air => format!(
            "Poured: {went_in} of {least}{predicted}: {least}{missing}{known} of air are still in it."
        ),
        Outcome::Within if poured.at_least => format!(
            "Poured: {went_in} of at least {predicted}, {missing} apart{known}: what is known is full; what the parts \
             that are not known hold is missing, or air is in it."
        ),
        Outcome::Within => {
            format!(
                "Poured: {went_in} of {predicted}, {missing} apart{known}: no trapped air can be told."
            )
        }
        Outcome::More if poured.at_least => format!(
            "Poured: {went_in}, {missing}{known} more than the {predicted} that are known: the parts that are not known \
             take it. Open: trapped air cannot be told."
        ),
        Outcome::More => format!(
            "Poured: {went_in}, {missing}{known} more than the {predicted} that are predicted: a volume of the plan is \
             too small, or some ran out. Open: trapped air cannot be told."
        ),
    }];
    lines.push(error_words(of, poured, system));
    if poured.outcome == Outcome::Air {
        lines.extend(places(assessment, of, poured.missing_m3(), system));
    }
    lines
}

fn error_words(of: &SystemFacts, poured: &Poured, system: System) -> String {
    let part = |what: &str, error: Option<f64>, how: &str| match error {
        Some(error) => format!("{what} ± {}", volume(error, system)),
        None => format!("{what} not known ({how})"),
    };
    let poured_error = part("of what was poured", poured.poured_error_m3, "write ± behind it");
    let plan =
        part("of the plan, its ± added up", poured.predicted_error_m3, "no volume of it carries ±");
    // The area of a bore goes with its square.
    let bore = volume(0.02 * of.lines_m3(), system);
    let lost = match poured.not_moved {
        0 => String::new(),
        count => format!(" {count} ends of a ± could not be tried."),
    };
    format!(
        "Error: {poured_error}; {plan}. Bores of tables carry none: one per cent in all of them is {bore}.{lost}"
    )
}

/// Where air could be: places where it stays with the machine level.
fn places(
    assessment: &Assessment,
    of: &SystemFacts,
    missing_m3: f64,
    system: System,
) -> Vec<String> {
    let one = |pocket: &PocketFacts| {
        let at = pocket.peak.at.words(&assessment.plan);
        let holds = volume(pocket.volume_m3, system);
        let unknown = if pocket.unmeasured.is_empty() { "" } else { " or more" };
        let bled = match pocket.reliefs.first() {
            Some(relief) => format!("bled at {}", relief.at.words(&assessment.plan)),
            None => "without a bleed".to_owned(),
        };
        format!("{at}: room for {holds}{unknown}, {bled}")
    };
    let all: Vec<String> =
        of.pockets.iter().map(|p| one(&assessment.facts.joined.pockets[*p])).collect();
    if all.is_empty() {
        return vec![
            "It could be anywhere: level, no place keeps air by itself, so it may still be on its way. Run and bleed \
             again."
                .into(),
        ];
    }
    let pockets = || of.pockets.iter().map(|p| &assessment.facts.joined.pockets[*p]);
    let room_m3: f64 = pockets().map(|p| p.volume_m3).sum();
    let rest = if room_m3 < missing_m3 && pockets().all(|p| p.unmeasured.is_empty()) {
        format!(
            " There is room for {} in all; the rest is in components whose top the plan does not give, or still on its \
             way.",
            volume(room_m3, system)
        )
    } else {
        String::new()
    };
    vec![format!(
        "It could be at: {}.{rest} Bleed in the order below and pour again.",
        all.join("; ")
    )]
}
