//! `connection.siphon`: whether an overflow or a filler runs a tank out, and whether water comes in.

use crate::check::{About, Whole};
use crate::finding::{Finding, Verdict};
use crate::solve::joined::siphon::{Behind, SiphonFacts};
use crate::table::limit;
use crate::units::{Length, Quantity};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.siphon",
    looks_at: "the way of each overflow and each filler from its tank, and every way that leads in from the water \
               outside, in every attitude: the highest place that liquid cannot avoid",
    why: "a line that never rises over the liquid is a siphon: the tank runs out through it, or the river runs into \
          the engine and the boat",
    number: "height in mm of that place over the liquid: over the highest surface of the tank, or over its port \
             where that stands higher; over the waterline of the plan",
    limit_from: "limit/installation, rules trap-least-rise and waterline-least",
    open_when: "the tables give no limit",
    remedy: "lead the line up over the liquid before it goes down, or fit a loop with an air inlet at its top",
};

/// Judges every way.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.joined.siphons.iter().map(|way| judge(whole, way)).collect()
}

fn judge(whole: &Whole<'_>, way: &SiphonFacts) -> Finding {
    let place = match way.line {
        Some(line) => whole.plan.lines[line].id.clone(),
        None => format!("{} to {}", port(whole, way.from), port(whole, way.to)),
    };
    let case = whole.facts.joined.attitudes.get(way.attitude).map_or("", |a| a.name.as_str());
    let draft = whole.draft(&ABOUT, &place).case(case).value(way.over_mm, "mm");
    let rule = match way.behind {
        Behind::Tank => "trap-least-rise",
        Behind::Water => "waterline-least",
    };
    let Some(least) = limit::installation::<Length>(whole.tables, rule) else {
        return draft.open("no table gives the least height", "see hosewright tables limit");
    };
    let least_mm = least.value.si() * 1e3;
    let draft = draft.least(least_mm, &least.cite);
    match way.behind {
        Behind::Tank => {
            let runs = way.over_mm < least_mm && way.end_over_mm < 0.0;
            let verdict = if runs { Verdict::Caution } else { Verdict::Ok };
            draft.say(verdict, of_tank(whole, way), ABOUT.remedy)
        }
        Behind::Water => {
            let verdict = match way.over_mm {
                over if over >= least_mm => Verdict::Ok,
                over if over > 0.0 => Verdict::Caution,
                _ => Verdict::Fail,
            };
            draft.say(verdict, of_water(whole, way), ABOUT.remedy)
        }
    }
}

fn port(whole: &Whole<'_>, reference: crate::plan::PortRef) -> String {
    whole.plan.port_name(&reference)
}

/// How far one place stands over another.
fn over(mm: f64) -> String {
    if mm < 0.0 { format!("{:.1} mm under", -mm) } else { format!("{mm:.1} mm over") }
}

fn of_tank(whole: &Whole<'_>, way: &SiphonFacts) -> String {
    let tank = &whole.plan.components[way.from.component].id;
    let level = if way.covered {
        format!("the surface in {tank}")
    } else {
        format!("{}, as far as {tank} can fill", port(whole, way.from))
    };
    let held = way.held_by.map_or(String::new(), |c| {
        format!("; {} holds it shut until its spring gives way", whole.plan.components[c].id)
    });
    format!(
        "the way to {} crests at {}, {} {level}; its end lies {} that{held}",
        port(whole, way.to),
        whole.found_at(&way.crest),
        over(way.over_mm),
        over(way.end_over_mm)
    )
}

fn of_water(whole: &Whole<'_>, way: &SiphonFacts) -> String {
    format!(
        "the way in from the water crests at {}, {} the waterline",
        whole.found_at(&way.crest),
        over(way.over_mm)
    )
}
