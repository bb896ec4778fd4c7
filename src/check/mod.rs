//! The checks: facts held against limits, one file a check, one finding for each thing looked at.
//!
//! Most checks look at one line at a time; those of [`MACHINE_CHECKS`] look at the whole machine.
//! A check reads facts and never recalculates them. It speaks every time: also when all is well, and
//! when it cannot judge.

pub mod connection;
pub mod deferred;
pub mod fitting;
pub mod geometry;
mod governing;
pub mod hydraulics;
pub mod makeup;
pub mod network;
pub mod pocket;
pub mod rating;
pub mod record;
pub mod strap;

use std::collections::BTreeSet;
use std::sync::Arc;

use rayon::prelude::*;

use crate::finding::{Finding, Verdict, gathered};
use crate::plan::{Line, Plan};
use crate::signed::{Hoses, Signed};
use crate::solve::{Facts, LineFacts};
use crate::source::{Cite, Standing};
use crate::table::{Tables, limit};
use governing::governing;
use record::proof::ProofAsked;

/// Lines whose findings are held twice while they are put in their order.
const LINES_AT_A_TIME: usize = 256;

/// What a check is about; `hosewright explain CODE` prints it.
#[derive(Debug)]
pub struct About {
    /// `subject.what-is-examined`.
    pub code: &'static str,
    /// What it looks at.
    pub looks_at: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// The number and the limit.
    pub number: &'static str,
    /// Where the limit comes from.
    pub limit_from: &'static str,
    /// When it cannot be judged.
    pub open_when: &'static str,
    /// What to do.
    pub remedy: &'static str,
}

/// What a check may look at.
#[derive(Clone, Copy, Debug)]
pub struct Look<'l> {
    /// The plan.
    pub plan: &'l Plan,
    /// Limits.
    pub tables: &'l Tables,
    /// All facts.
    pub facts: &'l Facts,
    /// Which line of the plan it is.
    pub index: usize,
    /// The line as planned.
    pub line: &'l Line,
    /// The facts of the line.
    pub own: &'l LineFacts,
}

/// A check of one line.
pub type Check = fn(&Look<'_>) -> Vec<Finding>;

/// Every check in the order of the report, each with what it is about.
pub const CHECKS: &[(&About, Check)] = &[
    (&geometry::route::ABOUT, geometry::route::check),
    (&geometry::bend_radius::ABOUT, geometry::bend_radius::check),
    (&geometry::free_shape::ABOUT, geometry::free_shape::check),
    (&geometry::straight_after_end::ABOUT, geometry::straight_after_end::check),
    (&geometry::slack::ABOUT, geometry::slack::check),
    (&geometry::high_point::ABOUT, geometry::high_point::check),
    (&geometry::low_point::ABOUT, geometry::low_point::check),
    (&geometry::support_spacing::ABOUT, geometry::support_spacing::check),
    (&geometry::engine_slack::ABOUT, geometry::engine_slack::check),
    (&geometry::straight_tube::ABOUT, geometry::straight_tube::check),
    (&geometry::elbow_direction::ABOUT, geometry::elbow_direction::check),
    (&geometry::clock_angle::ABOUT, geometry::clock_angle::check),
    (&hydraulics::velocity::ABOUT, hydraulics::velocity::check),
    (&hydraulics::regime::ABOUT, hydraulics::regime::check),
    (&hydraulics::pressure_drop::ABOUT, hydraulics::pressure_drop::check),
    (&hydraulics::suction::ABOUT, hydraulics::suction::check),
    (&rating::working_pressure::ABOUT, rating::working_pressure::check),
    (&rating::surge::ABOUT, rating::surge::check),
    (&rating::design_factor::ABOUT, rating::design_factor::check),
    (&rating::vacuum::ABOUT, rating::vacuum::check),
    (&rating::temperature::ABOUT, rating::temperature::check),
    (&rating::compatibility::ABOUT, rating::compatibility::check),
    (&rating::fire::ABOUT, rating::fire::check),
    (&fitting::mating::ABOUT, fitting::mating::check),
    (&fitting::gauge_protection::ABOUT, fitting::gauge_protection::check),
    (&makeup::cut_length::ABOUT, makeup::cut_length::check),
    (&makeup::reach::ABOUT, makeup::reach::check),
    (&makeup::stock::ABOUT, makeup::stock::check),
    (&makeup::bend_straight::ABOUT, makeup::bend_straight::check),
    (&makeup::bend_thinning::ABOUT, makeup::bend_thinning::check),
    (&makeup::bend_collision::ABOUT, makeup::bend_collision::check),
];

/// What a check of the machine as a whole may look at.
#[derive(Clone, Copy, Debug)]
pub struct Whole<'w> {
    /// The plan.
    pub plan: &'w Plan,
    /// Limits.
    pub tables: &'w Tables,
    /// All facts.
    pub facts: &'w Facts,
}

/// A check of the machine as a whole.
pub type MachineCheck = fn(&Whole<'_>) -> Vec<Finding>;

/// Every check of the machine as a whole in the order of the report, behind those of the lines.
pub const MACHINE_CHECKS: &[(&About, MachineCheck)] = &[
    (&geometry::measured_place::ABOUT, geometry::measured_place::check),
    (&network::solved::ABOUT, network::solved::check),
    (&network::pump_inlet::ABOUT, network::pump_inlet::check),
    (&network::need::ABOUT, network::need::check),
    (&network::least_flow::ABOUT, network::least_flow::check),
    (&network::outlet::ABOUT, network::outlet::check),
    (&network::uncovered::ABOUT, network::uncovered::check),
    (&network::tank_pressure::ABOUT, network::tank_pressure::check),
    (&network::room::ABOUT, network::room::check),
    (&network::capacity::ABOUT, network::capacity::check),
    (&connection::open_port::ABOUT, connection::open_port::check),
    (&connection::pump_source::ABOUT, connection::pump_source::check),
    (&connection::reachable_need::ABOUT, connection::reachable_need::check),
    (&connection::parallel_pumps::ABOUT, connection::parallel_pumps::check),
    (&connection::direction::ABOUT, connection::direction::check),
    (&connection::r#return::ABOUT, connection::r#return::check),
    (&connection::expansion::ABOUT, connection::expansion::check),
    (&connection::air_trap::ABOUT, connection::air_trap::check),
    (&connection::drain::ABOUT, connection::drain::check),
    (&connection::siphon::ABOUT, connection::siphon::check),
    (&connection::vent_low_point::ABOUT, connection::vent_low_point::check),
    (&connection::tank_balance::ABOUT, connection::tank_balance::check),
    (&connection::swap::ABOUT, connection::swap::check),
    (&geometry::clearance::ABOUT, geometry::clearance::check),
    (&strap::flat_length::ABOUT, strap::flat_length::check),
    (&strap::bend_radius::ABOUT, strap::bend_radius::check),
    (&strap::hole::ABOUT, strap::hole::check),
    (&strap::corner::ABOUT, strap::corner::check),
];

/// What a check of the record may look at.
#[derive(Clone, Copy, Debug)]
pub struct Recorded<'r> {
    /// The record held against the plan.
    pub signed: &'r Signed,
    /// Its hoses on the day that is asked for.
    pub hoses: &'r Hoses,
    /// What the proof tests of its lines ask.
    pub proofs: &'r [ProofAsked],
}

/// A check of the record.
pub type RecordCheck = fn(&Recorded<'_>) -> Vec<Finding>;

/// Every check of the record in the order of the report, behind those of the machine.
pub const RECORD_CHECKS: &[(&About, RecordCheck)] = &[
    (&record::chain::ABOUT, record::chain::check),
    (&record::void::ABOUT, record::void::check),
    (&record::second_person::ABOUT, record::second_person::check),
    (&record::measured::ABOUT, record::measured::check),
    (&record::proof::ABOUT, record::proof::check),
    (&record::hose_life::ABOUT, record::hose_life::check),
];

/// What every check is about, in the order of the report.
pub fn abouts() -> impl Iterator<Item = &'static About> {
    let of_lines = CHECKS.iter().map(|(about, _)| *about);
    let of_machine = MACHINE_CHECKS.iter().map(|(about, _)| *about);
    of_lines.chain(of_machine).chain(RECORD_CHECKS.iter().map(|(about, _)| *about))
}

/// Runs every check of the record that stands beside the plan.
pub fn run_on_record(signed: &Signed, hoses: &Hoses, proofs: &[ProofAsked]) -> Vec<Finding> {
    let recorded = Recorded { signed, hoses, proofs };
    RECORD_CHECKS.iter().flat_map(|(_, check)| check(&recorded)).collect()
}

/// Runs every check on every line, then those of the machine.
pub fn run(plan: &Plan, tables: &Tables, facts: &Facts) -> Vec<Finding> {
    run_those(plan, tables, facts, |_| true)
}

/// Runs the checks of these codes alone, in the same order.
pub fn run_those(
    plan: &Plan,
    tables: &Tables,
    facts: &Facts,
    wanted: impl Fn(&str) -> bool + Sync,
) -> Vec<Finding> {
    let combined: BTreeSet<&str> =
        facts.cases.iter().filter(|c| c.combined).map(|c| c.name.as_str()).collect();
    let of_line = |(index, (line, own)): &(usize, (&Line, &LineFacts))| -> Vec<Finding> {
        let look = Look { plan, tables, facts, index: *index, line, own };
        let checks = CHECKS.iter().filter(|(about, _)| wanted(about.code));
        checks.flat_map(|(_, check)| governing(check(&look), &combined)).collect()
    };
    let of_machine = |(_, check): &(&About, MachineCheck)| -> Vec<Finding> {
        let places = gathered(check(&Whole { plan, tables, facts }), |f| f.place.clone());
        places.into_iter().flat_map(|(_, of_place)| governing(of_place, &combined)).collect()
    };
    let lines: Vec<(usize, (&Line, &LineFacts))> =
        plan.lines.iter().zip(&facts.lines).enumerate().collect();
    let mut findings = Vec::new();
    for lines in lines.chunks(LINES_AT_A_TIME) {
        let of_lines: Vec<Vec<Finding>> = lines.par_iter().map(of_line).collect();
        findings.extend(of_lines.into_iter().flatten());
    }
    let machine: Vec<&(&About, MachineCheck)> =
        MACHINE_CHECKS.iter().filter(|(about, _)| wanted(about.code)).collect();
    let of_checks: Vec<Vec<Finding>> = machine.into_par_iter().map(of_machine).collect();
    findings.extend(of_checks.into_iter().flatten());
    findings
}

/// Share of a limit within which a result is a caution.
fn near(tables: &Tables) -> f64 {
    limit::installation_share(tables, "near-limit").map_or(0.0, |s| s.value)
}

/// Name of a case.
fn case_name(facts: &Facts, case: usize) -> &str {
    facts.cases.get(case).map_or("", |c| c.name.as_str())
}

/// A place in the plan's axes, in words; every figure with its unit, so that each can be shown in inches.
fn place_words([x, y, z]: [f64; 3]) -> String {
    format!("x {x:.1} mm, y {y:.1} mm, z {z:.1} mm")
}

impl Whole<'_> {
    /// A finding to be filled in of a component, a port or a circuit, by its name.
    pub fn draft(&self, about: &About, place: &str) -> Draft {
        Draft::new(about, place)
    }

    /// Share of a limit within which a result is a caution.
    pub fn near(&self) -> f64 {
        near(self.tables)
    }

    /// Name of a case.
    pub fn case_name(&self, case: usize) -> &str {
        case_name(self.facts, case)
    }
}

impl Recorded<'_> {
    /// A finding to be filled in of a line, a test or the record.
    pub fn draft(&self, about: &About, place: &str) -> Draft {
        Draft::new(about, place)
    }
}

impl Look<'_> {
    /// A finding of this line to be filled in.
    pub fn draft(&self, about: &About) -> Draft {
        Draft::new(about, &self.line.id)
    }

    /// Share of a limit within which a result is a caution.
    pub fn near(&self) -> f64 {
        near(self.tables)
    }

    /// Name of a case.
    pub fn case_name(&self, case: usize) -> &str {
        case_name(self.facts, case)
    }
}

/// A finding being filled in.
#[derive(Clone, Debug)]
pub struct Draft {
    finding: Finding,
}

impl Draft {
    /// A finding of a place, about which nothing is said yet.
    fn new(about: &About, place: &str) -> Self {
        Self {
            finding: Finding {
                code: about.code,
                place: place.to_owned(),
                case: None,
                governing: false,
                verdict: Verdict::Open,
                value: None,
                limit: None,
                margin: None,
                unit: "",
                source: "".into(),
                standing: Standing::Plan,
                message: String::new(),
                remedy: String::new(),
            },
        }
    }

    /// The place inside the line.
    #[must_use]
    pub fn at(mut self, place: &str) -> Self {
        self.finding.place = format!("{}, {place}", self.finding.place);
        self
    }

    /// The case.
    #[must_use]
    pub fn case(mut self, name: &str) -> Self {
        self.finding.case = Some(name.to_owned());
        self
    }

    /// The case is the worst of all combinations.
    #[must_use]
    pub fn governing(mut self) -> Self {
        self.finding.governing = true;
        self
    }

    /// The number that was judged, and its unit.
    #[must_use]
    pub fn value(mut self, value: f64, unit: &'static str) -> Self {
        self.finding.value = Some(value).filter(|v| v.is_finite());
        self.finding.unit = unit;
        self
    }

    /// A limit that the value must not pass, in the same unit, and its source.
    #[must_use]
    pub fn most(self, limit: f64, cite: &Cite) -> Self {
        self.limit(limit, cite, |value| limit - value)
    }

    /// A limit that the value must reach, in the same unit, and its source.
    #[must_use]
    pub fn least(self, limit: f64, cite: &Cite) -> Self {
        self.limit(limit, cite, |value| value - limit)
    }

    fn limit(mut self, limit: f64, cite: &Cite, margin: impl Fn(f64) -> f64) -> Self {
        self.finding.limit = Some(limit).filter(|v| v.is_finite());
        self.finding.margin = self.finding.value.map(margin).filter(|v| v.is_finite());
        self.source(cite)
    }

    /// The source without a number.
    #[must_use]
    pub fn source(mut self, cite: &Cite) -> Self {
        self.finding.source = Arc::clone(&cite.text);
        self.finding.standing = cite.standing;
        self
    }

    /// Within the limit.
    pub fn ok(self, message: impl Into<String>) -> Finding {
        self.say(Verdict::Ok, message, "")
    }

    /// Close to the limit, or outside a rule of thumb.
    pub fn caution(self, message: impl Into<String>, remedy: impl Into<String>) -> Finding {
        self.say(Verdict::Caution, message, remedy)
    }

    /// Outside the limit.
    pub fn fail(self, message: impl Into<String>, remedy: impl Into<String>) -> Finding {
        self.say(Verdict::Fail, message, remedy)
    }

    /// Cannot be judged.
    pub fn open(self, message: impl Into<String>, remedy: impl Into<String>) -> Finding {
        self.say(Verdict::Open, message, remedy)
    }

    /// A verdict decided elsewhere.
    pub fn say(
        mut self,
        verdict: Verdict,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Finding {
        self.finding.verdict = verdict;
        self.finding.message = message.into();
        // Where all is well there is nothing to do.
        if verdict != Verdict::Ok {
            self.finding.remedy = remedy.into();
        }
        self.finding
    }
}

/// The verdict on a number that must not pass its limit, with a caution just below it.
pub fn at_most(value: f64, limit: f64, near: f64) -> Verdict {
    // Written so that what is no number fails.
    if value <= limit * (1.0 - near) {
        Verdict::Ok
    } else if value <= limit {
        Verdict::Caution
    } else {
        Verdict::Fail
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{abouts, at_most};
    use crate::finding::Verdict;

    #[test]
    fn no_code_is_used_twice_and_each_is_a_subject_and_a_thing() {
        let codes: BTreeSet<&str> = abouts().map(|a| a.code).collect();
        assert_eq!(codes.len(), abouts().count());
        assert!(codes.iter().all(|c| c.split('.').count() == 2));
    }

    #[test]
    fn what_is_no_number_fails() {
        assert_eq!(at_most(f64::NAN, 100.0, 0.05), Verdict::Fail);
        assert_eq!(at_most(f64::INFINITY, 100.0, 0.05), Verdict::Fail);
    }

    #[test]
    fn a_number_at_its_limit_is_a_caution_and_beyond_it_a_fail() {
        assert_eq!(at_most(90.0, 100.0, 0.05), Verdict::Ok);
        assert_eq!(at_most(100.0, 100.0, 0.05), Verdict::Caution);
        assert_eq!(at_most(100.1, 100.0, 0.05), Verdict::Fail);
    }
}
