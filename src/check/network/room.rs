//! `network.room`: room for what a liquid gains when it warms.

use core::fmt::Write;

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::expansion::ExpansionFacts;
use crate::source::{Cite, Sourced};
use crate::table::limit;
use crate::units::{Quantity, Ratio, Volume};

/// What the check is about.
pub const ABOUT: About = About {
    code: "network.room",
    looks_at: "each liquid with a tank: what all of it gains from the coldest of its cases, or of the air where none has it cold, to the hottest, and the free space in its tanks",
    why: "coolant without room is lost every run and comes back as air; fuel without room runs out of the vent",
    number: "free space in L, against the gain, and against the expansion space of a chosen yardstick",
    limit_from: "densities of the fluid, and the chosen rules with a space (limit/regulation): design targets, not an approval",
    open_when: "a capacity, a volume or a temperature is not given",
    remedy: "a larger expansion tank or overflow bottle, or a lower cold level",
};

const GIVE: &str = "give air or fluids in the cases: how cold it waits, and how hot it gets, within the figures of the fluid";

/// Judges every liquid.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole
        .facts
        .expansion
        .iter()
        .flat_map(|e| {
            let mut findings = vec![by_gain(whole, e)];
            findings.extend(by_rules(whole, e));
            findings
        })
        .collect()
}

fn by_gain(whole: &Whole<'_>, e: &ExpansionFacts) -> Finding {
    let id = &whole.plan.fluids[e.fluid].id;
    let draft = whole.draft(&ABOUT, id);
    let gain = match &e.gain_m3 {
        Ok(gain) => gain * 1e3,
        Err(why) => return draft.open(why.clone(), GIVE),
    };
    let spare = limit::installation_share(whole.tables, "expansion-spare");
    let cite = spare.as_ref().map_or_else(|| Cite::plan("densities"), |s| s.cite.clone());
    let wanted = gain * (1.0 + spare.map_or(0.0, |s| s.value));
    let mut text = format!("{:.2} L of it gain {gain:.3} L", e.volume_m3 * 1e3);
    if let Some((cold, hot)) = e.temperatures_k {
        let _ = write!(text, " from {:.0} to {:.0} degC", cold - 273.15, hot - 273.15);
    }
    let _ = write!(
        text,
        "; mark the cold level {wanted:.2} L or more below the brim, in all tanks together"
    );
    if !e.not_counted.is_empty() {
        let _ = write!(text, "; not counted: {}", e.not_counted.join(", "));
    }
    let Some(room) = e.room_m3.map(|r| r * 1e3) else {
        return draft.open(text, "give capacity and volume of its tanks");
    };
    let draft = draft.value(room, "L").least(gain, &cite);
    let text = format!("{room:.2} L are free; {text}");
    if room < gain {
        draft.fail(text, ABOUT.remedy)
    } else if !e.not_counted.is_empty() {
        draft.open(text, "give volume to the paths of those components, or holds to each")
    } else if room < wanted {
        draft.caution(text, ABOUT.remedy)
    } else {
        draft.ok(text)
    }
}

/// Expansion spaces of the chosen rules that speak of this use: of each tank, or of the system where the
/// fluid is a coolant.
fn by_rules(whole: &Whole<'_>, e: &ExpansionFacts) -> Vec<Finding> {
    let Some(table) = whole.tables.get("limit", "regulation") else { return Vec::new() };
    let use_ = &whole.plan.fluids[e.fluid].fluid.use_;
    let mut findings = Vec::new();
    for rule in &whole.plan.rules {
        let Some(row) = table.row(&[("id", rule)]) else { continue };
        let speaks_of = table.words(row, "space").map(|w| w.value);
        if speaks_of.as_ref() != Some(use_) {
            continue;
        }
        let Some(share) = table.quantity::<Ratio>(row, "value") else { continue };
        let least = table.quantity::<Volume>(row, "least").map_or(0.0, |v| v.value.si());
        if use_ == "coolant" {
            findings.push(one_space(whole, use_, e.room_m3, Some(e.volume_m3), &share, least));
            continue;
        }
        for (component, capacity, volume) in &e.tanks {
            let id = &whole.plan.components[*component].id;
            let room = capacity.zip(*volume).map(|(c, v)| c - v);
            findings.push(one_space(whole, id, room, *capacity, &share, least));
        }
    }
    findings
}

fn one_space(
    whole: &Whole<'_>,
    place: &str,
    room_m3: Option<f64>,
    of_m3: Option<f64>,
    share: &Sourced<Ratio>,
    least_m3: f64,
) -> Finding {
    let draft = whole.draft(&ABOUT, place).source(&share.cite);
    let (Some(room), Some(of)) = (room_m3, of_m3) else {
        return draft.open("capacity and volume are not both given", "give capacity and volume");
    };
    let wanted = (share.value.si() * of).max(least_m3) * 1e3;
    let room = room * 1e3;
    let draft = draft.value(room, "L").least(wanted, &share.cite);
    let text = format!("{room:.2} L of expansion space, {wanted:.2} L by the yardstick");
    if room >= wanted { draft.ok(text) } else { draft.fail(text, ABOUT.remedy) }
}
