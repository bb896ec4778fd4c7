//! The numbers and verdicts of one assessment, by keys that stay the same when an input is moved.

use std::collections::{BTreeMap, BTreeSet};

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
    /// The case where it tells results of one place apart.
    pub case: Option<String>,
    /// Whether it is the worst of all combined cases, beside results of named ones.
    pub governing: bool,
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

/// A result with its key.
#[derive(Clone, Debug)]
pub struct Item {
    /// What it is.
    pub key: Key,
    /// The case in which it has its number, whether or not the key tells it.
    pub case: Option<String>,
    /// Whether that case is the worst of all combinations.
    pub governing: bool,
    /// What is said of it.
    pub reading: Reading,
}

/// Codes and places of which the nominal plan judges several cases, so that the case tells them apart.
/// Where it names one case only, that is the worst one, and after a shift it may be another.
#[derive(Clone, Debug, Default)]
pub struct Cased(BTreeSet<(&'static str, String)>);

impl Cased {
    /// Those of an assessment.
    pub fn of(assessment: &Assessment) -> Self {
        let mut cases: BTreeMap<(&'static str, &str), BTreeSet<&str>> = BTreeMap::new();
        for finding in assessment.findings.iter().filter(|f| !f.governing) {
            let known = cases.entry((finding.code, &finding.place)).or_default();
            known.extend(finding.case.as_deref());
        }
        let several = cases.into_iter().filter(|(_, cases)| cases.len() > 1);
        Self(several.map(|((code, place), _)| (code, place.to_owned())).collect())
    }

    fn judged(&self, finding: &Finding) -> Item {
        let several = self.0.contains(&(finding.code, finding.place.clone()));
        // Where a check of the machine names one case only, that is the worst of named and combined ones.
        let of_machine = MACHINE_CHECKS.iter().any(|(about, _)| about.code == finding.code);
        let combined = finding.governing && (several || !of_machine);
        let place = if combined {
            // Another bend or end of the line may be the worst as well.
            finding.subject()
        } else {
            &finding.place
        };
        let tells = !combined && several;
        Item {
            key: Key {
                code: finding.code,
                place: place.to_owned(),
                case: finding.case.clone().filter(|_| tells),
                governing: combined,
                count: 0,
            },
            case: finding.case.clone(),
            governing: finding.governing,
            reading: Reading {
                value: finding.value,
                limit: finding.limit,
                margin: finding.margin,
                verdict: Some(finding.verdict),
                unit: finding.unit,
            },
        }
    }
}

/// All results of an assessment in its order.
pub fn readings(assessment: &Assessment, cased: &Cased) -> Vec<Item> {
    let mut list: Vec<Item> = assessment.findings.iter().map(|f| cased.judged(f)).collect();
    for circuit in &assessment.facts.network.circuits {
        for (case, answer) in answered(assessment, circuit) {
            let solved = answer.as_ref().ok();
            list.extend(solved.into_iter().flat_map(|a| figures(assessment, case, a)));
        }
    }
    let mut counts: BTreeMap<Key, u32> = BTreeMap::new();
    for item in &mut list {
        let next = counts.entry(item.key.clone()).or_default();
        item.key.count = *next;
        *next += 1;
    }
    list
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
fn figures(assessment: &Assessment, case: &str, answer: &Answer) -> Vec<Item> {
    let plan = &assessment.plan;
    let figure = |code, place: &str, value: Option<f64>, unit| {
        let (case, governing) = (Some(case.to_owned()), false);
        let key = Key { code, place: place.to_owned(), case: case.clone(), governing, count: 0 };
        Item {
            key,
            case,
            governing,
            reading: Reading { value, limit: None, margin: None, verdict: None, unit },
        }
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
