//! `connection.vent-low-point`: whether liquid can close the vent of a tank or run out of it.

use super::names;
use crate::check::pocket::Speaker;
use crate::check::{About, Draft, Whole};
use crate::finding::Finding;
use crate::solve::connection::vent::VentFacts;
use crate::solve::joined::{At, PocketFacts};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.vent-low-point",
    looks_at: "the vent of each tank: low points of its lines, and how high it climbs over the liquid before its mouth",
    why: "liquid in a low point closes the vent: the pump sucks the tank in and then starves; by a way that lies below the liquid it runs out",
    number: "depth of a low point in mm; height of the highest point of the way over the surface in mm, at the least of all named cases",
    limit_from: "limit/installation, rule trap-least-rise, for low points; the corners of the lines against the surface of the plan",
    open_when: "there is no route",
    remedy: "lay the vent so that it falls all the way to the tank or to its mouth, or fit a drain in the low point",
};

/// Judges every line with the service vent.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    whole.facts.connection.vents.iter().flat_map(|vent| judge(whole, vent)).collect()
}

fn judge(whole: &Whole<'_>, vent: &VentFacts) -> Vec<Finding> {
    let id = &whole.plan.lines[vent.line].id;
    let draft = whole.draft(&ABOUT, id);
    if !vent.routed {
        return vec![draft.open("there is no route to look at", "see geometry.route")];
    }
    let of = if vent.tanks.is_empty() {
        "the vent".to_owned()
    } else {
        format!("the vent of {}", names(whole, vent.tanks.iter().copied()))
    };
    let mut findings = Vec::new();
    for pocket in whole.pockets(false, Speaker::Vent(vent.line)) {
        findings.push(low(whole, &draft, pocket, &of));
    }
    // A vent that is full of liquid is looked at by itself.
    let by_itself = if in_pockets(whole, vent.line) { &[][..] } else { &vent.lows };
    for low in by_itself {
        let at = format!("{:.1} mm from end A", low.station_mm);
        let case = whole.case_name(low.case);
        findings.push(draft.clone().at(&at).case(case).value(low.depth_mm, "mm").caution(
            format!(
                "liquid that collects {at}, {:.1} mm deep, closes {of}: no air comes in",
                low.depth_mm
            ),
            ABOUT.remedy,
        ));
    }
    if let Some(mouth) = vent.mouth.filter(|m| m.over_mm < 0.0) {
        let [out, tank] = [mouth.mouth, mouth.tank].map(|c| whole.plan.components[c].id.as_str());
        let draft = draft.clone().case(whole.case_name(mouth.case)).value(mouth.over_mm, "mm");
        findings.push(draft.caution(
            format!(
                "the whole way to {out} lies below the liquid in {tank}, its highest point by {:.1} mm: the liquid runs out",
                -mouth.over_mm
            ),
            "lead the vent up over the liquid before it goes down to its mouth",
        ));
    }
    if findings.is_empty() {
        findings.push(draft.ok(format!("no low point closes {of}")));
    }
    findings
}

/// Whether low points of a line are found over all that it is joined to.
fn in_pockets(whole: &Whole<'_>, line: usize) -> bool {
    let parts = &whole.facts.joined.parts;
    parts.iter().any(|p| p.lines.contains(&line) && p.low_matters.is_some())
}

fn low(whole: &Whole<'_>, draft: &Draft, pocket: &PocketFacts, of: &str) -> Finding {
    let (at, place) = match pocket.peak.at {
        At::Line(_, station_mm) => {
            let at = format!("{station_mm:.1} mm from end A");
            (at.clone(), at)
        }
        other => {
            (format!("at {}", other.words(whole.plan)), format!("by {}", other.words(whole.plan)))
        }
    };
    let deep = pocket.rise_mm.map_or("with no way out".to_owned(), |d| format!("{d:.1} mm deep"));
    let holds = whole.holds(pocket);
    let message = format!(
        "liquid that collects {at}, {deep}, {holds}, closes {of}: no air comes in{}",
        whole.since(pocket)
    );
    whole.pocket(&draft.clone().at(&place), pocket).caution(message, ABOUT.remedy)
}
