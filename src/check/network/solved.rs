//! `network.solved`: whether flows and pressures of a circuit were found, in every case.

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::network::facts::{CircuitFacts, CombinedFacts};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.solved",
    looks_at: "every circuit in every named case and in every combination",
    why: "the machine fails in the case that nobody computed",
    number: "cases without an answer",
    limit_from: "the balances of flow, pressure and heat, each closed to 1e-9",
    open_when: "figures are missing, or the circuit has no answer in a case; the reason is given",
    remedy: "add what is named, or change the state that cannot be",
};

/// Says for each circuit whether it was solved, and why not.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let network = &whole.facts.network;
    let mut findings: Vec<Finding> =
        network.circuits.iter().flat_map(|circuit| named(whole, circuit)).collect();
    findings.extend(network.combined.iter().map(|group| combined(whole, group)));
    findings
}

fn named(whole: &Whole<'_>, circuit: &CircuitFacts) -> Vec<Finding> {
    let draft = || whole.draft(&ABOUT, &circuit.name).source(&balances());
    if !circuit.missing.is_empty() {
        let all_lines_stated =
            circuit.lines.iter().all(|l| !whole.plan.lines[*l].duties.is_empty());
        let text = format!("not solved: {}", circuit.missing.join("; "));
        let stated =
            if all_lines_stated { "; its lines are judged by their stated duties" } else { "" };
        return vec![draft().open(format!("{text}{stated}"), ABOUT.remedy)];
    }
    let cases = whole.facts.cases.iter();
    let is_named = |index: usize| whole.facts.cases.get(index).is_some_and(|c| !c.combined);
    let asked = cases.filter(|c| !c.combined).count();
    let refused = circuit.answers.iter().filter(|(i, a)| is_named(*i) && a.is_err());
    let mut findings: Vec<Finding> = refused
        .filter_map(|(index, answer)| {
            let why = answer.as_ref().err()?;
            let draft = draft().case(whole.case_name(*index));
            Some(draft.open(format!("not solved: {why}"), ABOUT.remedy))
        })
        .collect();
    if findings.is_empty() {
        findings.push(draft().value(0.0, "cases").ok(format!("solved in all {asked} named cases")));
    }
    findings
}

fn combined(whole: &Whole<'_>, group: &CombinedFacts) -> Finding {
    let refused: usize = group.refused.iter().map(|r| r.count).sum();
    let place = format!("{}, combined cases", group.name);
    let draft = whole.draft(&ABOUT, &place).source(&balances());
    let text = format!(
        "{} of {} combinations solved, {} not allowed by the plan",
        group.solved, group.there_are, group.not_allowed
    );
    if refused == 0 {
        return draft.value(0.0, "cases").ok(text);
    }
    let reasons: Vec<String> = group
        .refused
        .iter()
        .map(|r| match r.example.as_str() {
            "" => format!("{} not solved: {}", r.count, r.why),
            example => format!("{} not solved, such as {example}: {}", r.count, r.why),
        })
        .collect();
    let counted = f64::from(u32::try_from(refused).unwrap_or(u32::MAX));
    draft.value(counted, "cases").open(format!("{text}; {}", reasons.join("; ")), ABOUT.remedy)
}

/// What an answer is held against.
fn balances() -> Cite {
    Cite::plan("the circuit as planned")
}
