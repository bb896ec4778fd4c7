//! The numbers and verdicts of one assessment, by keys that stay the same when an input is moved.

use std::collections::BTreeMap;

use crate::assess::Assessment;
use crate::check::MACHINE_CHECKS;
use crate::finding::{Finding, Verdict};
use crate::solve::network::facts::{Answer, CircuitFacts};

/// What a result is, apart from its number.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// The code of a check, or the name of a figure of the network.
    pub code: &'static str,
    /// The line, path or component.
    pub place: String,
    /// The named case; none for a result over all cases, since another case may be the worst after a shift.
    pub case: Option<String>,
    /// Several results with the same words count from 0.
    pub count: u32,
}

/// What an assessment says of one result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The number.
    pub value: Option<f64>,
    /// What it was held against.
    pub limit: Option<f64>,
    /// Distance to the limit, negative beyond it.
    pub margin: Option<f64>,
    /// The judgement; none for a figure that no check judges.
    pub verdict: Option<Verdict>,
    /// The unit of the three numbers.
    pub unit: &'static str,
}

/// All results of an assessment in its order.
pub fn readings(assessment: &Assessment) -> Vec<(Key, Reading)> {
    let mut list: Vec<(Key, Reading)> = assessment.findings.iter().map(judged).collect();
    for circuit in &assessment.facts.network.circuits {
        for (case, answer) in answered(assessment, circuit) {
            let solved = answer.as_ref().ok();
            list.extend(solved.into_iter().flat_map(|a| figures(assessment, case, a)));
        }
    }
    let mut counts: BTreeMap<Key, u32> = BTreeMap::new();
    for (key, _) in &mut list {
        let next = counts.entry(key.clone()).or_default();
        key.count = *next;
        *next += 1;
    }
    list
}

fn judged(finding: &Finding) -> (Key, Reading) {
    let of_machine = MACHINE_CHECKS.iter().any(|(about, _)| about.code == finding.code);
    let (place, case) = if finding.governing || of_machine {
        // Another bend or end of the line may be the worst as well.
        let whole = finding.place.split(',').next().unwrap_or_default();
        (if of_machine { finding.place.as_str() } else { whole }, None)
    } else {
        (finding.place.as_str(), finding.case.clone())
    };
    let key = Key { code: finding.code, place: place.to_owned(), case, count: 0 };
    let reading = Reading {
        value: finding.value,
        limit: finding.limit,
        margin: finding.margin,
        verdict: Some(finding.verdict),
        unit: finding.unit,
    };
    (key, reading)
}

/// The answers of a circuit in the cases that the plan names.
fn answered<'a>(
    assessment: &'a Assessment,
    circuit: &'a CircuitFacts,
) -> impl Iterator<Item = (&'a str, &'a Result<Answer, String>)> {
    circuit.answers.iter().filter_map(|(index, answer)| {
        let case = assessment.facts.cases.get(*index).filter(|c| !c.combined)?;
        Some((case.name.as_str(), answer))
    })
}

/// Flows, pressures and temperatures of the network that no check judges.
fn figures(assessment: &Assessment, case: &str, answer: &Answer) -> Vec<(Key, Reading)> {
    let plan = &assessment.plan;
    let figure = |code, place: &str, value: Option<f64>, unit| {
        let key = Key { code, place: place.to_owned(), case: Some(case.to_owned()), count: 0 };
        (key, Reading { value, limit: None, margin: None, verdict: None, unit })
    };
    let mut list = Vec::new();
    for line in &answer.lines {
        let id = &plan.lines[line.line].id;
        list.push(figure("line-flow", id, Some(line.flow_m3_s * 60e3), "L/min"));
        list.push(figure("line-temperature", id, Some(line.temperature_k - 273.15), "degC"));
        let ends = line.ends_pa.map_or([None; 2], |ends| ends.map(|p| Some(p / 1e3)));
        list.push(figure("line-pressure", &format!("{id}, end A"), ends[0], "kPa"));
        list.push(figure("line-pressure", &format!("{id}, end B"), ends[1], "kPa"));
    }
    for path in &answer.paths {
        let component = &plan.components[path.component];
        let name = format!("{} {}", component.id, component.paths[path.path].name);
        list.push(figure("path-flow", &name, Some(path.flow_m3_s * 60e3), "L/min"));
        list.push(figure("path-drop", &name, path.drop_pa.map(|p| p / 1e3), "kPa"));
    }
    list
}

/// Where the network has no answer.
#[derive(Clone, Debug, Default)]
pub struct Unsolved {
    /// Circuits in named cases, with the reason.
    named: BTreeMap<String, String>,
    /// Combined cases of a group: how many, and one reason.
    combined: BTreeMap<String, (usize, String)>,
}

impl Unsolved {
    /// What an assessment leaves without an answer.
    pub fn of(assessment: &Assessment) -> Self {
        let network = &assessment.facts.network;
        let mut unsolved = Self::default();
        for circuit in &network.circuits {
            for (case, answer) in answered(assessment, circuit) {
                if let Err(why) = answer {
                    unsolved.named.insert(format!("{} in {case}", circuit.name), why.clone());
                }
            }
        }
        for group in &network.combined {
            let count = group.refused.iter().map(|r| r.count).sum();
            let why = group.refused.last().map(|r| r.why.clone()).unwrap_or_default();
            let what = format!("{} in combined cases", group.name);
            unsolved.combined.insert(what, (count, why));
        }
        unsolved
    }

    /// What has no answer here and has one in the other: what, and why.
    pub fn beyond(self, other: &Self) -> Vec<(String, String)> {
        let named = self.named.into_iter().filter(|(what, _)| !other.named.contains_key(what));
        let combined = self.combined.into_iter().filter(|(what, (count, _))| {
            *count > other.combined.get(what).map_or(0, |(before, _)| *before)
        });
        named.chain(combined.map(|(what, (_, why))| (what, why))).collect()
    }
}
