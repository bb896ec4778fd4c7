//! The flow test for a person with a can and a watch.

use super::Layout;
use super::caution::{FLOW_TEST, cautions};
use super::grid::wrapped;
use super::units::{flow, gauge, in_units, length, pressure};
use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::hydraulics::flow_test::fill_time_s;
use crate::plan::Plan;
use crate::solve::flow_test::{Explanation, Hiding, Place};
use crate::trial::flow::{FlowTrial, Row, TestResult, test_name};
use crate::units::{Quantity, System, Volume, write};

/// Reported at most, of the places where a resistance could hide.
const MOST_PLACES: usize = 8;

/// The report of `test flow`.
pub fn text(assessment: &Assessment, trial: &FlowTrial, layout: Layout) -> String {
    let mut out = String::new();
    let plan = &assessment.plan;
    let say = |out: &mut String, text: &str, indent: usize| {
        out.push_str(&wrapped(&in_units(text, layout.system), layout.width, indent));
    };
    say(&mut out, &format!("Flow test of {}", plan.name), 0);
    say(&mut out, FLOW_TEST, 0);
    let nose = trial.nose_up_rad.to_degrees();
    say(
        &mut out,
        &format!("Propped to {nose:.1} degrees nose up; every tank at its lowest level."),
        0,
    );
    for row in &trial.rows {
        out.push('\n');
        one(&mut out, plan, trial, row, layout);
    }
    for (need, pump, why) in &trial.not_computed {
        let with = pump.map_or(String::new(), |p| format!(" with {}", plan.components[p].id));
        let id = &plan.components[*need].id;
        out.push('\n');
        say(&mut out, &format!("{id}{with}: nothing to expect can be computed: {why}"), 0);
    }
    if trial.rows.is_empty() && trial.not_computed.is_empty() {
        say(
            &mut out,
            "No component of the plan has a need in a circuit: there is nothing to test.",
            0,
        );
    }
    if trial.cut_short {
        say(&mut out, "There are more ways to set the valves than were tried.", 0);
    }
    out.push('\n');
    for caution in cautions(plan, &assessment.facts) {
        out.push_str(&wrapped(caution, layout.width, 0));
    }
    out
}

fn one(out: &mut String, plan: &Plan, trial: &FlowTrial, row: &Row, layout: Layout) {
    let mut say = |text: &str, indent: usize| {
        out.push_str(&wrapped(text, layout.width, indent));
    };
    let system = layout.system;
    say(&format!("{}: {}", plan.components[row.test.need].id, test_name(plan, &row.test)), 0);
    for line in statements(plan, trial, row, system) {
        say(&line, 2);
    }
    if let Some(result) = &row.result {
        for line in measured(trial, row, result, system) {
            say(&line, 2);
        }
        match &result.explanation {
            None => {}
            Some(Err(why)) => say(&format!("what lowers it was not found: {why}"), 2),
            Some(Ok(explanation)) => {
                say(&extra(explanation, system), 2);
                for hiding in explanation.hiding.iter().take(MOST_PLACES) {
                    say(&hidden(plan, hiding, system), 4);
                }
                say(&next_test(plan, explanation), 2);
            }
        }
    }
}

/// How a test is made, what must come, and what is expected.
pub fn statements(plan: &Plan, trial: &FlowTrial, row: &Row, system: System) -> Vec<String> {
    let mut lines = how(plan, trial, row, system);
    lines.extend(must(trial, row, system));
    lines.push(expected(trial, row, system));
    lines
}

/// How the test is made.
fn how(plan: &Plan, trial: &FlowTrial, row: &Row, system: System) -> Vec<String> {
    let component = &plan.components[row.test.need];
    let need = component.need.as_ref();
    let port = need.map_or("", |n| component.ports[n.port].name.as_str());
    let at_rest = need.is_none_or(|n| n.pressure.si() == 0.0);
    let mut lines = vec![if trial.open || at_rest {
        format!(
            "open the line at {}.{port} and keep its end at that height: 0 bar there",
            component.id
        )
    } else {
        let kept = need.map_or(String::new(), |n| gauge(n.pressure.si(), system));
        format!("let it out at {}.{port} through a valve that keeps {kept} there", component.id)
    }];
    let set: Vec<String> = row
        .test
        .set
        .iter()
        .map(|(c, s)| format!("{} {}", plan.components[*c].id, plan.components[*c].states[*s].name))
        .collect();
    if !set.is_empty() {
        lines.push(format!("set: {}", set.join(", ")));
    }
    for pump in &row.test.running {
        let id = &plan.components[*pump].id;
        lines.push(format!(
            "{id} has no state in which it stands still, so it runs too: not a test of one pump"
        ));
    }
    for port in &row.test.uncovered {
        let (tank, port) = plan.port(port);
        lines.push(format!("at this level {}.{} is not covered: it draws air", tank.id, port.name));
    }
    lines
}

/// What must come, and the time for each can.
fn must(trial: &FlowTrial, row: &Row, system: System) -> Vec<String> {
    let one = |factor: f64, source: &str| {
        let wanted = factor * row.used_m3_s;
        let times: Vec<String> = trial
            .cans
            .iter()
            .map(|can| format!("{} in at most {}", can_text(*can), seconds(*can, wanted)))
            .collect();
        format!(
            "must come: {}, {:.0} % of {}: {} ({source})",
            flow(wanted, system),
            100.0 * factor,
            flow(row.used_m3_s, system),
            times.join(", ")
        )
    };
    let mut lines: Vec<String> =
        row.yardsticks.iter().map(|y| one(y.value, &y.cite.text)).collect();
    if !row.yardstick_chosen {
        lines.push("the plan chooses no rule for this feed, so only what is used must come".into());
    }
    lines
}

fn expected(trial: &FlowTrial, row: &Row, system: System) -> String {
    let predicted = row.test.predicted_m3_s;
    let times: Vec<String> = trial
        .cans
        .iter()
        .map(|can| format!("{} in {}", can_text(*can), seconds(*can, predicted)))
        .collect();
    let mut text = format!("expected: {}: {}", flow(predicted, system), times.join(", "));
    if predicted < row.wanted_m3_s() {
        text.push_str("; as planned that is too little");
    }
    text
}

fn measured(trial: &FlowTrial, row: &Row, result: &TestResult, system: System) -> Vec<String> {
    let can = trial.cans.first().map_or(String::new(), |c| can_text(*c));
    let error = trial.error.si();
    let within = if error > 0.0 {
        format!(
            " within {error:.1} s: {} ({} to {})",
            flow(result.flow.flow_m3_s, system),
            flow(result.flow.low_m3_s, system),
            flow(result.flow.high_m3_s, system)
        )
    } else {
        format!(", the error of the watch left out: {}", flow(result.flow.flow_m3_s, system))
    };
    let mut lines = vec![format!("measured: {can} in {:.1} s{within}", result.time.si())];
    for (yardstick, verdict) in row.yardsticks.iter().zip(&result.verdicts) {
        let wanted = flow(yardstick.value * row.used_m3_s, system);
        lines.push(match verdict {
            Verdict::Ok => format!("ok: it is at least {wanted}"),
            Verdict::Fail => format!("fail: it is less than {wanted}; do not fly or run it like this"),
            _ => format!("caution: within the error of the watch it may be less than {wanted}; time a larger can"),
        });
    }
    if result.explanation.is_none() {
        lines.push(if result.flow.low_m3_s > row.test.predicted_m3_s {
            "it is more than expected: something resists less than the plan says, or the can or the watch is off".into()
        } else {
            "it is what was to be expected, within the error".into()
        });
    }
    lines
}

fn extra(explanation: &Explanation, system: System) -> String {
    if explanation.displacement {
        let mut ways = vec!["it gives less itself or draws air".to_owned()];
        ways.extend(explanation.before_pa.map(|p| {
            format!(
                "the fluid boils before it, which {} more in the suction would do",
                pressure(p, system)
            )
        }));
        ways.extend(explanation.behind_pa.map(|p| {
            format!(
                "{} more behind it make the rest slip back or go another way",
                pressure(p, system)
            )
        }));
        return format!(
            "a pump of this kind gives its flow whatever resists: {}. Where that could be, the least change first:",
            ways.join(", or ")
        );
    }
    let Some(extra) = &explanation.extra else { return String::new() };
    let band = if extra.least == extra.most {
        String::new()
    } else {
        format!(
            " ({} to {} within the error)",
            pressure(extra.least.loss_pa, system),
            pressure(extra.most.loss_pa, system)
        )
    };
    format!(
        "an extra resistance of {} at this flow explains it{band}. Where it could hide, the least change first:",
        pressure(extra.likely.loss_pa, system)
    )
}

/// A place in one sentence.
pub fn hidden(plan: &Plan, hiding: &Hiding, system: System) -> String {
    let times = match (hiding.times, hiding.planned_pa) {
        (Some(times), Some(planned)) => {
            format!(": {times:.1} times the {} it should take", pressure(planned, system))
        }
        _ => String::new(),
    };
    match hiding.place {
        Place::Line(line, bore) => {
            let bore = bore.map_or(String::new(), |b| {
                format!(", as if its bore were {} all along", length(b * 1e3, system))
            });
            format!("line {}{times}{bore}", plan.lines[line].id)
        }
        Place::Path(component, path, blocked) => {
            let component = &plan.components[component];
            let name = &component.paths[path].name;
            let blocked = blocked.map_or(String::new(), |b| {
                format!(", as if {:.0} % of its passage were blocked", 100.0 * b)
            });
            let free = if hiding.times.is_none() { ": planned as free" } else { "" };
            format!("{} {} {name}{times}{blocked}{free}", component.kind, component.id)
        }
        Place::Vent(tank) => {
            let vacuum = hiding.extra_pa.map_or(String::new(), |p| pressure(p, system));
            format!("vent of {}: the tank under a vacuum of {vacuum}", plan.components[tank].id)
        }
        Place::Pump(pump, share) => {
            format!("pump {}: {:.0} % of its flow", plan.components[pump].id, 100.0 * share)
        }
    }
}

/// The tests that tell the places apart.
pub fn next_test(plan: &Plan, explanation: &Explanation) -> String {
    let mut tests: Vec<String> = Vec::new();
    for hiding in &explanation.hiding {
        let test = match hiding.place {
            Place::Vent(tank) => format!(
                "open the filler of {} and time it again: quicker means the vent",
                plan.components[tank].id
            ),
            Place::Path(component, ..) => {
                let component = &plan.components[component];
                if !matches!(component.kind.as_str(), "filter" | "strainer" | "valve") {
                    continue;
                }
                format!(
                    "time it before and behind {} {}: quick before and slow behind means it",
                    component.kind, component.id
                )
            }
            Place::Pump(pump, _) => format!(
                "put a gauge and a voltmeter on {} and look for bubbles behind it: bubbles mean air or vapour, full \
                 pressure without flow a worn pump",
                plan.components[pump].id
            ),
            Place::Line(..) => continue,
        };
        if !tests.contains(&test) {
            tests.push(test);
        }
    }
    if tests.is_empty() {
        tests.push(
            "time it at every joint on the way, from the tank on: the slow one follows the place"
                .into(),
        );
    }
    format!("next: {}", tests.join("; "))
}

fn can_text(can: Volume) -> String {
    let gallon = 231.0 * 0.0254 * 0.0254 * 0.0254;
    if (can.si() / gallon - 1.0).abs() < 1e-9 {
        "1 gal(US)".into()
    } else {
        write(can, System::Metric)
    }
}

/// The time in which a can fills; none without a flow.
fn seconds(can: Volume, flow_m3_s: f64) -> String {
    match fill_time_s(can.si(), flow_m3_s) {
        Ok(time) if time < 200.0 => format!("{time:.1} s"),
        Ok(time) => format!("{time:.0} s"),
        Err(_) => "no time at all: nothing comes".into(),
    }
}
