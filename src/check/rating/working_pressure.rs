//! `rating.working-pressure`: highest pressure against the rating at the hottest duty.

use super::{highest, pressure_text};
use crate::check::{About, Look, at_most};
use crate::finding::{Finding, Verdict};
use crate::solve::rating::Share;

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.working-pressure",
    looks_at: "the highest pressure of all cases, computed or stated, and the working pressure of hose or tube, derated to the hottest duty",
    why: "a line beyond its rating bursts: fuel, hot oil or a jet through the skin",
    number: "pressure in kPa gauge, against the derated working pressure",
    limit_from: "the table of the hose with its derating rule; for a tube the thick-wall formula with proof and burst factors, and the allowable stress when hot",
    open_when: "no working pressure or no derating rule is known, or in some case the line has no pressure",
    remedy: "choose a hose or tube of a higher class, or ask the maker for its pressure at this temperature",
};

/// Judges the pressure of a line.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    vec![judge(look)]
}

fn judge(look: &Look<'_>) -> Finding {
    let draft = look.draft(&ABOUT);
    let Some(found) = highest(look) else {
        return draft.open(
            "no pressure is stated for any case",
            "add pressure_from, pressure_to or pressure_max",
        );
    };
    let highest = found.pa;
    let draft = draft.case(look.case_name(found.case)).value(highest / 1e3, "kPa");
    let rating = &look.own.rating;
    let Some(rated) = &rating.rated_pa else {
        return draft.open(
            format!("no working pressure is known for {}", look.own.carrier),
            "ask the maker, and type it in as working of a [[hose]]",
        );
    };
    if let Some(derated) = rating.derated_pa() {
        let verdict = at_most(highest, derated.value, look.near());
        let text = format!(
            "{} of {} allowed at {:.0} degC",
            pressure_text(highest),
            pressure_text(derated.value),
            rating.hottest_k.unwrap_or(0.0) - 273.15
        );
        let draft = draft.most(derated.value / 1e3, &derated.cite);
        if verdict < Verdict::Fail
            && let Some(doubt) = found.doubt(look)
        {
            return draft.open(
                format!("{text}; {doubt}"),
                "give the line a duty with pressure_max in those cases",
            );
        }
        return draft.say(verdict, text, ABOUT.remedy);
    }
    // Beyond the cold rating it fails whatever the temperature does.
    let draft = draft.most(rated.value / 1e3, &rated.cite);
    if highest > rated.value {
        return draft.fail(
            format!(
                "{} is more than the {} of the cold hose",
                pressure_text(highest),
                pressure_text(rated.value)
            ),
            ABOUT.remedy,
        );
    }
    let why = match &rating.share {
        Some(Share::Unknown(why, _)) => why.as_str(),
        _ => "no temperature is stated",
    };
    draft.open(
        format!("{} of {} when cold; {why}", pressure_text(highest), pressure_text(rated.value)),
        "ask the maker for the pressure at this temperature, and type it in as derate",
    )
}
