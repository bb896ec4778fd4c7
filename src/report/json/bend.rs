//! Bent tubes as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::geometry::MirrorImage;
use crate::report::bend::findings;
use crate::report::caution::{BENDING, cautions};
use crate::solve::makeup::fit_again;
use crate::solve::tube::{BendRow, SetBy, Side, TubeFacts, twins};

/// How tubes are bent.
pub fn bend(assessment: &Assessment, lines: &[usize]) -> Value {
    let own = cautions(&assessment.plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(BENDING).chain(own).collect();
    json!({
        "rotation": "of the plane of the bend, right-handed about the direction of travel: clockwise for who looks along the tube",
        "tubes": lines.iter().map(|line| one(assessment, *line)).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

fn one(assessment: &Assessment, line: usize) -> Value {
    let facts = &assessment.facts.lines[line];
    let tube = facts.tube.as_ref().and_then(|t| t.as_ref().ok());
    let not_bent = facts.tube.as_ref().and_then(|t| t.as_ref().err());
    let bender = tube.and_then(|t| t.bender).and_then(|index| assessment.plan.benders.get(index));
    let all_twins = twins(&assessment.facts.lines, facts);
    json!({
        "line": facts.id,
        "of": facts.carrier,
        "bender": bender.map(|b| &b.id),
        "open": not_bent,
        "cut_mm": facts.makeup.as_ref().ok().map(|m| m.cut.cut_mm),
        "cut_open": facts.makeup.as_ref().err(),
        "length_mm": tube.map(|t| t.length_mm),
        "corner_to_corner_mm": tube.map(|t| t.polyline_mm),
        "gain_mm": tube.map(|t| t.polyline_mm - t.length_mm),
        "stretch_mm": tube.and_then(|t| t.stretch_mm),
        "begin_at": tube.map(|t| t.side().end),
        "from": tube.map(|t| t.sides.iter().map(side).collect::<Vec<_>>()),
        "passed_straight": tube.map(|t| t.passed.iter().map(|(place, off_mm)| json!({
            "at": place, "off_mm": off_mm,
        })).collect::<Vec<_>>()),
        "mirror_image": tube.map(mirror_word),
        "twins": all_twins.iter().map(|t| json!({ "line": t.line, "mirrored": t.mirrored }))
            .collect::<Vec<_>>(),
        "ovality_percent": tube.and_then(|t| t.ovality).map(|o| 100.0 * o),
        "order_of_work": tube.map(|t| &t.operations),
        "stock": stock(assessment, &facts.carrier),
        "findings": findings(assessment, line).collect::<Vec<_>>(),
    })
}

fn mirror_word(tube: &TubeFacts) -> &'static str {
    match tube.mirror {
        MirrorImage::Same => "same part",
        MirrorImage::TurnedRound => "same part turned end for end",
        MirrorImage::Another => "another part",
    }
}

fn side(side: &Side) -> Value {
    let marks = side.marks_mm.as_ref().ok();
    let hit = side.hit.as_ref().ok().copied().flatten();
    json!({
        "end": side.end,
        "bends": side.rows.iter().enumerate().map(|(index, row)| {
            bend_row(index, row, marks.and_then(|m| m.get(index)).copied())
        }).collect::<Vec<_>>(),
        "last_straight_mm": side.last_straight_mm,
        "marks_open": side.marks_mm.as_ref().err(),
        "passes": side.hit.as_ref().ok().map(Option::is_none),
        "passes_open": side.hit.as_ref().err(),
        "hits": hit.map(|h| json!({
            "bend": h.bend, "what": h.by, "from_tip_mm": h.station_mm, "at_deg": h.at_deg,
        })),
    })
}

fn bend_row(index: usize, row: &BendRow, mark_mm: Option<f64>) -> Value {
    let set = row.set.as_ref().ok();
    json!({
        "bend": index + 1,
        "at": row.place,
        "mark_mm": mark_mm,
        "straight_mm": row.bend.straight_mm,
        "rotation_deg": row.bend.rotation_rad.to_degrees(),
        "dial_deg": row.dial_deg,
        "angle_deg": row.bend.angle_rad.to_degrees(),
        "set_deg": set.map(|s| s.angle_deg),
        "set_by": set.map(|s| match s.by {
            SetBy::TestBends => "test bends",
            SetBy::Strength => "strength",
        }),
        "set_source": set.map(|s| s.cite.to_string()),
        "set_open": row.set.as_ref().err(),
        "radius_mm": row.bend.radius_mm,
        "thinning_percent": row.wall.map(|w| 100.0 * w.thinning),
        "wall_left_mm": row.wall.map(|w| w.left_mm),
    })
}

fn stock(assessment: &Assessment, carrier: &str) -> Value {
    let Some(stock) = assessment.facts.cutting.iter().find(|s| s.of == carrier) else {
        return Value::Null;
    };
    let bars = stock.plan.as_ref().ok().map(|p| &p.bars);
    json!({
        "open": stock.plan.as_ref().err(),
        "pieces": bars.map(|bars| bars.iter().map(|bar| json!({
            "length_mm": bar.length_mm,
            "lines": bar.cuts.iter().map(|c| &c.label).collect::<Vec<_>>(),
            "left_mm": bar.left_mm,
            "fits_again": fit_again(&assessment.plan, stock, bar.left_mm)
                .map(|p| &p.label).collect::<Vec<_>>(),
        })).collect::<Vec<_>>()),
    })
}
