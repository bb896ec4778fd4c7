//! `connection.air-trap`: where air stays over joined lines and through components, in every attitude.

use super::list;
use crate::check::pocket::Speaker;
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::joined::{PartFacts, PocketFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.air-trap",
    looks_at: "each circuit of liquid with all that is joined in it: components that stand higher than every way by \
               which air could leave to a tank, a vent, a bleed or a place where it is used up, in every attitude",
    why: "lines that all climb can still make a crest where they meet: air that stays there stops the flow, and no \
          look at one line shows it",
    number: "height of the highest place in mm over the place by which air gets out, against the least rise that \
             counts as a trap; and what stays of air",
    limit_from: "limit/installation, rules trap-least-rise and trap-reach; what a flow takes along is not counted",
    open_when: "a line has no route: beyond it nothing is known",
    remedy: "lay the lines so that they climb to a tank or a vent, or fit a bleed: bleed = true on a clip, or with \
             top on the path of a component",
};

/// Judges the circuits of liquid.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let pockets = whole.pockets(true, Speaker::Joined);
    let parts = whole.facts.joined.parts.iter().enumerate().filter(|(_, p)| !p.gas);
    let mut findings = Vec::new();
    for (index, part) in parts {
        let own: Vec<&PocketFacts> = pockets.iter().copied().filter(|p| p.part == index).collect();
        findings.extend(own.iter().map(|pocket| trap(whole, pocket)));
        findings.extend(unrouted(whole, &ABOUT, part));
        if own.is_empty() && part.unrouted.is_empty() {
            findings.push(whole.draft(&ABOUT, &part.name).ok(sound(whole, index)));
        }
    }
    findings
}

fn trap(whole: &Whole<'_>, pocket: &PocketFacts) -> Finding {
    let place = pocket.peak.at.words(whole.plan);
    let draft = whole.pocket(&whole.draft(&ABOUT, &place), pocket);
    let depth = match (pocket.rise_mm, &pocket.pass) {
        (Some(rise), Some(pass)) => {
            format!("{rise:.1} mm over the way out by {}", pass.at.words(whole.plan))
        }
        _ => "with no way out".to_owned(),
    };
    let message = format!(
        "air stays at {place}, {depth}: {} in {}{}",
        whole.holds(pocket),
        whole.extent(pocket),
        whole.since(pocket)
    );
    draft.caution(
        message,
        format!(
            "fit a bleed at {}, or lay the lines so that they climb to a tank or a vent",
            whole.wanted(pocket)
        ),
    )
}

/// Why no air stays in a part.
fn sound(whole: &Whole<'_>, part: usize) -> String {
    let joined = &whole.facts.joined;
    let air = |p: &&PocketFacts| p.part == part && p.air;
    if joined.worst.iter().map(|i| &joined.pockets[*i]).any(|p| air(&p)) {
        return "air stays inside single lines only: see geometry.high-point".to_owned();
    }
    let mut places: Vec<String> = Vec::new();
    for place in joined.pockets.iter().filter(air).flat_map(|p| &p.reliefs) {
        let words = place.at.words(whole.plan);
        if !places.contains(&words) {
            places.push(words);
        }
    }
    if places.is_empty() {
        return "air leaves by itself in every attitude".to_owned();
    }
    let words: Vec<&str> = places.iter().map(String::as_str).collect();
    format!("no air trap: what does not leave by itself is bled at {}", list(&words))
}

/// What cannot be judged since lines of a part have no route.
pub(super) fn unrouted(whole: &Whole<'_>, about: &About, part: &PartFacts) -> Option<Finding> {
    let ids: Vec<&str> = part.unrouted.iter().map(|l| whole.plan.lines[*l].id.as_str()).collect();
    let draft = whole.draft(about, &part.name);
    (!ids.is_empty()).then(|| {
        draft.open(
            format!("no route of {}: nothing is known of what lies beyond", list(&ids)),
            "see geometry.route",
        )
    })
}
