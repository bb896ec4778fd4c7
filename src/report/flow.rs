//! Flows and pressures of the whole machine, case by case, for a person.

use core::fmt::Write;

use super::Layout;
use super::grid::{Grid, wrapped};
use super::terminal::closing;
use super::units::{Column, flow as flow_text, in_units, pressure, temperature};
use crate::assess::Assessment;
use crate::plan::Plan;
use crate::solve::network::facts::{Answer, CircuitFacts, CombinedFacts, PathFlow, Worst};
use crate::units::System;

/// The report of `flow`; with a name, of that case only.
pub fn text(assessment: &Assessment, only: Option<&str>, layout: Layout) -> String {
    let mut out = String::new();
    let plan = &assessment.plan;
    out.push_str(&wrapped(&format!("Flow in {}", plan.name), layout.width, 0));
    for circuit in &assessment.facts.network.circuits {
        if !circuit.missing.is_empty() {
            not_solved(&mut out, circuit, layout.width);
        }
    }
    for (index, case) in assessment.facts.cases.iter().enumerate() {
        let wanted = only.map_or(!case.combined, |name| name == case.name);
        if wanted {
            one_case(&mut out, assessment, index, layout);
        }
    }
    if only.is_none() {
        combined(&mut out, assessment, layout);
    }
    closing(&mut out, assessment, layout.width);
    out
}

fn not_solved(out: &mut String, circuit: &CircuitFacts, width: usize) {
    out.push('\n');
    out.push_str(&wrapped(&format!("{}: not solved in any case", circuit.name), width, 0));
    for why in &circuit.missing {
        out.push_str(&wrapped(why, width, 2));
    }
}

fn one_case(out: &mut String, assessment: &Assessment, index: usize, layout: Layout) {
    let case = &assessment.facts.cases[index];
    let air = pressure(case.ambient_pa, layout.system);
    out.push('\n');
    out.push_str(&wrapped(&format!("Case \"{}\", air at {air} abs", case.name), layout.width, 0));
    for circuit in &assessment.facts.network.circuits {
        let Some((_, answer)) = circuit.answers.iter().find(|(i, _)| *i == index) else { continue };
        match answer {
            Err(why) => {
                let text = format!("{}: not solved: {why}", circuit.name);
                out.push_str(&wrapped(&in_units(&text, layout.system), layout.width, 2));
            }
            Ok(answer) => {
                out.push_str(&wrapped(&balance(circuit, answer), layout.width, 2));
                lines(out, assessment, index, answer, layout);
                paths(out, &assessment.plan, answer, layout);
                positions(out, &assessment.plan, answer, layout.width);
            }
        }
    }
}

/// How well the answer closes, so that nobody has to trust it.
fn balance(circuit: &CircuitFacts, answer: &Answer) -> String {
    let [mass, energy, heat] = answer.residuals;
    let noun = if answer.steps == 1 { "step" } else { "steps" };
    let mut text = format!(
        "{} ({}): balanced in {} {noun}, flow to {mass:.0e}, pressure to {energy:.0e}",
        circuit.name, circuit.fluid, answer.steps
    );
    if answer.rounds > 1 {
        let _ = write!(text, ", heat to {heat:.0e} in {} rounds", answer.rounds);
    }
    text
}

fn lines(out: &mut String, assessment: &Assessment, case: usize, answer: &Answer, layout: Layout) {
    let system = layout.system;
    let mut head = vec!["line".to_owned(), Column::Flow.head("flow", system)];
    head.push(Column::Velocity.head("velocity", system));
    head.extend(["drop", "rest A", "rest B"].map(|n| Column::Pressure.head(n, system)));
    head.push("at".into());
    let mut grid = Grid::new(&[], &[1, 2, 3, 4, 5, 6]);
    for line in &answer.lines {
        let plan_line = &assessment.plan.lines[line.line];
        let duty = assessment.facts.lines[line.line].duties.iter().find(|d| d.case == case);
        let facts = duty.and_then(|d| d.flow.as_ref().ok());
        let shown = |p: Option<f64>| p.map_or("-".into(), |p| Column::Pressure.number(p, system));
        grid.rows.push(vec![
            plan_line.id.clone(),
            Column::Flow.number(line.flow_m3_s, system),
            facts.map_or("-".into(), |f| Column::Velocity.number(f.velocity_m_s, system)),
            shown(facts.map(|f| f.losses.drop_pa())),
            shown(line.ends_pa.map(|e| e[0])),
            shown(line.ends_pa.map(|e| e[1])),
            temperature(line.temperature_k, system),
        ]);
    }
    out.push_str(&grid.to_text_with(&head, layout.width));
}

fn paths(out: &mut String, plan: &Plan, answer: &Answer, layout: Layout) {
    let system = layout.system;
    let head = [
        "path".to_owned(),
        Column::Flow.head("flow", system),
        Column::Pressure.head("takes", system),
        Column::Pressure.head("in", system),
        "warms by".to_owned(),
        "state".to_owned(),
    ];
    let mut grid = Grid::new(&[], &[1, 2, 3, 4]);
    for path in &answer.paths {
        let shown = |p: Option<f64>| p.map_or("-".into(), |p| Column::Pressure.number(p, system));
        grid.rows.push(vec![
            path_name(plan, path),
            Column::Flow.number(path.flow_m3_s, system),
            shown(path.drop_pa),
            shown(path.from_pa),
            if (path.outlet_k - path.inlet_k).abs() < 0.05 {
                String::new()
            } else {
                format!("{:+.1} K", path.outlet_k - path.inlet_k)
            },
            path.state.word().to_owned(),
        ]);
    }
    out.push_str(&grid.to_text_with(&head, layout.width));
}

fn path_name(plan: &Plan, path: &PathFlow) -> String {
    let component = &plan.components[path.component];
    format!("{} {}", component.id, component.paths[path.path].name)
}

fn positions(out: &mut String, plan: &Plan, answer: &Answer, width: usize) {
    for (component, position) in &answer.positions {
        let text = format!(
            "thermostat {}: {:.0} % of its way from cold to warm",
            plan.components[*component].id,
            100.0 * position
        );
        out.push_str(&wrapped(&text, width, 2));
    }
}

fn combined(out: &mut String, assessment: &Assessment, layout: Layout) {
    let network = &assessment.facts.network;
    if !network.combined.is_empty() {
        out.push_str("\nCombined cases\n");
    }
    for group in &network.combined {
        combined_group(out, group, layout);
    }
    inlets(out, assessment, layout);
    flows_wanted(out, assessment, layout);
    needs(out, assessment, layout);
}

fn combined_group(out: &mut String, group: &CombinedFacts, layout: Layout) {
    let text = format!(
        "{}: {} combinations, {} not allowed by the plan, {} solved, every balance to {:.0e} or better",
        group.name, group.there_are, group.not_allowed, group.solved, group.residual
    );
    out.push_str(&wrapped(&text, layout.width, 2));
    for refused in &group.refused {
        let example = if refused.example.is_empty() {
            String::new()
        } else {
            format!("; for example {}", refused.example)
        };
        let text = format!("{} not solved: {}{example}", refused.count, refused.why);
        out.push_str(&wrapped(&in_units(&text, layout.system), layout.width, 4));
    }
}

/// A number with the case that governs it.
fn governed(worst: &Worst, shown: &str) -> String {
    format!("{shown}, governed by: {}", worst.case.name)
}

fn inlets(out: &mut String, assessment: &Assessment, layout: Layout) {
    let system = layout.system;
    for inlet in &assessment.facts.network.inlets {
        let component = &assessment.plan.components[inlet.component];
        let Some(margin) = &inlet.margin else { continue };
        let shown = pressure(margin.value, system);
        let mut text = format!(
            "{} inlet over the vapour pressure: {}",
            component.id,
            governed(margin, &shown)
        );
        if let Some(height) = inlet.zero_altitude_m {
            let _ = write!(text, "; zero at {height:.0} m");
        }
        if let Some(kelvin) = inlet.zero_temperature_k {
            let _ = write!(text, "; zero with the fluid at {}", temperature(kelvin, system));
        }
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn flows_wanted(out: &mut String, assessment: &Assessment, layout: Layout) {
    for path in &assessment.facts.network.least_flows {
        let component = &assessment.plan.components[path.component];
        let name = format!("{} {}", component.id, component.paths[path.path].name);
        let Some(least) = &path.least else { continue };
        let shown = flow_text(least.value, layout.system);
        let text = format!(
            "{name}: least {}; {} wanted",
            governed(least, &shown),
            flow_text(path.wanted_m3_s, layout.system)
        );
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}

fn needs(out: &mut String, assessment: &Assessment, layout: Layout) {
    let system: System = layout.system;
    for need in &assessment.facts.network.needs {
        let id = &assessment.plan.components[need.component].id;
        let Some(available) = &need.available else { continue };
        let text = format!(
            "{id} uses {}; at the pressure it needs there come {}",
            flow_text(need.wanted_m3_s, system),
            governed(available, &flow_text(available.value, system))
        );
        out.push_str(&wrapped(&text, layout.width, 2));
    }
}
