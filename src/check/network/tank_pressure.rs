//! `network.tank-pressure`: the pressure in a tank against its cap.

use crate::check::{About, Whole, at_most};
use crate::finding::Finding;
use crate::source::Cite;
use crate::units::Quantity;

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.tank-pressure",
    looks_at: "tanks with a cap, in every state",
    why: "a cap that has to let go loses fluid every run, and air comes back in when it cools",
    number: "pressure over the liquid in kPa gauge, against the cap",
    limit_from: "the plan: cap of the tank",
    open_when: "the tank has a cap and its pressure is not given",
    remedy: "a lower pressure or a stronger cap; the hoses must stand it",
};

/// Judges every tank with a cap.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let cite = Cite::plan("cap of the tank");
    let mut findings = Vec::new();
    for component in &whole.plan.components {
        let Some(tank) = &component.tank else { continue };
        let Some(cap) = tank.cap else { continue };
        let by_state = component.states.iter().filter_map(|s| s.pressure);
        let highest = tank.pressure.into_iter().chain(by_state).map(Quantity::si).reduce(f64::max);
        let draft = whole.draft(&ABOUT, &component.id);
        let Some(highest) = highest else {
            findings.push(
                draft.open("the pressure over the liquid is not given", "add pressure to the tank"),
            );
            continue;
        };
        let (value, limit) = (highest / 1e3, cap.si() / 1e3);
        let draft = draft.value(value, "kPa").most(limit, &cite);
        let text = format!("{value:.0} kPa gauge over the liquid, the cap holds {limit:.0} kPa");
        findings.push(draft.say(at_most(value, limit, whole.near()), text, ABOUT.remedy));
    }
    findings
}
