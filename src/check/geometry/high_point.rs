//! `geometry.high-point`: where air collects inside a line, in every attitude.

use crate::check::pocket::Speaker;
use crate::check::{About, Look, Whole};
use crate::finding::Finding;
use crate::solve::geometry::GeometryFacts;
use crate::solve::joined::{At, PocketFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.high-point",
    looks_at: "places inside a line from which air cannot rise to a tank, a vent or a bleed, whichever way the \
               joined lines lead, in every attitude",
    why: "air and vapour collect there: a suction line loses its prime, a coolant line boils, a fuel line locks",
    number: "height of the place in mm over the place by which air gets out, against the least rise that counts \
             as a trap; and what stays of air",
    limit_from: "limit/installation, rule trap-least-rise",
    open_when: "there is no route",
    remedy: "lay the line so that it climbs all the way, or mark the clip with bleed = true and fit a bleed there",
};

/// Judges the high points of a line that carries liquid.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(geometry) = &look.own.geometry else {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    };
    if look.plan.fluids[look.line.fluid].fluid.gas {
        return vec![draft.ok("the line carries a gas: a high point holds nothing back")];
    }
    judge(look, geometry, true)
}

/// One finding for each place that nothing relieves, or one that says why there is none.
pub(super) fn judge(look: &Look<'_>, geometry: &GeometryFacts, air: bool) -> Vec<Finding> {
    let about = if air { &ABOUT } else { &super::low_point::ABOUT };
    let draft = look.draft(about);
    let whole = Whole { plan: look.plan, tables: look.tables, facts: look.facts };
    let pockets = whole.pockets(air, Speaker::Line(look.index));
    if pockets.is_empty() {
        return vec![draft.ok(sound(&whole, geometry, look.index, air))];
    }
    let each = pockets.iter().map(|pocket| {
        let at = near(pocket);
        let message = format!("{}{}", place(&whole, pocket, &at), whole.since(pocket));
        whole.pocket(&draft.clone().at(&at), pocket).caution(message, remedy(&whole, pocket, about))
    });
    each.collect()
}

/// Where along its line the peak lies.
fn near(pocket: &PocketFacts) -> String {
    let station_mm = match pocket.peak.at {
        At::Line(_, station_mm) => station_mm,
        _ => 0.0,
    };
    let near = pocket.clip.map_or(String::new(), |c| format!(" near clip {}", c.number));
    format!("{station_mm:.1} mm from end A{near}")
}

fn place(whole: &Whole<'_>, pocket: &PocketFacts, at: &str) -> String {
    let case = whole.attitude(pocket);
    let holds = whole.holds(pocket);
    let (high, side, what) = if pocket.air {
        ("high", "above", "air collects there")
    } else {
        ("low", "below", "water and dirt collect there")
    };
    let depth = match (pocket.rise_mm, &pocket.pass) {
        (Some(rise), Some(pass)) => {
            format!("{rise:.1} mm {side} the way out by {}", pass.at.words(whole.plan))
        }
        _ => "with no way out".to_owned(),
    };
    let extent = if pocket.lines.len() + pocket.components.len() > 1 {
        format!(", in {}", whole.extent(pocket))
    } else {
        String::new()
    };
    format!("{high} point {at}, {depth}, in \"{case}\": {what}, {holds}{extent}")
}

fn remedy(whole: &Whole<'_>, pocket: &PocketFacts, about: &About) -> String {
    let thing = if pocket.air { "bleed" } else { "drain" };
    if pocket.wanted.len() > 1 {
        return format!("{}; it takes a {thing} at {}", about.remedy, whole.wanted(pocket));
    }
    about.remedy.to_owned()
}

/// Why a line without a finding is sound.
fn sound(whole: &Whole<'_>, geometry: &GeometryFacts, line: usize, air: bool) -> String {
    let (high, thing, check) = if air {
        ("high", "bleed", "connection.air-trap")
    } else {
        ("low", "drain", "connection.drain")
    };
    let joined = &whole.facts.joined;
    if let Some(pocket) = joined.worst_of(line).find(|p| p.air == air) {
        let peak = pocket.peak.at.words(whole.plan);
        return format!("no {high} point of its own; it is part of the one at {peak}: see {check}");
    }
    if !geometry.extremes.iter().any(|e| e.high == air) {
        return format!("no {high} point inside the line");
    }
    if joined.pockets_of(line).any(|p| p.air == air && !p.reliefs.is_empty()) {
        return format!("every {high} point has its {thing}");
    }
    format!(
        "no {high} point holds anything back: the line ends in the air over a tank, or at a gauge"
    )
}
