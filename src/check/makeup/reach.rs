//! `makeup.reach`: whether a hose still reaches in service when every tolerance falls the wrong way.

use crate::check::{About, Draft, Look, place_words};
use crate::finding::Finding;
use crate::plan::Carrier;
use crate::solve::reach::{ReachFacts, Rescue};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.reach",
    looks_at: "the length of a hose shortened by pressure, with cut, cut-offs and ports off by their tolerances, against its route; the length of a rigid tube as it was made",
    why: "a hose that is pulled tight works its nuts loose and breaks at its ends",
    number: "slack left in service in the worst case, mm, against 0; of a tube how far it is off its planned length, against cut_tolerance",
    limit_from: "shortening: the hose table or limit/installation, rule length-change-min; tolerances: the plan",
    open_when: "the plan does not say how far cut, cut-offs or ports may be off",
    remedy: "give cut_tolerance, cut_off_tolerance and port_tolerance in [plan], as well as you really measure",
};

/// What to do with a tube that is too short.
const TUBE_SHORT: &str =
    "make it anew: a nut that pulls a tube into its place leaves it under strain until it cracks";
/// What to do with a tube that is too long.
const TUBE_LONG: &str = "saw it off behind the last bend before that end is formed, or make it anew: a tube that is pressed into its place stays under strain";

/// Judges the reach of a hose.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    if matches!(look.line.carrier, Carrier::Tube(_)) {
        return vec![tube(draft, look)];
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

/// A tube reaches if it has its length; nothing but a reading of the record says that it has another.
fn tube(draft: Draft, look: &Look<'_>) -> Finding {
    let short_mm = look.line.cut_short_mm;
    if short_mm == 0.0 {
        return draft.ok("a rigid tube does not shorten");
    }
    let (off_mm, way) = (short_mm.abs(), if short_mm > 0.0 { "shorter" } else { "longer" });
    let message = format!("the tube is {off_mm:.1} mm {way} than planned");
    let draft = draft.value(off_mm, "mm");
    let Some(tolerance_mm) = look.plan.tolerances.cut_mm else {
        return draft.open(message, "give cut_tolerance in [plan], as well as you really saw");
    };
    let draft = draft.most(tolerance_mm, &Cite::plan("cut_tolerance"));
    // What is just within is within, whatever its last bit.
    if off_mm <= tolerance_mm + 1e-9 {
        return draft.ok(message);
    }
    draft.fail(message, if short_mm > 0.0 { TUBE_SHORT } else { TUBE_LONG })
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
