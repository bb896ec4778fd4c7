//! Findings that came, went, or changed verdict or margin.

use std::collections::BTreeMap;

use super::names::Renames;
use super::{Part, differ};
use crate::assess::Assessment;
use crate::finding::{Finding, Verdict};

/// What became of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Became {
    /// Its verdict is worse, or it came with one that is not ok.
    Worse,
    /// Its verdict is better, or it went with one that was not ok.
    Better,
    /// The verdict is the same, and the margin is smaller.
    Nearer,
    /// The verdict is the same, and number or margin are others.
    Farther,
    /// It came, and is ok.
    CameOk,
    /// It went, and was ok.
    WentOk,
}

impl Became {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Worse => "worse",
            Self::Better => "better",
            Self::Nearer => "less margin",
            Self::Farther => "moved",
            Self::CameOk => "came",
            Self::WentOk => "went",
        }
    }
}

/// A finding of either plan, or of both.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged<'a> {
    /// What became of it.
    pub became: Became,
    /// In the old plan.
    pub old: Option<&'a Finding>,
    /// In the new plan.
    pub new: Option<&'a Finding>,
}

impl<'a> Judged<'a> {
    /// The finding by which it is told: the new one where there is one.
    pub fn told(&self) -> Option<&'a Finding> {
        self.new.or(self.old)
    }

    /// The worse verdict of both.
    fn worst(&self) -> Verdict {
        let verdicts = [self.old, self.new].into_iter().flatten().map(|f| f.verdict);
        verdicts.max().unwrap_or(Verdict::Ok)
    }

    /// By how much the margin moved, as a share of the limit; 0 where that is not known.
    fn moved(&self) -> f64 {
        let margins = self.old.and_then(|f| f.margin).zip(self.new.and_then(|f| f.margin));
        let limit = self.new.and_then(|f| f.limit).unwrap_or(1.0);
        margins.map_or(0.0, |(a, b)| (b - a).abs() / limit.abs().max(f64::MIN_POSITIVE))
    }
}

/// What a finding looks at; the combined case that governs may be another one without being another finding.
type Key = (&'static str, String, Option<String>);

fn key(finding: &Finding, place: String, case: Option<&str>) -> Key {
    let case = if finding.governing { None } else { case.map(str::to_owned) };
    (finding.code, place, case)
}

/// All findings of both plans, held against each other: the worst first.
pub fn changes<'a>(
    old: &'a Assessment,
    new: &'a Assessment,
    renames: &Renames,
) -> Part<Judged<'a>> {
    let mut before: BTreeMap<Key, Vec<&Finding>> = BTreeMap::new();
    for finding in old.findings.iter().rev() {
        let case = finding.case.as_deref().map(|c| renames.case(c));
        let key = key(finding, renames.name(&finding.place), case);
        before.entry(key).or_default().push(finding);
    }
    let mut part = Part::default();
    for finding in &new.findings {
        let key = key(finding, finding.place.clone(), finding.case.as_deref());
        let other = before.get_mut(&key).and_then(Vec::pop);
        match became(other, Some(finding)) {
            Some(became) => {
                part.changes.push(Judged { became, old: other, new: Some(finding) });
            }
            None => part.same += 1,
        }
    }
    let gone = before.into_values().flat_map(|left| left.into_iter().rev());
    part.changes.extend(gone.filter_map(|finding| {
        let became = became(Some(finding), None)?;
        Some(Judged { became, old: Some(finding), new: None })
    }));
    part.changes.sort_by(|a, b| {
        a.became
            .cmp(&b.became)
            .then_with(|| b.worst().cmp(&a.worst()))
            .then_with(|| b.moved().total_cmp(&a.moved()))
    });
    part
}

/// What became of a finding; none where it says the same.
fn became(old: Option<&Finding>, new: Option<&Finding>) -> Option<Became> {
    let was = old.map_or(Verdict::Ok, |f| f.verdict);
    let is = new.map_or(Verdict::Ok, |f| f.verdict);
    if is != was {
        return Some(if is > was { Became::Worse } else { Became::Better });
    }
    let (Some(old), Some(new)) = (old, new) else {
        return Some(if new.is_some() { Became::CameOk } else { Became::WentOk });
    };
    let size = [old.value, new.value, old.limit, new.limit];
    let step = size.into_iter().flatten().fold(1e-9, |most: f64, v| most.max(1e-6 * v.abs()));
    let moved = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => differ(a, b, step),
        (a, b) => a.is_some() != b.is_some(),
    };
    match (old.margin, new.margin) {
        (Some(a), Some(b)) if b < a - step => Some(Became::Nearer),
        (a, b) if moved(a, b) || moved(old.value, new.value) || moved(old.limit, new.limit) => {
            Some(Became::Farther)
        }
        _ => None,
    }
}
