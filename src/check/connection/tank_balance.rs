//! `connection.tank-balance`: how long a tank lasts, and whether it can run over.

use std::collections::{BTreeMap, BTreeSet};

use super::names;
use crate::check::{About, Draft, Whole};
use crate::finding::{Finding, Verdict};
use crate::hydraulics::tank::Outlook;
use crate::solve::connection::balance::TankFacts;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.tank-balance",
    looks_at: "the flows at all ports of each tank in each solved case, summed up over time",
    why: "a return into the wrong tank makes it run over while the other runs empty",
    number: "minutes until the tank runs over or has nothing left to draw, against the minutes that the tanks which feed it last",
    limit_from: "capacity, volume and unusable of the tanks in the plan",
    open_when: "capacity or volume is not given; without a solved case nothing is said",
    remedy: "lead the return back to the tank in use, or give the tank an overflow into the other one",
};

/// Judges each tank in each named case with an answer, and in the worst of the combined ones; what is
/// open is told once.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut worst: BTreeMap<usize, Finding> = BTreeMap::new();
    let mut told = BTreeSet::new();
    for facts in &whole.facts.connection.balances {
        let finding = judge(whole, facts);
        // What is not given is missing in every case alike.
        if finding.verdict == Verdict::Open {
            if told.insert(facts.tank) {
                findings.push(finding);
            }
            continue;
        }
        if !whole.facts.cases.get(facts.case).is_some_and(|c| c.combined) {
            findings.push(finding);
            continue;
        }
        let severity = |f: &Finding| (f.verdict, -f.value.unwrap_or(f64::INFINITY));
        if worst.get(&facts.tank).is_none_or(|w| severity(&finding) > severity(w)) {
            worst.insert(facts.tank, Finding { governing: true, ..finding });
        }
    }
    findings.extend(worst.into_values());
    findings
}

fn judge(whole: &Whole<'_>, facts: &TankFacts) -> Finding {
    let id = &whole.plan.components[facts.tank].id;
    let draft = whole.draft(&ABOUT, id).case(whole.case_name(facts.case));
    let gain = (facts.inflow_m3_s - facts.outflow_m3_s) * 60e3;
    match &facts.outlook {
        Ok(Outlook::Stays) => draft.ok("what flows in flows out"),
        Ok(Outlook::Empties { after_s }) => {
            let minutes = after_s / 60.0;
            draft.value(minutes, "min").ok(format!(
                "loses {:.2} L/min: nothing left to draw after {minutes:.1} minutes",
                -gain
            ))
        }
        Ok(Outlook::Overflows { after_s }) => fills(whole, draft, facts, after_s / 60.0, gain),
        Err(why) => whole.draft(&ABOUT, id).open(
            format!("when it runs over or runs empty is not known: {why}"),
            "give capacity and volume of the tank, if it is one and not open water",
        ),
    }
}

/// A tank that gains: it runs over if what feeds it lasts that long.
fn fills(whole: &Whole<'_>, draft: Draft, facts: &TankFacts, minutes: f64, gain: f64) -> Finding {
    let draft = draft.value(minutes, "min");
    let gains = format!("gains {gain:.2} L/min and runs over after {minutes:.1} minutes");
    let feeders = names(whole, facts.feeders.iter().copied());
    let last = facts.feeders_last_s.map(|s| s / 60.0);
    match last {
        Some(last) if last < minutes => {
            let message = format!(
                "gains {gain:.2} L/min, but {feeders} lasts {last:.1} minutes only, and it would run over after {minutes:.1}"
            );
            draft.ok(message)
        }
        _ => {
            let message = match last {
                Some(last) => format!("{gains}, while {feeders} still feeds it for {last:.1}"),
                None if feeders.is_empty() => format!("{gains}: nothing in the plan limits that"),
                None => format!("{gains}, unless {feeders} runs empty before, which is not known"),
            };
            let fuel = whole.plan.fluids[facts.fluid].fluid.is_fuel();
            if fuel && last.is_some() {
                draft.fail(message, ABOUT.remedy)
            } else {
                draft.caution(message, ABOUT.remedy)
            }
        }
    }
}
