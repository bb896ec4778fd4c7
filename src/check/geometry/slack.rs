//! `geometry.slack`: spare length of a hose between too tight and too loose.

use crate::check::{About, Look};
use crate::finding::Finding;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.slack",
    looks_at: "the assembly length of a hose against the length of its route",
    why: "a hose shortens under pressure and is pulled by a moving engine; without slack it pulls at its ends, with too much it sags and chafes",
    number: "slack in percent of the assembly length, against 5 to 8 %",
    limit_from: "limit/installation, rules slack-min, slack-max and length-change-min",
    open_when: "there is no route or no cut-off",
    remedy: "set slack on the line between the two limits",
};

/// Judges the slack of a line.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let makeup = match &look.own.makeup {
        Ok(makeup) => makeup,
        Err(why) => return vec![draft.open(why, "see makeup.cut-length")],
    };
    let (Some(least), Some(most)) = (&makeup.slack_least, &makeup.slack_most) else {
        return vec![draft.ok("a rigid tube has no slack")];
    };
    let slack = makeup.cut.slack_percent;
    let draft = draft.value(slack, "%");
    let low = draft.clone().least(100.0 * least.value, &least.cite);
    // A cut rounded up to the workshop step may pass the upper limit by that step.
    let step_percent = 100.0 * look.plan.cut_step_mm / makeup.cut.assembly_mm;
    let finding = if makeup.cut.assembly_mm < makeup.cut.shortest_mm - 1e-6
        && slack >= 100.0 * least.value - 1e-9
    {
        low.fail(
            format!(
                "slack {slack:.1} %, but under pressure the hose shortens to less than its route: {:.1} mm is the shortest assembly, {:.1} mm is planned",
                makeup.cut.shortest_mm, makeup.cut.assembly_mm
            ),
            "add slack",
        )
    } else if slack < 100.0 * least.value - 1e-9 {
        low.fail(
            format!(
                "slack {slack:.1} % of the assembly is less than {:.0} %: the hose can be pulled tight",
                100.0 * least.value
            ),
            ABOUT.remedy,
        )
    } else if slack > 100.0 * most.value + step_percent {
        draft.most(100.0 * most.value, &most.cite).caution(
            format!("slack {slack:.1} % of the assembly: the hose will sag or bow"),
            ABOUT.remedy,
        )
    } else {
        low.ok(format!("slack {slack:.1} % of the assembly"))
    };
    vec![finding]
}
