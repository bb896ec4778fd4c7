//! What all runs say of one result.

use core::cmp::Ordering;
use std::collections::BTreeSet;

use super::reading::{Item, Key, Reading};
use super::runs::Run;
use crate::finding::Verdict;
use crate::uncertainty::effect::{Ends, shares, worst_case};
use crate::uncertainty::sample::{Statistics, statistics};

/// Changes below this share of a result are what the solver leaves open.
const NOISE: f64 = 1e-7;
/// Below this size a change is measured against this size, in the unit of the result.
const SMALL: f64 = 1e-3;

/// A result that moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// What it is.
    pub key: Key,
    /// The case in which it has its number as planned.
    pub case: Option<String>,
    /// Whether that case is the worst of all combinations.
    pub governing: bool,
    /// As planned; without number and verdict where it only comes up after a shift.
    pub nominal: Reading,
    /// Lowest and highest value of the linear worst case; none where an input has no result at an end.
    pub worst_case: Option<[f64; 2]>,
    /// Whether some run lies clearly outside the worst case: then the inputs strengthen each other.
    pub beyond: bool,
    /// The worst verdict of any run.
    pub worst: Option<Verdict>,
    /// The best verdict of any run.
    pub best: Option<Verdict>,
    /// What the samples say.
    pub sampled: Sampled,
    /// Inputs by their share of the variance, largest first; those without any share are left out.
    pub shares: Vec<(usize, f64)>,
    /// Inputs with which the result has no number at one end of their `±`.
    pub lost_at: Vec<usize>,
    /// The input that moves it most where no shares can be given.
    strongest: Option<usize>,
}

/// What the samples that could be read say of one result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampled {
    /// Mean, standard deviation and the range that holds 90 %; none with fewer than two numbers.
    pub statistics: Option<Statistics>,
    /// Samples without a number.
    pub without_number: usize,
    /// Share of the samples with the verdict fail; none for a figure that no check judges.
    pub fail: Option<f64>,
    /// Share of them that cannot be judged.
    pub open: Option<f64>,
    /// Share of them with the verdict ok or caution; together less than 1 where some say nothing of it.
    pub kept: Option<f64>,
}

impl Reading {
    /// What is not said of a result that is not there.
    pub const NOTHING: Self =
        Self { value: None, limit: None, margin: None, verdict: None, unit: "" };

    fn scale(&self) -> f64 {
        self.value.unwrap_or(0.0).abs().max(self.limit.unwrap_or(0.0).abs()).max(SMALL)
    }

    /// Whether another reading of the same result differs from this one by more than noise.
    fn differs(&self, other: &Self) -> bool {
        let far = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() > NOISE * self.scale(),
            (a, b) => a.is_some() != b.is_some(),
        };
        self.verdict != other.verdict
            || far(self.value, other.value)
            || far(self.limit, other.limit)
            || far(self.margin, other.margin)
    }
}

impl Moved {
    /// Whether the verdict is not the same in every run.
    pub fn changes(&self) -> bool {
        self.worst != self.best || self.worst != self.nominal.verdict
    }

    /// The input that dominates.
    pub fn dominating(&self) -> Option<usize> {
        self.shares.first().map(|(input, _)| *input).or(self.strongest)
    }

    /// The order of the report: what changes its verdict first, then by the worst verdict and the chance.
    pub fn worst_first(&self, other: &Self) -> Ordering {
        let rank = |m: &Self| (m.changes(), m.worst);
        let chance = |m: &Self| m.sampled.fail.unwrap_or(0.0);
        rank(other).cmp(&rank(self)).then(chance(other).total_cmp(&chance(self)))
    }
}

/// Shifts that move one input at a time: each to its lower, then to its upper end.
pub fn one_at_a_time(inputs: usize) -> Vec<Vec<f64>> {
    let one = |input: usize, shift: f64| {
        let mut shifts = vec![0.0; inputs];
        shifts[input] = shift;
        shifts
    };
    (0..inputs).flat_map(|input| [one(input, -1.0), one(input, 1.0)]).collect()
}

/// Shifts that move all inputs at once to the ends at which some result comes closest to its limit, or, if
/// it is beyond, farthest from it. Each of them once, and none that moves one input only.
pub fn corners(nominal: &[Reading], ends: &[Result<Run, String>]) -> Vec<Vec<f64>> {
    let mut found: BTreeSet<Vec<i8>> = BTreeSet::new();
    for (place, reading) in nominal.iter().enumerate() {
        let Some(margin) = reading.margin else { continue };
        let down = if reading.verdict == Some(Verdict::Fail) { -1.0 } else { 1.0 };
        let change = |run: &Result<Run, String>| {
            let there = run.as_ref().ok().and_then(|r| r.known[place])?.margin?;
            Some(down * (there - margin)).filter(|c| c.abs() > NOISE * reading.scale())
        };
        let sign = |pair: &[Result<Run, String>]| {
            let of = |end: usize| pair.get(end).and_then(change).unwrap_or(0.0).min(0.0);
            match of(0).total_cmp(&of(1)) {
                Ordering::Less => -1,
                Ordering::Greater => 1,
                Ordering::Equal => 0,
            }
        };
        let signs: Vec<i8> = ends.chunks(2).map(sign).collect();
        if signs.iter().filter(|s| **s != 0).count() > 1 {
            found.insert(signs);
        }
    }
    found.into_iter().map(|signs| signs.into_iter().map(f64::from).collect()).collect()
}

/// What the runs say of a result; none if it does not move.
pub fn judge(
    item: Item,
    ends: &[Option<Reading>],
    corners: &[Option<Reading>],
    samples: &[Option<Reading>],
) -> Option<Moved> {
    let nominal = item.reading;
    let every = || ends.iter().chain(corners).chain(samples).flatten();
    let missing = samples.iter().any(Option::is_none);
    if !missing && !every().any(|r| nominal.differs(r)) {
        return None;
    }
    let unit = every().map(|r| r.unit).find(|u| !u.is_empty()).unwrap_or(nominal.unit);
    let verdicts = || every().chain([&nominal]).filter_map(|r| r.verdict);
    let effects = Effects::of(&nominal, ends);
    let worst_case = effects.worst_case();
    let beyond = worst_case.is_some_and(|[low, high]| {
        // A hundredth of the range is no news.
        let slack = (NOISE * nominal.scale()).max(0.01 * (high - low));
        every().filter_map(|r| r.value).any(|v| v < low - slack || v > high + slack)
    });
    Some(Moved {
        key: item.key,
        case: item.case,
        governing: item.governing,
        worst_case,
        beyond,
        worst: verdicts().max(),
        best: verdicts().min(),
        sampled: sampled(samples),
        shares: effects.shares(),
        strongest: effects.strongest(&nominal, ends),
        lost_at: effects.lost_at,
        nominal: Reading { unit, ..nominal },
    })
}

fn sampled(samples: &[Option<Reading>]) -> Sampled {
    let values: Vec<f64> = samples.iter().flatten().filter_map(|r| r.value).collect();
    let judged = samples.iter().flatten().any(|r| r.verdict.is_some());
    let share = |wanted: &[Verdict]| {
        let among = |r: &&Reading| r.verdict.is_some_and(|v| wanted.contains(&v));
        let count = samples.iter().flatten().filter(among).count();
        ratio(count, samples.len()).filter(|_| judged)
    };
    Sampled {
        statistics: statistics(&values).ok(),
        without_number: samples.len() - values.len(),
        fail: share(&[Verdict::Fail]),
        open: share(&[Verdict::Open]),
        kept: share(&[Verdict::Ok, Verdict::Caution]),
    }
}

#[expect(clippy::cast_precision_loss, reason = "a count of samples")]
fn ratio(part: usize, whole: usize) -> Option<f64> {
    (whole > 0).then(|| part as f64 / whole as f64)
}

/// What each input alone does to the number.
struct Effects {
    nominal: Option<f64>,
    /// The result at the ends of each input; where one end has no number, the other one turned around.
    ends: Vec<Ends>,
    lost_at: Vec<usize>,
}

impl Effects {
    fn of(nominal: &Reading, runs: &[Option<Reading>]) -> Self {
        let mut effects = Self { nominal: nominal.value, ends: Vec::new(), lost_at: Vec::new() };
        let Some(value) = nominal.value else { return effects };
        let slack = NOISE * nominal.scale();
        let quiet = |v: f64| if (v - value).abs() <= slack { value } else { v };
        for (input, pair) in runs.chunks(2).enumerate() {
            let end = |end: usize| pair.get(end).copied().flatten()?.value.map(quiet);
            let ends = match (end(0), end(1)) {
                (Some(low), Some(high)) => Ends { low, high },
                (low, high) => {
                    effects.lost_at.push(input);
                    let low = low.or_else(|| high.map(|h| 2.0 * value - h)).unwrap_or(value);
                    Ends { low, high: high.unwrap_or(2.0 * value - low) }
                }
            };
            effects.ends.push(ends);
        }
        effects
    }

    fn worst_case(&self) -> Option<[f64; 2]> {
        let known = self.nominal.filter(|_| self.lost_at.is_empty())?;
        worst_case(known, &self.ends).ok()
    }

    fn shares(&self) -> Vec<(usize, f64)> {
        let found = self.nominal.and_then(|n| shares(n, &self.ends).ok()).unwrap_or_default();
        let mut list: Vec<(usize, f64)> =
            found.into_iter().enumerate().filter(|(_, share)| *share > 0.0).collect();
        list.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        list
    }

    /// The input with the largest change at an end; else the first one that changes the verdict.
    fn strongest(&self, nominal: &Reading, runs: &[Option<Reading>]) -> Option<usize> {
        let value = self.nominal.unwrap_or_default();
        let change = |ends: &Ends| (ends.low - value).abs().max((ends.high - value).abs());
        let changes = self.ends.iter().map(change).enumerate();
        let most = changes.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let most = most.filter(|(_, change)| *change > 0.0).map(|(input, _)| input);
        let differs = |run: &Option<Reading>| run.as_ref().is_none_or(|r| nominal.differs(r));
        most.or_else(|| runs.chunks(2).position(|pair| pair.iter().any(differs)))
    }
}
