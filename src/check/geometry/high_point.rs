//! `geometry.high-point`: where air collects inside a line, in every attitude.

use core::fmt::Write;

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::solve::geometry::{ExtremeFacts, GeometryFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.high-point",
    looks_at: "places inside a line that stand higher than both sides, in the attitude of each case",
    why: "air and vapour collect there: a suction line loses its prime, a coolant line boils, a fuel line locks",
    number: "height of the place over its lower side in mm, against the least rise that counts as a trap",
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

/// From which attitude on the place is one, and how high the corner of the clip stands.
fn attitude(message: &mut String, look: &Look<'_>, place: &ExtremeFacts) {
    let Some(share) = place.from_share else { return };
    let Some(case) = look.facts.cases.get(place.case) else { return };
    let words = [["nose up", "nose down"], ["right side down", "left side down"]];
    for (angle, [positive, negative]) in case.attitude_rad.into_iter().zip(words) {
        let degrees = angle.to_degrees();
        if degrees.abs() > 1e-9 {
            let side = if degrees > 0.0 { positive } else { negative };
            let _ =
                write!(message, "; {side} it is one from {:.1} degrees on", share * degrees.abs());
        }
    }
    if let (Some(clip), Some(corner)) = (place.clip, place.corner_over_a_mm) {
        let _ =
            write!(message, "; the corner at clip {clip} then stands {corner:+.1} mm over end A");
    }
}

/// One finding for each unrelieved extreme place, or one that says there is none.
pub(super) fn judge(look: &Look<'_>, geometry: &GeometryFacts, high: bool) -> Vec<Finding> {
    let (about, what) = if high {
        (&ABOUT, ("high", "air collects", "bleed"))
    } else {
        (&super::low_point::ABOUT, ("low", "water and dirt collect", "drain"))
    };
    let draft = look.draft(about);
    let of_kind = || geometry.extremes.iter().filter(|e| e.high == high);
    let mut places: Vec<&ExtremeFacts> = Vec::new();
    for extreme in of_kind().filter(|e| !e.relieved) {
        let known = |p: &&ExtremeFacts| (p.station_mm - extreme.station_mm).abs() < 100.0;
        match places.iter().position(known) {
            // The same place in another attitude: the worse one speaks for both.
            Some(i) if places[i].rise_mm < extreme.rise_mm => places[i] = extreme,
            Some(_) => {}
            None => places.push(extreme),
        }
    }
    if places.is_empty() {
        let relieved = of_kind().count();
        let message = if relieved == 0 {
            format!("no {} point inside the line", what.0)
        } else {
            format!("every {} point has its {}", what.0, what.2)
        };
        return vec![draft.ok(message)];
    }
    places
        .iter()
        .map(|place| {
            let near = place.clip.map_or(String::new(), |c| format!(" near clip {c}"));
            let at = format!("{:.1} mm from end A{near}", place.station_mm);
            let case = look.case_name(place.case);
            let mut message = format!(
                "{} point {at}, {:.1} mm {} its sides in \"{case}\": {} there",
                what.0,
                place.rise_mm,
                if high { "above" } else { "below" },
                what.1
            );
            attitude(&mut message, look, place);
            draft
                .clone()
                .at(&at)
                .case(case)
                .value(place.rise_mm, "mm")
                .caution(message, about.remedy)
        })
        .collect()
}
