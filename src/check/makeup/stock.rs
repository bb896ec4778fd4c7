//! `makeup.stock`: whether the line comes out of the stock that is there.

use crate::check::{About, Look};
use crate::finding::Finding;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "makeup.stock",
    looks_at: "the stock lengths of the plan, with kerf and squaring loss",
    why: "hose is bought in lengths; a line longer than the longest has to be planned as two",
    number: "cut length in mm, against the stock",
    limit_from: "[stock] of the plan",
    open_when: "no stock length is given for the hose or tube",
    remedy: "add a [[stock.piece]] long enough, or split the line",
};

/// Judges whether a line can be cut.
pub fn check(look: &Look<'_>) -> Vec<Finding> {
    let draft = look.draft(&ABOUT);
    let Ok(makeup) = &look.own.makeup else {
        return vec![draft.open("there is no cut length", "see makeup.cut-length")];
    };
    let draft = draft.value(makeup.cut.cut_mm, "mm").source(&Cite::plan("stock"));
    let Some(stock) = look.facts.cutting.iter().find(|s| s.of == look.own.carrier) else {
        return vec![draft.open("the line is in no cut list", "add [stock]")];
    };
    let plan = match &stock.plan {
        Ok(plan) => plan,
        Err(why) => {
            return vec![draft.open(why, format!("add a [[stock.piece]] of = \"{}\"", stock.of))];
        }
    };
    let index = stock.pieces.iter().position(|p| p.label == look.line.id);
    let missing = index.is_some_and(|i| plan.too_long.contains(&i) || plan.not_placed.contains(&i));
    vec![if missing {
        draft.fail("no stock length that is left can give this cut", ABOUT.remedy)
    } else {
        draft.ok(format!("comes out of {}", stock.of))
    }]
}
