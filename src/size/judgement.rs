//! What the checks say of a size: what rejects it, what is open, and what has nothing to do with the size.

use std::collections::BTreeSet;

use crate::check::run_those;
use crate::finding::{Finding, Verdict};
use crate::plan::{Line, Plan};
use crate::solve::case::named;
use crate::solve::network::circuit::Circuit;
use crate::solve::{CaseFacts, Depth, solve_in};
use crate::table::Tables;

/// The check that speaks of every named case.
const LEAST_FLOW: &str = "network.least-flow";
/// Checks of a line that reject a size, by code or by subject.
const OF_LINE: [&str; 4] = ["geometry.route", "geometry.bend-radius", "hydraulics.", "rating."];
/// Checks of the machine that reject a size.
const OF_MACHINE: [&str; 4] = ["network.pump-inlet", "network.need", LEAST_FLOW, "network.outlet"];
/// Checks of which a caution rejects a size that makes it worse than planned.
const CAUTIOUS: [&str; 3] = ["hydraulics.suction", "network.pump-inlet", LEAST_FLOW];
/// Says whether flows were found at all.
const SOLVED: &str = "network.solved";
/// Says whether ends and ports go together.
const MATING: &str = "fitting.mating";
/// A shortfall that the largest and the smallest size do not move by more than this share is not a matter of
/// the size (a figure of judgement).
const HARDLY: f64 = 0.02;

/// What a finding is about, whatever the size.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    code: &'static str,
    place: String,
    case: Option<String>,
    limit: Option<f64>,
}

impl Key {
    fn of(finding: &Finding) -> Self {
        let machine = finding.code.starts_with("network.");
        // The governing case may be another one at another size, and the machine's may be a named one.
        let moves = finding.governing || (machine && finding.code != LEAST_FLOW);
        let case = finding.case.clone().filter(|_| !moves);
        let limit = finding.limit.filter(|_| machine);
        Self { code: finding.code, place: finding.place.clone(), case, limit }
    }
}

/// What fails at every size.
#[derive(Clone, Debug)]
pub struct Always {
    key: Key,
    /// What it says at the largest size.
    pub finding: Finding,
}

/// What the checks said of a line in one size.
#[derive(Debug)]
pub struct Judged {
    findings: Vec<Finding>,
}

impl Judged {
    /// Judges a plan in all its cases.
    pub fn all(plan: &Plan, tables: &Tables) -> Self {
        Self::within(plan, tables, named(plan))
    }

    /// The same in these cases, and in the combinations of the plan.
    pub fn within(plan: &Plan, tables: &Tables, cases: Vec<CaseFacts>) -> Self {
        let facts = solve_in(plan, tables, cases, Depth::Flow);
        Self { findings: run_those(plan, tables, &facts, |code| concerns(code) || code == MATING) }
    }

    /// What is said of a line by itself, without any flow: its route, its bends, and whether it goes over its
    /// spigots.
    pub fn built(plan: &Plan, line: &Line, tables: &Tables) -> Self {
        let alone = Plan {
            lines: vec![line.clone()],
            joins: Vec::new(),
            cases: Vec::new(),
            matrix: None,
            stock: None,
            ..plan.clone()
        };
        let all = Self::within(&alone, tables, Vec::new());
        let built = |f: &Finding| f.code.starts_with("geometry.") || f.code == MATING;
        Self { findings: all.findings.into_iter().filter(built).collect() }
    }

    /// What concerns the size of one line: what is said of it, and of the components in its circuit.
    pub fn of(&self, own: &Own) -> Self {
        let concerns = |f: &&Finding| own.has(f);
        Self { findings: self.findings.iter().filter(concerns).cloned().collect() }
    }

    /// All that is said of one line by itself.
    pub fn about<'j>(&'j self, line: &'j str) -> impl Iterator<Item = &'j Finding> {
        self.findings.iter().filter(move |f| !f.code.starts_with("network.") && f.is_about(line))
    }

    /// Whether anything fails.
    pub fn fails(&self) -> bool {
        self.findings.iter().any(fails)
    }

    fn get(&self, key: &Key) -> Option<&Finding> {
        self.findings.iter().find(|f| Key::of(f) == *key)
    }

    /// What rejects the size, the worst first: fails, and cautions of suction or least flow that are worse
    /// than before.
    pub fn rejected(&self, before: Option<&Self>, always: &[Always]) -> Vec<Finding> {
        let rejects = |f: &&Finding| {
            let key = Key::of(f);
            let planned = before.and_then(|b| b.get(&key));
            fails(f) && !always.iter().any(|a| a.key == key) || planned.is_some_and(|p| worse(f, p))
        };
        let mut rejected: Vec<Finding> = self.findings.iter().filter(rejects).cloned().collect();
        rejected.sort_by(|a, b| shortfall(b).total_cmp(&shortfall(a)));
        rejected
    }

    /// What could not be judged.
    pub fn open(&self) -> Vec<Finding> {
        let open = |f: &&Finding| f.verdict == Verdict::Open && f.code != SOLVED;
        self.findings.iter().filter(open).cloned().collect()
    }

    /// Threaded ends that do not fit their ports.
    pub fn misfits(&self) -> Vec<Finding> {
        let misfit = |f: &&Finding| f.code == MATING && f.verdict == Verdict::Fail && !fails(f);
        self.findings.iter().filter(misfit).cloned().collect()
    }

    fn flow_is_open(&self) -> Option<&str> {
        let mut flow = self.findings.iter().filter(|f| f.code.starts_with("hydraulics."));
        let first = flow.next()?;
        let open = |f: &Finding| f.verdict == Verdict::Open;
        (open(first) && flow.all(open)).then_some(first.message.as_str())
    }
}

/// A line, and what its flow goes through.
#[derive(Clone, Debug)]
pub struct Own {
    /// The line.
    line: String,
    /// Components in its circuit; none of a line of gas.
    components: BTreeSet<String>,
}

impl Own {
    /// A line of a plan, by its index.
    pub fn of(plan: &Plan, circuits: &[Circuit], line: usize) -> Self {
        let circuit = circuits.iter().find(|c| c.lines().any(|l| l == line));
        let components = circuit.map(Circuit::components).unwrap_or_default();
        Self {
            line: plan.lines[line].id.clone(),
            components: components.iter().map(|c| plan.components[*c].id.clone()).collect(),
        }
    }

    fn has(&self, finding: &Finding) -> bool {
        match finding.code {
            SOLVED => true,
            code if OF_MACHINE.contains(&code) => {
                let component = finding.place.split(' ').next().unwrap_or_default();
                self.components.contains(component)
            }
            _ => finding.is_about(&self.line),
        }
    }
}

/// Whether a check concerns the size of any line.
pub fn concerns(code: &str) -> bool {
    let of_line = OF_LINE.iter().any(|c| code.starts_with(c));
    of_line || code == SOLVED || OF_MACHINE.contains(&code)
}

/// A fail that rejects. A hose that does not go over its spigot cannot be built, and says so by a number; a thread
/// of another size needs another port or an adapter.
pub fn fails(finding: &Finding) -> bool {
    let joint = finding.code == MATING && finding.value.is_none();
    finding.verdict == Verdict::Fail && !joint
}

fn worse(now: &Finding, planned: &Finding) -> bool {
    if now.code == SOLVED {
        return now.verdict == Verdict::Open && now.value > planned.value;
    }
    let cautious = CAUTIOUS.contains(&now.code) && now.verdict == Verdict::Caution;
    let margins = now.margin.or(now.value).zip(planned.margin.or(planned.value));
    cautious && margins.is_some_and(|(now, planned)| now < planned - 1e-9 * planned.abs())
}

/// How far a finding is beyond its limit, as a share of it; least where no number says.
fn shortfall(finding: &Finding) -> f64 {
    let scale = finding.limit.filter(|l| *l != 0.0).map_or(1.0, f64::abs);
    finding.margin.map_or(f64::NEG_INFINITY, |m| -m / scale)
}

/// What fails at every size about alike; nothing where there is but one size.
pub fn always(judged: &[&Judged]) -> Vec<Always> {
    let (Some(last), true) = (judged.last(), judged.len() > 1) else { return Vec::new() };
    let mut found: Vec<Always> = Vec::new();
    for finding in last.findings.iter().filter(|f| fails(f)) {
        let key = Key::of(finding);
        let everywhere: Option<Vec<Option<f64>>> = judged
            .iter()
            .map(|j| j.get(&key).filter(|f| fails(f)).map(|f| f.margin.or(f.value)))
            .collect();
        if everywhere.is_some_and(|margins| alike(&margins)) && found.iter().all(|a| a.key != key) {
            found.push(Always { key, finding: finding.clone() });
        }
    }
    found
}

fn alike(margins: &[Option<f64>]) -> bool {
    let known: Vec<f64> = margins.iter().copied().flatten().collect();
    if known.is_empty() {
        return true;
    }
    let least = known.iter().copied().fold(f64::INFINITY, f64::min);
    let most = known.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    known.len() == margins.len() && most - least <= HARDLY * most.abs()
}

/// Why no size can be chosen: at no size is the flow known.
pub fn not_judged(judged: &[&Judged]) -> Option<String> {
    let reasons: Option<Vec<&str>> = judged.iter().map(|j| j.flow_is_open()).collect();
    reasons?.first().map(|r| (*r).to_owned())
}

/// How far a plan is from passing what rejected it: negative where something still rejects it. Only a sign that
/// changes once is needed, so what passes by a caution or without a number counts as just passing.
pub fn distance(judged: &Judged, targets: &[Finding], always: &[Always]) -> f64 {
    const JUST: f64 = 1e-3;
    let rejected = judged.rejected(None, always);
    let worst = rejected.iter().map(|f| {
        let by = shortfall(f);
        if by.is_finite() { by.max(JUST) } else { 1.0 }
    });
    if let Some(worst) = worst.reduce(f64::max) {
        return -worst;
    }
    let margin = |target: &Finding| {
        let now = judged.get(&Key::of(target))?;
        Some(-shortfall(now)).filter(|m| m.is_finite())
    };
    targets.iter().filter_map(margin).fold(1.0, f64::min).max(JUST)
}
