//! `rating.temperature`: coldest and hottest duty against the range of the hose.

use crate::check::{About, Look};
use crate::finding::Finding;

/// What the check is about.
pub const ABOUT: About = About {
    code: "rating.temperature",
    looks_at: "the hottest and the coldest duty of the line",
    why: "a hose that is too hot hardens and cracks or softens and blows off; one that is too cold breaks when it is bent",
    number: "temperature in degC, against the range of the hose",
    limit_from: "the table of the hose; for a tube the range of its table of allowable stress",
    open_when: "no range is known, or the line has no duty",
    remedy: "choose a hose for this temperature, or keep heat away from it",
};

/// Judges both ends of the range.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let rating = &look.own.rating;
    let (Some(hottest), Some(coldest)) = (rating.hottest_k, rating.coldest_k) else {
        return vec![draft.open("the line has no duty", "add a [[line.duty]] with a temperature")];
    };
    let celsius = |k: f64| k - 273.15;
    let mut findings = Vec::new();
    let hot = draft.clone().value(celsius(hottest), "degC");
    findings.push(match &rating.temperature_max {
        None => hot.open(
            format!(
                "{:.0} degC, and no highest temperature is known for {}",
                celsius(hottest),
                look.own.carrier
            ),
            "ask the maker",
        ),
        Some(max) => {
            let hot = hot.most(celsius(max.value), &max.cite);
            let text = format!(
                "{:.0} degC at most, {:.0} degC allowed",
                celsius(hottest),
                celsius(max.value)
            );
            if hottest > max.value { hot.fail(text, ABOUT.remedy) } else { hot.ok(text) }
        }
    });
    let cold = draft.value(celsius(coldest), "degC");
    if rating.rigid {
        // Only the stress of a hot tube is tabulated; nothing is said of a cold one.
        return findings;
    }
    findings.push(match &rating.temperature_min {
        None => cold.open(
            format!(
                "{:.0} degC, and no lowest temperature is known for {}",
                celsius(coldest),
                look.own.carrier
            ),
            "ask the maker",
        ),
        Some(min) => {
            let cold = cold.least(celsius(min.value), &min.cite);
            let text = format!(
                "{:.0} degC at least, {:.0} degC allowed",
                celsius(coldest),
                celsius(min.value)
            );
            if coldest < min.value { cold.fail(text, ABOUT.remedy) } else { cold.ok(text) }
        }
    });
    findings
}
