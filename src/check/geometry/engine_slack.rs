//! `geometry.engine-slack`: what a line to something that moves needs: a support near it, and slack.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::plan::Carrier;
use crate::solve::support::MovingEnd;
use crate::table::limit;
use crate::units::{Length, Quantity};

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.engine-slack",
    looks_at: "lines with one end on a component that moves, such as an engine on its mounts",
    why: "an engine that rocks pulls at a line without slack, and swings one that is held too far away",
    number: "slack in mm against 1 1/2 in; distance from the moving port to the first support against about 3 in",
    limit_from: "limit/installation, rules engine-slack and support-near-engine",
    open_when: "there is no route or no cut length",
    remedy: "hold the hose about 3 in from the moving port, and leave the slack between that clip and the port",
};

/// Judges each end on a component that moves.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    if geometry.support.moving.is_empty() {
        return vec![draft.ok("neither end is on a component that the plan lets move alone")];
    }
    if matches!(look.line.carrier, Carrier::Tube(_)) {
        let message = "a rigid tube cannot follow the component that it is on";
        return vec![draft.caution(message, "put a hose between the moving port and the tube")];
    }
    geometry.support.moving.iter().flat_map(|end| of_end(look, end)).collect()
}

fn of_end(look: &Look<'_>, end: &MovingEnd) -> Vec<Finding> {
    let name = ["end A", "end B"][end.end];
    let component = &look.plan.components[end.component].id;
    let mut findings = Vec::new();
    if let Some(limit) = limit::installation::<Length>(look.tables, "support-near-engine") {
        let most_mm = limit.value.si() * 1e3;
        let has_mm = end.first_hold_mm;
        let draft = look.draft(&ABOUT).at(name).value(has_mm, "mm").most(most_mm, &limit.cite);
        let message = format!("first support {has_mm:.1} mm from {component}, which moves");
        findings.push(if has_mm <= most_mm + 1e-6 {
            draft.ok(message)
        } else {
            draft.caution(format!("{message}; about {most_mm:.1} mm is wanted"), ABOUT.remedy)
        });
    }
    findings.extend(slack(look, name, component));
    findings
}

/// The whole slack of the hose, which can be gathered next to the moving port.
fn slack(look: &Look<'_>, name: &str, component: &str) -> Option<Finding> {
    let limit = limit::installation::<Length>(look.tables, "engine-slack")?;
    let place = format!("{name}, slack");
    let draft = look.draft(&ABOUT).at(&place);
    let Some(reach) = look.own.makeup.as_ref().ok().and_then(|m| m.reach.as_ref()) else {
        return Some(draft.open("there is no cut length", "see makeup.cut-length"));
    };
    let (least_mm, has_mm) = (limit.value.si() * 1e3, reach.left.at_rest_mm);
    let draft = draft.value(has_mm, "mm").least(least_mm, &limit.cite);
    let message = format!("{has_mm:.1} mm of slack to follow {component}");
    Some(if has_mm >= least_mm - 1e-6 {
        draft.ok(message)
    } else {
        draft.caution(format!("{message}, {least_mm:.1} mm wanted"), "give the line more slack")
    })
}
