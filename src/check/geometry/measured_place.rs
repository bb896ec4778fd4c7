//! `geometry.measured-place`: where taped distances put a port or a clip, against where it is drawn.

use core::fmt::Write;

use crate::check::{About, Draft, Whole, at_most};
use crate::finding::{Finding, Verdict};
use crate::solve::measured::{Against, MeasuredFacts, Placed, Suspect, TapeFacts};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.measured-place",
    looks_at: "ports and clips with measured: the place that their tapes give, and whether the tapes agree",
    why: "a hose that was cut by the drawing does not reach a port that sits elsewhere; one misread tape puts a port where it is not",
    number: "distance in mm from the drawn to the measured place, against the tolerance of the place and that of the tapes; with four tapes or more, what a tape differs in mm from the place that the others give",
    limit_from: "the plan: tolerance of the port or clip, and of its tapes added up to their worst",
    open_when: "the tapes do not say where the place is (datums in one line, a place too near to their plane), they contradict each other, or no tolerance is given and the drawing is farther off than the tapes explain",
    remedy: "measure again; then move `at` to the measured place, or the part to where it is drawn",
};

/// What to do where tapes disagree.
const REMEDY: &str = "measure it again, and see whether its datum is the right one";

/// Judges each measured place, and its tapes where there are four or more.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for facts in &whole.facts.measured {
        let draft = whole.draft(&ABOUT, &facts.place).source(&Cite::plan("measured distances"));
        match &facts.placed {
            Err(none) if none.contradict => {
                findings
                    .push(draft.fail(&none.why, "measure both again, and look at their datums"));
            }
            Err(none) => findings.push(draft.open(
                &none.why,
                "tape it from other datums, off one line and off the plane of the place",
            )),
            Ok(placed) => {
                let tapes = tapes(whole, draft.clone().at("tapes"), placed);
                let agree = tapes.as_ref().is_none_or(|t| t.verdict != Verdict::Fail);
                findings.push(if agree {
                    place(whole, draft, facts, placed)
                } else {
                    draft.value(placed.off_mm, "mm").open(
                        format!(
                            "the tapes contradict each other: the place at {} is in doubt",
                            point(placed.at_mm)
                        ),
                        "measure the tape that disagrees again",
                    )
                });
                findings.extend(tapes);
            }
        }
    }
    findings
}

fn place(whole: &Whole<'_>, draft: Draft, facts: &MeasuredFacts, placed: &Placed) -> Finding {
    let (off, tapes) = (placed.off_mm, placed.tolerance_mm);
    let cite = Cite::plan("tolerance of the place and of its tapes");
    let draft = draft.value(off, "mm");
    let how = if placed.tapes.len() == 3 { "; a fourth tape would check the three" } else { "" };
    let Some(drawn) = facts.drawn_tolerance_mm else {
        let draft = draft.most(tapes, &cite);
        let text = format!(
            "measured {off:.1} mm from where it is drawn; the tapes know it to {tapes:.1} mm{how}"
        );
        return if off <= tapes {
            draft.ok(text)
        } else {
            draft.open(
                format!("{text}, and no tolerance of the drawn place is given"),
                "give it a tolerance, or move `at` to the measured place",
            )
        };
    };
    let limit = drawn + tapes;
    let allowed = format!("its tolerance of {drawn:.1} mm and the {tapes:.1} mm of the tapes");
    let verdict = at_most(off, limit, whole.near());
    let text = if verdict == Verdict::Fail {
        format!(
            "measured at {}, {off:.1} mm from where it is drawn: {:.1} mm more than {allowed}; the lines run to the measured place{how}",
            point(placed.at_mm),
            off - limit
        )
    } else {
        format!("measured {off:.1} mm from where it is drawn, within {allowed}{how}")
    };
    draft.most(limit, &cite).say(verdict, text, ABOUT.remedy)
}

/// Whether the tapes agree; nothing where there are only three.
fn tapes(whole: &Whole<'_>, draft: Draft, placed: &Placed) -> Option<Finding> {
    if placed.tapes.len() == 3 {
        return None;
    }
    let (Some((tape, against)), Some(suspect)) = (placed.tightest(), placed.suspect()) else {
        return Some(draft.open(
            "no tape can be checked: without any of them the others give no place",
            "tape it from a datum that stands farther off the line of the others",
        ));
    };
    let verdict = at_most(against.share(), 1.0, whole.near());
    let cite = Cite::plan("tolerances of the tapes");
    let judged = |against: Against| {
        let draft = draft.clone().value(against.differs_mm.abs(), "mm");
        draft.most(against.may_differ_mm, &cite)
    };
    if verdict == Verdict::Fail {
        let tape = &placed.tapes[suspect.tape];
        let against = tape.against.unwrap_or(against);
        let text = disagrees(placed, tape, against, suspect);
        return Some(judged(against).fail(text, REMEDY));
    }
    let text = format!(
        "the {} tapes agree: the one from {} differs by {:.1} mm from the place that the others give{}",
        placed.tapes.len(),
        tape.from,
        against.differs_mm.abs(),
        unchecked(placed)
    );
    Some(judged(against).say(verdict, text, REMEDY))
}

fn disagrees(placed: &Placed, tape: &TapeFacts, against: Against, suspect: Suspect) -> String {
    let more = if against.differs_mm < 0.0 { "less" } else { "more" };
    let count = placed.tapes.len();
    let mut text = format!(
        "the tape from {} disagrees by {:.1} mm: it reads {:.1} mm, that much {more} than the place that the others give",
        tape.from,
        against.differs_mm.abs(),
        tape.distance_mm
    );
    let _ = match suspect.possible {
        _ if count == 4 => write!(text, "; of four any may be the wrong one"),
        0 => write!(text, "; without any single one the others disagree: more than one is wrong"),
        1 => write!(text, "; without it the others agree"),
        some => write!(text, "; any one of {some} may be the wrong one, this one most likely"),
    };
    if count == 4 && against.off_mm < placed.off_mm {
        let _ = write!(
            text,
            ", but without this one the place comes nearest to the drawing, to {:.1} mm",
            against.off_mm
        );
    }
    text.push_str(&unchecked(placed));
    text
}

/// Tapes of which the others say nothing.
fn unchecked(placed: &Placed) -> String {
    match placed.unchecked().as_slice() {
        [] => String::new(),
        datums => format!("; from {} it is not checked by the others", datums.join(" and ")),
    }
}

/// Coordinates in the plan's axes.
fn point(at_mm: [f64; 3]) -> String {
    let [x, y, z] = at_mm.map(|c| format!("{c:.1}"));
    format!("x {x} mm, y {y} mm, z {z} mm")
}
