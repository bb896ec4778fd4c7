//! `strap.flat-length`: whether the flat length of a strap can be relied on.

use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::strap::{KBy, KFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "strap.flat-length",
    looks_at: "the flat length of every strap, and where the allowance of its bends comes from",
    why: "a strap of four bends that is cut by a wrong allowance comes out millimetres short, and cannot be stretched",
    number: "k, where the neutral layer of a bend lies as a share of the thickness, against what a test bend can give",
    limit_from: "limit/strap, rules k-least and k-most",
    open_when: "the sizes give no strap",
    remedy: "cut a piece of the same strip, measure it, bend it once, measure both legs outside, and write it as test_bend",
};

/// Judges each strap.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let straps = whole.plan.straps.iter().zip(&whole.facts.straps);
    straps
        .map(|(strap, facts)| {
            let draft = whole.draft(&ABOUT, &strap.id).source(&facts.k.cite);
            if facts.k.measure_again {
                return distrusted(whole, &strap.id, &facts.k);
            }
            let flat = match &facts.flat {
                Ok(flat) => flat,
                Err(why) => return draft.fail(why, "correct the sizes of the strap"),
            };
            let k = facts.k.used.unwrap_or(f64::NAN);
            let draft = draft.value(k, "");
            let pressed = flat.bends.iter().any(|b| !b.bend.wrapped);
            match facts.k.by {
                _ if !pressed => draft.ok("the strap is drawn round the body: its middle keeps its length"),
                KBy::TestBend => draft.ok(format!("k = {k:.3} from a test bend of this strip")),
                KBy::Given => draft.ok(format!("k = {k:.3} as the plan gives it")),
                KBy::Handbook => draft.caution(
                    "the plan gives neither k nor a test bend, so the allowance is that of the handbooks: a first guess",
                    ABOUT.remedy,
                ),
            }
        })
        .collect()
}

fn distrusted(whole: &Whole<'_>, id: &str, k: &KFacts) -> Finding {
    let draft = whole.draft(&ABOUT, id);
    let instead = match k.used {
        Some(k) => format!("k = {k:.3} of the plan is used"),
        None => "there is no flat length".to_owned(),
    };
    let remedy = "measure the test piece again: flat before bending, then both legs outside to the corner, and the \
                  thickness; bend another piece if in doubt";
    let Some(Ok(tested)) = &k.tested else {
        let why = k.tested.as_ref().and_then(|t| t.as_ref().err());
        let why = why.map_or("", String::as_str);
        return draft.fail(format!("the test bend gives no k: {why}; {instead}"), remedy);
    };
    let Some(believed) = &k.believed else {
        let message = format!("limit/strap does not say which k to believe; {instead}");
        return draft.open(message, "add the rules k-least and k-most");
    };
    let [least, most] = believed.value;
    let message = format!(
        "the test bend gives k = {tested:.3}, which is outside {least} to {most} and not used; {instead}"
    );
    let draft = draft.value(*tested, "");
    let draft = if *tested < least {
        draft.least(least, &believed.cite)
    } else {
        draft.most(most, &believed.cite)
    };
    draft.fail(message, remedy)
}
