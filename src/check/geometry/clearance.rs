//! `geometry.clearance`: lines clear of what is near them, and of each other.

use crate::check::{About, Draft, Whole};
use crate::finding::Finding;
use crate::plan::KeepOut;
use crate::solve::clearance::{KeepOutFacts, LinePair, Place};
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "geometry.clearance",
    looks_at: "the nearest place of every line to every keep-out, and lines that touch each other; with the movement of components and keep-outs, the tolerance of ports, and the bow of the slack",
    why: "a line that rubs wears through, one beside an exhaust cooks, and one that is caught by a lever stops the machine",
    number: "distance from surface to surface in mm, against the least distance of the kind of neighbour; between lines, that they do not touch",
    limit_from: "clearance of the keep-out in the plan, else limit/clearance; most documents say keep clear and give no figure",
    open_when: "neither the plan nor the table gives a figure, or the route or the outside diameter of a line is not known",
    remedy: "move the line or add a clip",
};

/// A distance drawn at the limit must not fail by the last bit of a sum, mm.
const NOISE_MM: f64 = 1e-6;
/// A sleeve cut to whole millimetres may miss the end of a stretch by this, mm.
const SLEEVE_MM: f64 = 1.0;

/// Judges all keep-outs, then all lines beside each other.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let facts = &whole.facts.clearance;
    if let Some(why) = &facts.failed {
        let draft = whole.draft(&ABOUT, &whole.plan.name);
        return vec![draft.open(why, "look at the coordinates of the plan")];
    }
    let mut findings = Vec::new();
    for (keep_out, own) in whole.plan.keep_outs.iter().zip(&facts.keep_outs) {
        findings.extend(beside(whole, keep_out, own));
    }
    findings.extend(between_lines(whole));
    let left_out = facts.left_out.iter().map(|(line, why)| {
        let draft = whole.draft(&ABOUT, &whole.plan.lines[*line].id);
        draft.open(format!("not looked at: {why}"), "add what is missing")
    });
    findings.extend(left_out);
    findings
}

/// All lines beside one keep-out.
fn beside(whole: &Whole<'_>, keep_out: &KeepOut, own: &KeepOutFacts) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        own.places.iter().filter_map(|place| judge(whole, keep_out, own, place)).collect();
    let draft = whole.draft(&ABOUT, &keep_out.id);
    let nearest = own.places.iter().min_by(|a, b| a.distance_mm.total_cmp(&b.distance_mm));
    let told = nearest.map_or("no line could be looked at".to_owned(), |place| {
        let line = &whole.plan.lines[place.line].id;
        format!("{line} is the nearest line, {:.1} mm away", place.distance_mm)
    });
    if own.least.is_none() {
        let why =
            format!("how far lines keep from what is {} is in no table; {told}", keep_out.kind);
        let remedy = "set clearance on the keep_out to the distance that you want to keep";
        let draft = nearest.map_or(draft.clone(), |place| draft.value(place.distance_mm, "mm"));
        findings.push(draft.source(&own.cite).open(why, remedy));
    } else if findings.is_empty() {
        let value = nearest.map(|place| (place.distance_mm, place.least.as_ref()));
        let draft = match value {
            Some((mm, Some(least))) => draft.value(mm, "mm").least(least.value, &least.cite),
            Some((mm, None)) => draft.value(mm, "mm").source(&own.cite),
            None => draft.source(&own.cite),
        };
        findings.push(draft.ok(told));
    }
    findings
}

/// One line beside a keep-out; nothing where it is far enough.
fn judge(
    whole: &Whole<'_>,
    keep_out: &KeepOut,
    own: &KeepOutFacts,
    place: &Place,
) -> Option<Finding> {
    let line = &whole.plan.lines[place.line].id;
    let draft = whole.draft(&ABOUT, line).at(&format!("beside {}", keep_out.id));
    let draft = draft.value(place.distance_mm, "mm");
    let cite = place.least.as_ref().map_or(&own.cite, |least| &least.cite);
    let least_mm = place.least.as_ref().map_or(0.0, |least| least.value);
    let draft = draft.least(least_mm, cite);
    let at = format!("{:.0} mm from end A", place.station_mm);
    let kind = &keep_out.kind;
    let mm = place.distance_mm;
    if mm < -NOISE_MM {
        let message = format!("{at} it reaches {:.1} mm into {} ({kind})", -mm, keep_out.id);
        return Some(draft.fail(message, ABOUT.remedy));
    }
    let wanted_mm = own.close.as_ref().map_or(least_mm, |close| close.value.min(least_mm));
    let passes = format!("{at} it passes {} ({kind}) at {mm:.1} mm", keep_out.id);
    let sleeve = sleeve(whole, own, place);
    if mm < wanted_mm - NOISE_MM {
        let message = format!("{passes}, where {wanted_mm:.0} mm are wanted");
        return Some(match sleeve {
            Sleeve::Covers => draft.caution(
                format!("{message}; a sleeve covers the stretch"),
                "look at the sleeve after the first run: it helps, it does not replace distance",
            ),
            _ => draft.fail(message, remedy(place, &sleeve)),
        });
    }
    if mm < least_mm - NOISE_MM {
        let message = format!(
            "{passes}: {least_mm:.0} mm are wanted, {wanted_mm:.0} mm will do where that cannot be"
        );
        return Some(draft.caution(
            message,
            "move the line; where that cannot be, clip both close by, and not side by side",
        ));
    }
    if place.bowed_mm >= least_mm - NOISE_MM {
        return None;
    }
    let message = format!(
        "{passes}; where its slack bows that way only {:.1} mm are left",
        place.bowed_mm.max(0.0)
    );
    Some(match sleeve {
        Sleeve::Covers => draft.ok(format!("{message}; a sleeve covers the stretch")),
        _ => draft.caution(message, remedy(place, &sleeve)),
    })
}

/// What a sleeve does for a line.
#[derive(Debug, PartialEq)]
enum Sleeve {
    /// No sleeve answers for this neighbour.
    NoAnswer,
    /// One of this kind would.
    Would(String),
    /// One does.
    Covers,
}

fn sleeve(whole: &Whole<'_>, own: &KeepOutFacts, place: &Place) -> Sleeve {
    let Some(kind) = &own.sleeve else { return Sleeve::NoAnswer };
    let sleeves = &whole.plan.lines[place.line].sleeves;
    let covered = |[start, end]: &[f64; 2]| {
        sleeves.iter().any(|s| {
            s.kind == kind && s.start_mm <= start + SLEEVE_MM && s.end_mm >= end - SLEEVE_MM
        })
    };
    let all = !place.stretches.is_empty() && place.stretches.iter().all(covered);
    if all { Sleeve::Covers } else { Sleeve::Would(kind.clone()) }
}

fn remedy(place: &Place, sleeve: &Sleeve) -> String {
    let (Sleeve::Would(kind), false) = (sleeve, place.stretches.is_empty()) else {
        return ABOUT.remedy.to_owned();
    };
    // Marks are rounded outward: a sleeve may be longer, never shorter.
    let marks: Vec<String> = place
        .stretches
        .iter()
        .map(|[start, end]| format!("{:.0} to {:.0} mm", start.floor(), end.ceil()))
        .collect();
    format!(
        "{}, or pull a {kind} sleeve over it from {} from end A: before the second end is fitted; it stiffens the hose, so the bends need their room and the slack stays",
        ABOUT.remedy,
        marks.join(" and from ")
    )
}

/// Lines that touch: one finding for each pair, and one for each line that only its bow brings to others.
fn between_lines(whole: &Whole<'_>) -> Vec<Finding> {
    let facts = &whole.facts.clearance;
    let mut findings = Vec::new();
    for pair in &facts.lines {
        findings.extend(touching(whole, pair));
    }
    for (index, line) in whole.plan.lines.iter().enumerate() {
        let bows: Vec<&LinePair> = facts
            .lines
            .iter()
            .filter(|p| p.lines[0] == index && p.drawn_mm.is_none() && p.moved_mm.is_none())
            .collect();
        if !bows.is_empty() {
            findings.push(bowing(whole, whole.draft(&ABOUT, &line.id), &bows));
        }
    }
    if findings.is_empty() {
        let draft = whole.draft(&ABOUT, &whole.plan.name);
        let draft = draft.source(&Cite::plan("routes of the lines"));
        findings.push(draft.ok(format!("no two of {} lines touch", facts.looked_at)));
    }
    findings
}

fn touching(whole: &Whole<'_>, pair: &LinePair) -> Option<Finding> {
    let [a, b] = pair.lines.map(|line| whole.plan.lines[line].id.as_str());
    let draft = whole.draft(&ABOUT, a).at(&format!("beside {b}"));
    let cite = Cite::plan("two lines cannot be in one place");
    let [on_a, on_b] = pair.stations_mm;
    let at = format!("{on_a:.0} mm from its end A and {on_b:.0} mm from end A of {b}");
    if let Some(drawn) = pair.drawn_mm {
        let message = format!("it runs {:.1} mm into {b}, {at}", -drawn);
        return Some(draft.value(drawn, "mm").least(0.0, &cite).fail(message, ABOUT.remedy));
    }
    let moved = pair.moved_mm?;
    let message =
        format!("it may touch {b} when its ends move or stand where their tolerance allows, {at}");
    let remedy = "move one of them, or clip the two together with a cushion between";
    Some(draft.value(moved, "mm").least(0.0, &cite).caution(message, remedy))
}

fn bowing(whole: &Whole<'_>, draft: Draft, bows: &[&LinePair]) -> Finding {
    let others: Vec<&str> = bows.iter().map(|p| whole.plan.lines[p.lines[1]].id.as_str()).collect();
    let message = format!(
        "its slack, bowed to the wrong side, brings it to {}: they may rub",
        others.join(", ")
    );
    let remedy = "lay the slack away from the others, clip them together with a cushion between, or put a clip where they cross";
    draft.source(&Cite::plan("bow of clamped ends, from the slack")).caution(message, remedy)
}
