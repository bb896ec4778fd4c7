//! What can be signed: the card of each line, each joint, each test, with the words that are printed for it.

use std::collections::BTreeSet;

use super::{Card, cards, words};
use crate::plan::{Plan, PortRef};
use crate::report::flow_test::statements;
use crate::signed::Subject;
use crate::solve::LineFacts;
use crate::table::Tables;
use crate::table::end::Gender;
use crate::trial::flow::{FlowTrial, Row, test_name};
use crate::units::System;

/// Everything of a plan that can be signed, tests only where they were planned.
///
/// # Notes
/// Figures are metric here whatever the book is printed in, so that a change of units voids nothing.
pub fn subjects(
    plan: &Plan,
    tables: &Tables,
    lines: &[LineFacts],
    flow_trial: Option<&FlowTrial>,
) -> Vec<Subject> {
    let mut all = Vec::new();
    for card in cards(plan, tables, lines) {
        let said = words::statements(&card);
        for (end, port) in [card.planned().from, card.planned().to].into_iter().enumerate() {
            all.push(Subject::joint(&plan.port_name(&port), joint(&card, end, &said)));
        }
        all.push(Subject::line(&card.planned().id, said));
    }
    for join in &plan.joins {
        let said = join.ports.map(|port| port_words(plan, port)).to_vec();
        all.extend(join.ports.map(|port| Subject::joint(&plan.port_name(&port), said.clone())));
    }
    for port in free_ports(plan, &all) {
        all.push(Subject::joint(&plan.port_name(&port), vec![port_words(plan, port)]));
    }
    if let Some(trial) = flow_trial {
        all.extend(trial.rows.iter().map(|row| test(plan, trial, row)));
    }
    all
}

/// Ports that neither a line nor a join uses: plugged, or open.
fn free_ports(plan: &Plan, used: &[Subject]) -> Vec<PortRef> {
    let used: BTreeSet<&str> = used.iter().map(|s| s.key.as_str()).collect();
    let components = plan.components.iter().enumerate();
    let all = components
        .flat_map(|(component, c)| (0..c.ports.len()).map(move |port| PortRef { component, port }));
    let is_free = |at: &PortRef| !used.contains(Subject::joint_key(&plan.port_name(at)).as_str());
    all.filter(is_free).collect()
}

/// What is told of the joint at an end of a line. A line that is made anew is joined anew, so all of its card counts.
fn joint(card: &Card<'_>, end: usize, said: &[String]) -> Vec<String> {
    let letter = ["A", "B"][end];
    let planned = card.planned();
    let port = [planned.from, planned.to][end];
    let head = format!("end {letter} of {}", planned.id);
    let at = port_words(card.plan, port);
    [head, at].into_iter().chain(said.iter().cloned()).collect()
}

/// A port with its seat.
fn port_words(plan: &Plan, at: PortRef) -> String {
    let end = &plan.port(&at).1.end;
    let gender = end.gender.map_or("", Gender::word);
    let words = [end.family.as_str(), end.size.as_deref().unwrap_or_default(), gender];
    let words: Vec<&str> = words.into_iter().filter(|w| !w.is_empty()).collect();
    format!("{}: {}", plan.port_name(&at), words.join(" "))
}

/// The name of a flow test: its need, and what feeds it; how the machine is set as well, where two are alike otherwise.
pub fn name_of_test(plan: &Plan, trial: &FlowTrial, row: &Row) -> String {
    let id = |component: usize| plan.components[component].id.as_str();
    let name = |row: &Row| format!("{}: {}", id(row.test.need), test_name(plan, &row.test));
    let own = name(row);
    if trial.rows.iter().filter(|other| name(other) == own).count() < 2 {
        return own;
    }
    let state =
        |(c, s): &(usize, usize)| format!("{} {}", id(*c), plan.components[*c].states[*s].name);
    let set: Vec<String> = row.test.set.iter().map(state).collect();
    format!("{own}, {}", set.join(", "))
}

fn test(plan: &Plan, trial: &FlowTrial, row: &Row) -> Subject {
    let name = name_of_test(plan, trial, row);
    let propped = format!("propped to {:.1} degrees nose up", trial.nose_up_rad.to_degrees());
    let said = [propped].into_iter().chain(statements(plan, trial, row, System::Metric)).collect();
    Subject::test(&name, said)
}
