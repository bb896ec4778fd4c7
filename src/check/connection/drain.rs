//! `connection.drain`: where liquid stays over joined lines and through components, in every attitude.

use super::air_trap::unrouted;
use crate::check::pocket::Speaker;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::joined::{LowMatters, PocketFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.drain",
    looks_at: "circuits of fuel, of water that can freeze and of gas with all that is joined in them: components \
               that hang lower than every way by which liquid could run to a tank, a mouth or a drain",
    why: "water settles out of fuel in the lowest place and freezes or reaches the engine; water that stays in \
          winter bursts what holds it; liquid in a vent closes it",
    number: "depth of the lowest place in mm under the place by which liquid runs out, against the least depth \
             that counts; and what stays",
    limit_from: "limit/installation, rules trap-least-rise and trap-reach; water freezes at 0 degC",
    open_when: "a line has no route: beyond it nothing is known",
    remedy: "lay the lines so that they fall to a tank, or fit a drain: drain = true on a clip, or with bottom on \
             the path of a component",
};

/// Judges the circuits in which low points matter; for the others it says that they do not.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let pockets = whole.pockets(false, Speaker::Joined);
    let mut findings = Vec::new();
    for (index, part) in whole.facts.joined.parts.iter().enumerate() {
        let draft = whole.draft(&ABOUT, &part.name);
        let Some(why) = part.low_matters else {
            let fluid = &whole.plan.fluids[part.fluid].fluid;
            findings.push(draft.ok(format!("a low point does no harm in {}", fluid.use_)));
            continue;
        };
        let own: Vec<&PocketFacts> = pockets.iter().copied().filter(|p| p.part == index).collect();
        findings.extend(own.iter().map(|pocket| low(whole, why, pocket)));
        findings.extend(unrouted(whole, &ABOUT, part));
        if own.is_empty() && part.unrouted.is_empty() {
            findings.push(draft.ok("no component hangs lower than every way out and every drain"));
        }
    }
    findings
}

fn low(whole: &Whole<'_>, why: LowMatters, pocket: &PocketFacts) -> Finding {
    let place = pocket.peak.at.words(whole.plan);
    let draft = whole.pocket(&whole.draft(&ABOUT, &place), pocket);
    let depth = match (pocket.rise_mm, &pocket.pass) {
        (Some(rise), Some(pass)) => {
            format!("{rise:.1} mm under the way out by {}", pass.at.words(whole.plan))
        }
        _ => "with no way out".to_owned(),
    };
    let what = match why {
        LowMatters::Fuel => "water that settles stays",
        LowMatters::Gas => "liquid that collects stays and closes the way",
        LowMatters::Freezes => "water stays and can freeze",
    };
    let message = format!(
        "{what} at {place}, {depth}: {} in {}{}",
        whole.holds(pocket),
        whole.extent(pocket),
        whole.since(pocket)
    );
    let remedy = format!("fit a drain at {}", whole.wanted(pocket));
    draft.caution(message, remedy)
}
