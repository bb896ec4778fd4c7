//! `makeup.reach`: whether a hose still reaches in service when every tolerance falls the wrong way.

use crate::check::{About, Look, place_words};
use crate::finding::Finding;
use crate::plan::Carrier;
use crate::solve::reach::{ReachFacts, Rescue};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.reach",
    looks_at: "the length of a hose shortened by pressure, with cut, cut-offs and ports off by their tolerances, against its route",
    why: "a hose that is pulled tight works its nuts loose and breaks at its ends",
    number: "slack left in service in the worst case, mm, against 0",
    limit_from: "shortening: the hose table or limit/installation, rule length-change-min; tolerances: the plan",
    open_when: "the plan does not say how far cut, cut-offs or ports may be off",
    remedy: "give cut_tolerance, cut_off_tolerance and port_tolerance in [plan], as well as you really measure",
};

/// Judges the reach of a hose.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    if matches!(look.line.carrier, Carrier::Tube(_)) {
        return vec![draft.ok("a rigid tube does not shorten")];
    }
    let makeup = match &look.own.makeup {
        Ok(makeup) => makeup,
        Err(why) => return vec![draft.open(why, "see makeup.cut-length")],
    };
    let Some(reach) = &makeup.reach else {
        return vec![
            draft.open("the slack that is left could not be worked out", "see makeup.cut-length"),
        ];
    };
    let left = reach.left;
    let cite = Cite::plan("tolerances and shortening under pressure");
    let draft = draft.value(left.worst_mm, "mm").least(0.0, &cite);
    let likely = format!("{:.1} mm ± {:.1} mm likely", left.in_service_mm, left.spread_mm);
    vec![if left.in_service_mm < 0.0 {
        let message = format!(
            "pulled tight in service: {:.1} mm of slack even without any tolerance",
            left.in_service_mm
        );
        draft.fail(message, ways(reach))
    } else if left.worst_mm < 0.0 {
        let message = format!(
            "can be pulled tight: {:.1} mm of slack in the worst case, {likely}",
            left.worst_mm
        );
        draft.caution(message, ways(reach))
    } else if reach.missing.is_empty() {
        draft.ok(format!("{:.1} mm of slack left in the worst case, {likely}", left.worst_mm))
    } else {
        let message = format!(
            "{:.1} mm of slack left in service before tolerances; not given: {}",
            left.in_service_mm,
            reach.missing.join(", ")
        );
        draft.open(message, ABOUT.remedy)
    }]
}

/// What would make the hose reach, in words.
pub fn ways(reach: &ReachFacts) -> String {
    let mut ways: Vec<String> = reach.rescues.iter().map(|r| rescue(r, reach)).collect();
    if reach.longer_mm > 0.0 {
        ways.push(format!("cut it at least {:.1} mm longer", reach.longer_mm));
    }
    ways.join("; or ")
}

/// A way out in words.
pub fn rescue(rescue: &Rescue, reach: &ReachFacts) -> String {
    match rescue {
        Rescue::Measure(better_mm) => {
            let [a, b] = reach.ports_mm.map(|t| t.unwrap_or(0.0));
            format!(
                "measure the ports again: together they must prove at least {better_mm:.1} mm better than the ± {a:.1} mm and ± {b:.1} mm assumed"
            )
        }
        Rescue::Port { name, by_mm } => {
            format!("move port {name} by {by_mm:.1} mm the way it faces")
        }
        Rescue::Clip { number, by_mm, to_mm } => {
            format!("move clip {number} by {by_mm:.1} mm to {}", place_words(*to_mm))
        }
    }
}
