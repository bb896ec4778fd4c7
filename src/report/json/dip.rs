//! Dip marks, as JSON.

use serde_json::{Value, json};

use crate::geometry::vessel::poured::PouredFit;
use crate::plan::Plan;
use crate::report::caution::{ALWAYS, DIP};
use crate::report::dip::notes;
use crate::solve::dip::{Mark, Reading, Shift};
use crate::trial::dip::DipTrial;
use crate::units::System;

/// The dip marks as data.
pub fn dip(plan: &Plan, trial: &DipTrial) -> Value {
    let facts = &trial.facts;
    let standings: Vec<Value> = facts
        .standings
        .iter()
        .map(|s| {
            json!({
                "attitude": s.name,
                "nose_up_deg": s.attitude_rad[0].to_degrees(),
                "roll_right_deg": s.attitude_rad[1].to_degrees(),
            })
        })
        .collect();
    json!({
        "tank": plan.components[facts.component].id,
        "full_l": facts.full_mm3 / 1e6,
        "change": facts.change,
        "reach_mm": facts.reach_mm,
        "attitudes": standings,
        "marks": facts.marks.iter().map(|m| mark(trial, m)).collect::<Vec<_>>(),
        "full_mark": facts.full_mark.as_ref().map(|f| json!({
            "rule": f.rule,
            "source": f.cite.text,
            "space_l": f.space_mm3 / 1e6,
            "mark": mark(trial, &f.mark),
        })),
        "inner_mm": facts.inner_mm.map(|(low, high)| [low, high]),
        "stick": facts.shifts.map(|[now, middle, best]| json!({
            "planned": shift(&now), "mid_length": shift(&middle), "best": shift(&best),
            "better": trial.better.as_ref().map(shift),
        })),
        "poured": facts.poured.as_ref().map(|f| match f {
            Ok(fit) => fitted(trial, fit),
            Err(why) => json!({ "not_fitted": why }),
        }),
        "bars": trial.bars.iter().map(|b| json!({
            "measures_mm": b.measures_mm,
            "most_off_mm": b.most_off_mm.as_ref().map(|m| m.value),
            "source": b.most_off_mm.as_ref().map(|m| m.cite.text.clone()),
            "verdict": b.verdict,
        })).collect::<Vec<_>>(),
        "refused": trial.refused(),
        "notes": notes(trial, System::Metric),
        "cautions": [DIP, ALWAYS],
    })
}

fn mark(trial: &DipTrial, mark: &Mark) -> Value {
    let readings = trial.facts.standings.iter().zip(&mark.readings).zip(&mark.shown_mm3);
    let readings: Vec<Value> = readings
        .map(|((standing, reading), shown)| {
            json!({
                "attitude": standing.name,
                "dip_mm": reading.mm(),
                "stick": match reading {
                    Reading::At(_) => "wet",
                    Reading::Dry => "dry",
                    Reading::Over => "over",
                },
                "level_marks_show_l": shown.map(|s| s / 1e6),
            })
        })
        .collect();
    json!({
        "volume_l": mark.volume_mm3 / 1e6,
        "readings": readings,
        "by_poured_mm": mark.as_poured_mm,
    })
}

fn shift(shift: &Shift) -> Value {
    json!({ "at_mm": shift.at_mm, "most_mm": shift.most_mm })
}

fn fitted(trial: &DipTrial, fit: &PouredFit) -> Value {
    let points: Vec<Value> = fit
        .points
        .iter()
        .enumerate()
        .map(|(index, point)| {
            let (volume, dip) = trial.read(index);
            json!({
                "volume_l": volume / 1e6,
                "dip_mm": dip,
                "expected_mm": point.expected_mm,
                "over_l": point.over_mm3 / 1e6,
                "standard_deviations": point.score,
                "odd": point.odd,
            })
        })
        .collect();
    json!({
        "offset_mm": fit.offset_mm,
        "offset_sd_mm": fit.offset_sd_mm,
        "scale": fit.scale,
        "scale_sd": fit.scale_sd,
        "sum_error_l": fit.sum_error_mm3 / 1e6,
        "points": points,
    })
}
