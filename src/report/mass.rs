//! Masses for a person with a weight and balance sheet: dry and wet by system, where that balances, and how it moves.

use super::Layout;
use super::caution::WEIGHING;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::{temperature, value};
use crate::assess::Assessment;
use crate::plan::Plan;
use crate::solve::mass::{Item, Known, MassFacts, Missing, RETURN_S, Returned, Sum, Total, What};
use crate::units::System;

const POUND: f64 = 0.453_592_37;
const INCH_MM: f64 = 25.4;

/// A mass in kg.
fn mass(kg: f64, system: System) -> String {
    // Grams tell a fitting from nothing.
    match system {
        System::Metric => format!("{kg:.3} kg"),
        System::Inch => format!("{:.3} lb", kg / POUND),
        System::Both => format!("{kg:.3} kg ({:.3} lb)", kg / POUND),
    }
}

/// An arm in mm.
fn arm(mm: f64, system: System) -> String {
    // Adding zero takes the sign off a zero.
    let whole = |v: f64| v.round() + 0.0;
    match system {
        System::Metric => format!("{:.0}", whole(mm)),
        System::Inch => format!("{:.1}", mm / INCH_MM),
        System::Both => format!("{:.0} ({:.1})", whole(mm), mm / INCH_MM),
    }
}

/// A moment in kg m.
fn moment(kg_m: f64, system: System) -> String {
    let inch = kg_m / POUND / (INCH_MM / 1e3);
    match system {
        System::Metric => format!("{:.3}", kg_m + 0.0),
        System::Inch => format!("{inch:.2}"),
        System::Both => format!("{kg_m:.3} ({inch:.2})"),
    }
}

/// What something is, in words.
pub fn words(plan: &Plan, what: What) -> String {
    let line = |i: usize| plan.lines[i].id.as_str();
    let component = |i: usize| plan.components[i].id.as_str();
    match what {
        What::Line(i) => line(i).to_owned(),
        What::Fitting(i, end) => format!("{} end {}", line(i), if end == 0 { "A" } else { "B" }),
        What::Component(i) => component(i).to_owned(),
        What::InLine(i) => format!("in {}", line(i)),
        What::InComponent(i) | What::InTank(i) => format!("in {}", component(i)),
    }
}

/// The report of `mass`.
pub fn text(assessment: &Assessment, facts: &MassFacts, layout: Layout) -> String {
    let (plan, system) = (&assessment.plan, layout.system);
    let mut out = wrapped(&format!("Mass and moment of {}", plan.name), layout.width, 0);
    for line in about(plan, facts, system) {
        out.push_str(&wrapped(&line, layout.width, 0));
    }
    let mut block = |heading: &str, grid: &Grid, head: &[String]| {
        if !grid.rows.is_empty() {
            out.push('\n');
            out.push_str(&wrapped(heading, layout.width, 0));
            out.push_str(&grid.to_text_with(head, layout.width));
        }
    };
    block("By system", &totals(facts, system), &heads(plan, "system", "", system));
    let least = facts.totals.last().is_some_and(|t| t.at_least.contains(&true));
    let heading = if least { "Fuel burned, all masses at least" } else { "Fuel burned" };
    block(heading, &burned(facts, system), &heads(plan, "fuel", "of it fuel", system));
    block(
        "Everything that weighs",
        &items(plan, facts, system),
        &heads(plan, "part", "system", system),
    );
    out.push('\n');
    for line in notes(assessment, facts, system) {
        out.push_str(&wrapped(&line, layout.width, 0));
    }
    out.push_str(&wrapped(WEIGHING, layout.width, 0));
    closing(&mut out, assessment, layout.width);
    out
}

/// Heads of a table: what, more of it, mass, arms and moments named by the axes of the plan.
fn heads(plan: &Plan, what: &str, more: &str, system: System) -> Vec<String> {
    let axes = plan.axes.words();
    let (arms, moments) = match system {
        System::Metric => ("mm", "kg m"),
        System::Inch => ("in", "lb in"),
        System::Both => ("mm (in)", "kg m (lb in)"),
    };
    let letters = ["x", "y", "z"];
    let arm = (0..3).map(|i| format!("{} {} {arms}", letters[i], axes[i]));
    let moment = format!("moment {} {moments}", axes[0]);
    [what.to_owned(), more.to_owned(), "mass".to_owned()]
        .into_iter()
        .chain(arm)
        .chain([moment])
        .collect()
}

fn about(plan: &Plan, facts: &MassFacts, system: System) -> Vec<String> {
    let axes = plan.axes.words();
    let taken = facts.temperatures_k.iter().zip(&plan.fluids).filter_map(|(k, f)| {
        let at = (*k).filter(|_| !f.fluid.gas)?;
        Some(format!("{} {}", f.id, temperature(at, system)))
    });
    let taken: Vec<String> = taken.collect();
    vec![
        format!(
            "Arms are counted from the origin of the plan: x {}, y {}, z {} positive.",
            axes[0], axes[1], axes[2]
        ),
        format!(
            "Densities at the first temperature that a case gives: {}. Gas is left out; so are sleeves, clips and clamps.",
            if taken.is_empty() { "none".to_owned() } else { taken.join(", ") }
        ),
    ]
}

fn sums(sum: Option<&Sum>, system: System) -> Vec<String> {
    let Some(sum) = sum else { return vec!["open".into()] };
    let mut cells = vec![mass(sum.mass_kg, system)];
    cells.extend(sum.centre_mm.map(|mm| arm(mm, system)));
    cells.push(moment(sum.moment_kg_m[0], system));
    cells
}

fn totals(facts: &MassFacts, system: System) -> Grid {
    let mut grid = Grid::new(&[], &[2, 3, 4, 5, 6]);
    let rows = |total: &Total| -> Vec<Vec<String>> {
        let name = total.system.clone().unwrap_or_else(|| "all".to_owned());
        let [dry, fluid] = total.at_least;
        let kinds = [
            ("dry", total.dry.as_ref(), dry),
            ("fluid", total.fluid.as_ref(), fluid),
            ("wet", total.wet.as_ref(), dry || fluid),
        ];
        let kinds = kinds.into_iter().filter(|(_, sum, least)| sum.is_some() || *least);
        let row = |(kind, sum, least): (&str, Option<&Sum>, bool)| {
            let kind =
                if least && sum.is_some() { format!("{kind}, at least") } else { kind.into() };
            [vec![name.clone(), kind], sums(sum, system)].concat()
        };
        kinds.map(row).collect()
    };
    grid.rows = facts.totals.iter().flat_map(rows).map(|row| filled(row, 7)).collect();
    grid
}

fn filled(mut row: Vec<String>, width: usize) -> Vec<String> {
    row.resize(width, String::new());
    row
}

fn burned(facts: &MassFacts, system: System) -> Grid {
    let mut grid = Grid::new(&[], &[1, 2, 3, 4, 5, 6]);
    for row in &facts.burned {
        let cells = match &row.found {
            Ok((fuel_kg, sum)) => {
                let own = vec![row.fuel.to_owned(), mass(*fuel_kg, system)];
                [own, sums(Some(sum), system)].concat()
            }
            Err(why) => vec![row.fuel.to_owned(), format!("open: {why}")],
        };
        grid.rows.push(filled(cells, 7));
    }
    grid
}

fn items(plan: &Plan, facts: &MassFacts, system: System) -> Grid {
    let mut grid = Grid::new(&[], &[2, 3, 4, 5, 6]);
    let row = |item: &Item| {
        let star = if item.known == Known::Given { "" } else { "*" };
        let mut cells =
            vec![words(plan, item.what), item.system.clone(), mass(item.mass_kg, system)];
        cells.extend(item.at_mm.map(|mm| format!("{}{star}", arm(mm, system))));
        cells.push(moment(item.mass_kg * item.at_mm[0] / 1e3, system));
        cells
    };
    grid.rows = facts.items.iter().map(row).collect();
    grid
}

/// Places that are assumed, what is missing, and what returns, a sentence or two each.
pub fn notes(assessment: &Assessment, facts: &MassFacts, system: System) -> Vec<String> {
    let plan = &assessment.plan;
    let mut lines = Vec::new();
    if facts.items.iter().any(|i| i.known != Known::Given) {
        lines.push(
            "* is assumed: a component at the mean of its ports, the liquid of a tank beside the point on its surface, \
             half way down to its lowest port. Give centre. How the middle of a liquid sinks with its level is not \
             followed."
                .into(),
        );
    }
    lines.extend(missing(plan, &facts.missing));
    lines.extend(facts.returned.iter().map(|r| returned(assessment, r, system)));
    lines
}

/// What is not known, by what is not given.
fn missing(plan: &Plan, missing: &[Missing]) -> Vec<String> {
    let mut reasons: Vec<&str> = Vec::new();
    for one in missing {
        if !reasons.contains(&one.why.as_str()) {
            reasons.push(&one.why);
        }
    }
    let of = |why: &&str| {
        let own = missing.iter().filter(|m| m.why == **why).map(|m| words(plan, m.what));
        format!("missing: {}: {why}", own.collect::<Vec<_>>().join(", "))
    };
    reasons.iter().map(of).collect()
}

fn returned(assessment: &Assessment, of: &Returned, system: System) -> String {
    let plan = &assessment.plan;
    let id = |component: &usize| plan.components[*component].id.clone();
    let from: Vec<String> = of.from.iter().map(id).collect();
    let case = assessment.facts.cases.get(of.case).map_or("", |c| c.name.as_str());
    let head = format!("Return into another tank: {} into {}", from.join(", "), id(&of.into));
    match &of.moved {
        Err(why) => format!("{head}: open, {why}."),
        Ok((mass_kg, shift)) => {
            let axes = plan.axes.words();
            let way = |mm: f64| match system {
                System::Metric => format!("{mm:+.1} mm"),
                System::Inch => format!("{:+.2} in", mm / INCH_MM),
                System::Both => format!("{mm:+.1} mm ({:+.2} in)", mm / INCH_MM),
            };
            let by: Vec<String> = (0..3)
                .filter(|i| shift[*i].abs() > 0.05)
                .map(|i| format!("{} {}", way(shift[i]), axes[i]))
                .collect();
            let by = if by.is_empty() { "less than 0.1 mm".to_owned() } else { by.join(", ") };
            let until = if of.time_s < RETURN_S { ", until a tank runs over or empty" } else { "" };
            format!(
                "{head}: {} in {} min{until} (case {case}); the balance of all that weighs here moves {by}.",
                mass(*mass_kg, system),
                value(of.time_s / 60.0, "", System::Metric).trim_end_matches(".00"),
            )
        }
    }
}
