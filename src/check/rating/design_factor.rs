//! `rating.design-factor`: proof and burst pressure over the highest pressure.

use super::{highest, pressure_text};
use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::Sourced;
use crate::table::limit;

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.design-factor",
    looks_at: "the burst and proof pressure of a hose, over the highest pressure of all cases",
    why: "the factor covers age, chafe, surges and scatter; burst over working pressure is not the same in every table",
    number: "burst pressure over highest pressure, against 4.0; proof over highest pressure, against 2.0",
    limit_from: "limit/design-factor, aeroplane-hose, as a yardstick",
    open_when: "the table gives no burst pressure, or no pressure is stated",
    remedy: "choose a hose of a higher class",
};

/// Judges the factors of a hose; a tube has them inside its rating.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let rating = &look.own.rating;
    if rating.rigid && rating.rated_pa.is_none() {
        return vec![
            draft.open("no working pressure is known for the tube", "see rating.working-pressure"),
        ];
    }
    if rating.rigid {
        return vec![draft.ok("proof and burst factors are part of the tube's rating")];
    }
    let Some(found) = highest(look) else {
        return vec![
            draft.open("no pressure is stated for any case", "see rating.working-pressure"),
        ];
    };
    let highest = found.pa;
    let doubt = found.doubt(look);
    let draft = draft.case(look.case_name(found.case));
    if let Some(doubt) = doubt.as_ref().filter(|_| highest <= 0.0) {
        return vec![draft.open(doubt, "see rating.working-pressure")];
    }
    if highest <= 0.0 {
        return vec![draft.ok("the line never stands above the pressure of the air")];
    }
    let factors = limit::design_factor(look.tables, "aeroplane-hose");
    let wanted = factors.map_or((None, None), |f| (f.burst, f.proof));
    [("burst", &rating.burst_pa, wanted.0), ("proof", &rating.proof_pa, wanted.1)]
        .into_iter()
        .map(|(what, has, wanted)| {
            let draft = draft.clone();
            let (Some(has), Some(wanted)) = (has, wanted) else {
                let text = format!("no {what} pressure is known for {}", look.own.carrier);
                return draft.open(text, "ask the maker");
            };
            judge(draft, what, has, &wanted, highest, doubt.as_deref())
        })
        .collect()
}

fn judge(
    draft: crate::check::Draft,
    what: &str,
    has: &Sourced<f64>,
    wanted: &Sourced<f64>,
    highest: f64,
    doubt: Option<&str>,
) -> Finding {
    let factor = has.value / highest;
    let cite = wanted.cite.and(&has.cite);
    let draft = draft.value(factor, "x").least(wanted.value, &cite);
    // Far from any limit the tenth says nothing.
    let digits = usize::from(factor < 100.0);
    let text = format!(
        "{what} {} is {factor:.digits$} times the highest pressure of {}",
        pressure_text(has.value),
        pressure_text(highest)
    );
    if factor < wanted.value {
        draft.fail(format!("{text}; {:.1} times is wanted", wanted.value), ABOUT.remedy)
    } else if let Some(doubt) = doubt {
        draft.open(
            format!("{text}; {doubt}"),
            "give the line a duty with pressure_max in those cases",
        )
    } else {
        draft.ok(text)
    }
}
