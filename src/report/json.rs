//! Assessments as JSON. Keys are only ever added; a number that is not known is null.

mod bend;
mod clearance;
mod dip;
mod fill;
mod flow_test;
mod identify;
mod joined;
mod joints;
mod leak_test;
mod mass;
mod measured;
mod network;
mod proof_test;
mod size;
mod steps;
mod strap;
mod uncertainty;

pub use bend::bend;
pub use dip::dip;
pub use fill::fill;
pub use flow_test::flow_test;
pub use identify::identify;
pub use joints::{joint, joints};
pub use leak_test::leak_test;
pub use mass::mass;
pub use proof_test::proof_test;
use serde_json::{Value, json};
pub use size::sizing;
pub use steps::steps;
pub use strap::strap;

use super::caution::cautions;
use crate::assess::Assessment;
use crate::assess::spread::Spread;
use crate::size::Alternates;
use crate::solve::geometry::AllowedRadius;
use crate::solve::hydraulics::{DutyFacts, regime_word};
use crate::solve::makeup::{MakeupFacts, StockFacts};
use crate::solve::{Facts, LineFacts};

/// The whole assessment, with what the `±` of the plan do to it if that was asked for.
pub fn check(assessment: &Assessment, spread: Option<&Spread>) -> Value {
    let Assessment { plan, facts, findings, tables } = assessment;
    json!({
        "plan": { "name": plan.name, "revision": plan.revision },
        "version": env!("CARGO_PKG_VERSION"),
        "lines": plan.lines.iter().zip(&facts.lines).map(|(p, l)| line(p, l)).collect::<Vec<_>>(),
        "measured": facts.measured.iter().map(measured::place).collect::<Vec<_>>(),
        "cases": cases(facts),
        "network": network::whole(plan, &facts.network),
        "clearances": clearance::all(plan, &facts.clearance),
        "pockets": joined::pockets(plan, &facts.joined),
        "bleed_order": joined::bleed_order(plan, &facts.joined),
        "drains": joined::drains(plan, &facts.joined),
        "siphons": joined::siphons(plan, &facts.joined),
        "findings": findings,
        "tables": tables,
        "short": super::short::json(assessment),
        "spread": spread.map(uncertainty::whole),
        "cautions": cautions(plan, facts),
    })
}

fn line(plan: &crate::plan::Line, facts: &LineFacts) -> Value {
    let geometry = facts.geometry.as_ref().ok();
    let makeup = facts.makeup.as_ref().ok();
    let cut_off = |end: usize| geometry.and_then(|g| g.cut_off_mm[end]);
    let drawn = geometry.and_then(|g| g.bends.iter().map(|b| b.radius_mm).reduce(f64::min));
    let allowed = geometry.and_then(|g| g.allowed.as_ref()).map(AllowedRadius::drawn_mm);
    let least = facts.shape.as_ref().and_then(|s| s.least_possible);
    json!({
        "id": facts.id,
        "name": plan.name,
        "system": plan.system,
        "service": plan.service.word(),
        "of": facts.carrier,
        "path_mm": geometry.map(|g| g.route.length_mm),
        "assembly_mm": makeup.map(|m| m.cut.assembly_mm),
        "assembly_shortest_mm": makeup.map(|m| m.cut.shortest_mm),
        "assembly_longest_mm": facts.longest_mm(),
        "pressure_shortest_mm": makeup.map(|m| m.cut.contracted_mm),
        "pressure_longest_mm": makeup.map(|m| m.cut.elongated_mm),
        "cut_mm": makeup.map(|m| m.cut.cut_mm),
        "cutoff_a_mm": cut_off(0),
        "cutoff_b_mm": cut_off(1),
        "slack_percent": makeup.filter(|m| m.slack_least.is_some()).map(|m| m.cut.slack_percent),
        "tightest_radius_mm": drawn,
        "allowed_radius_mm": allowed,
        "clock_deg": clock_deg(makeup),
        "assembly_least_possible_mm": least.map(|l| l.length_mm),
        "assembly_least_proven": least.map(|l| l.proven),
        "free_shape": facts.shape.as_ref().and_then(|s| s.spans.as_ref().ok()).map(|spans| {
            spans.iter().map(|s| json!({
                "from_mm": s.from_mm, "to_mm": s.to_mm, "path_mm": s.path_mm, "bow_mm": s.bow_mm, "sag_mm": s.sag_mm,
                "tightest_radius_mm": s.tightest_mm.is_finite().then_some(s.tightest_mm),
                "tightest_at_mm": s.tightest_at_mm, "buckled": s.buckled,
            })).collect::<Vec<_>>()
        }),
        "slack_left": makeup.and_then(|m| m.reach.as_ref()).map(|r| json!({
            "at_rest_mm": r.left.at_rest_mm, "in_service_mm": r.left.in_service_mm,
            "worst_mm": r.left.worst_mm, "spread_mm": r.left.spread_mm,
            "tolerances_missing": r.missing,
        })),
        "bore_mm": facts.bore.as_ref().map(|b| b.value),
        "outside_mm": facts.outside.as_ref().map(|o| o.value),
        "rated_kpa": facts.rating.rated_pa.as_ref().map(|r| r.value / 1e3),
        "derated_kpa": facts.rating.derated_pa().map(|r| r.value / 1e3),
        "mass_dry_g": makeup.and_then(|m| m.mass_g),
        "volume_ml": makeup.and_then(|m| m.volume_ml),
        "bends": geometry.map(|g| g.bends.iter().map(|b| json!({
            "place": b.place, "angle_deg": b.angle_deg, "radius_mm": b.radius_mm,
            "fits_mm": b.fits_mm, "station_mm": b.station_mm,
        })).collect::<Vec<_>>()),
    })
}

/// The clock angle of two angled ends.
fn clock_deg(makeup: Option<&MakeupFacts>) -> Option<f64> {
    let clock = makeup?.clock.as_ref().ok()?.as_ref()?;
    Some(clock.angle_rad.to_degrees())
}

fn cases(facts: &Facts) -> Vec<Value> {
    facts
        .cases
        .iter()
        .enumerate()
        .map(|(index, case)| {
            let duty =
                |l: &LineFacts| l.duties.iter().find(|d| d.case == index).map(|d| duty(&l.id, d));
            json!({
                "name": case.name,
                "combined": case.combined,
                "ambient_kpa_abs": case.ambient_pa / 1e3,
                "lines": facts.lines.iter().filter_map(duty).collect::<Vec<_>>(),
            })
        })
        .collect()
}

fn duty(id: &str, duty: &DutyFacts) -> Value {
    let flow = duty.flow.as_ref().ok();
    let friction = flow.and_then(|f| f.friction);
    let pressures = flow.and_then(|f| f.pressures.as_ref());
    let vapour = flow.and_then(|f| f.vapour_pa);
    json!({
        "id": id,
        "flow_l_min": duty.flow_m3_s * 60e3,
        "temperature_c": duty.temperature_k - 273.15,
        "velocity_m_s": flow.map(|f| f.velocity_m_s),
        "throat_velocity_m_s": flow.map(|f| f.throat_m_s),
        "reynolds": flow.map(|f| f.reynolds),
        "regime": friction.map(|f| regime_word(f.regime)),
        "friction_factor": friction.map(|f| f.factor),
        "friction_factor_low": friction.map(|f| f.low),
        "friction_factor_high": friction.map(|f| f.high),
        "drop_kpa": flow.map(|f| f.losses.drop_pa() / 1e3),
        "drop_parts_kpa": flow.map(|f| json!({
            "wall": f.losses.wall_pa / 1e3, "bends": f.losses.bends_pa / 1e3,
            "ends": f.losses.ends_pa / 1e3, "other": f.losses.other_pa / 1e3,
            "tank": f.losses.tank_pa / 1e3, "motion": f.losses.motion_pa / 1e3,
            "lift": f.losses.lift_pa / 1e3,
        })),
        "from_kpa_abs": pressures.map(|p| p.from_pa / 1e3),
        "to_kpa_abs": pressures.map(|p| p.to_pa / 1e3),
        "lowest_kpa_abs": pressures.map(|p| p.lowest_pa / 1e3),
        "lowest_at": pressures.map(|p| p.lowest_at.as_str()),
        "vapour_margin_kpa": pressures.zip(vapour).map(|(p, v)| (p.lowest_pa - v) / 1e3),
        "surge_kpa": flow.and_then(|f| f.closing_surge_pa.or(f.surge_pa)).map(|s| s / 1e3),
        "density_kg_m3": flow.map(|f| f.density_kg_m3),
        "kinematic_mm2_s": flow.map(|f| f.kinematic_m2_s * 1e6),
        "not_computed": duty.flow.as_ref().err(),
    })
}

/// Flows and pressures of the whole machine.
pub fn flow(assessment: &Assessment, only: Option<&str>) -> Value {
    let Assessment { plan, facts, .. } = assessment;
    let wanted =
        |case: usize| facts.cases.get(case).is_some_and(|c| only.is_none_or(|name| name == c.name));
    json!({
        "plan": { "name": plan.name, "revision": plan.revision },
        "version": env!("CARGO_PKG_VERSION"),
        "circuits": facts.network.circuits.iter().map(|c| json!({
            "name": c.name,
            "fluid": c.fluid,
            "lines": c.lines.iter().map(|l| plan.lines[*l].id.as_str()).collect::<Vec<_>>(),
            "missing": c.missing,
            "cases": c.answers.iter().filter(|(i, _)| wanted(*i)).map(|(i, a)| {
                network::answer(plan, &facts.cases[*i].name, a)
            }).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "network": network::whole(plan, &facts.network),
        "cautions": cautions(plan, facts),
    })
}

/// The cut list.
pub fn cut(assessment: &Assessment) -> Value {
    let facts = &assessment.facts;
    let piece = |l: &LineFacts| {
        let cut = l.makeup.as_ref().ok().map(|m| m.cut.cut_mm);
        json!({ "line": l.id, "of": l.carrier, "cut_mm": cut })
    };
    json!({
        "pieces": facts.lines.iter().map(piece).collect::<Vec<_>>(),
        "stock": facts.cutting.iter().map(stock).collect::<Vec<_>>(),
        "cautions": cautions(&assessment.plan, facts),
    })
}

fn stock(facts: &StockFacts) -> Value {
    let plan = facts.plan.as_ref().ok();
    let bars = plan.map(|p| {
        p.bars
            .iter()
            .map(|b| {
                json!({
                    "length_mm": b.length_mm,
                    "cuts": b.cuts.iter().map(|c| c.length_mm).collect::<Vec<_>>(),
                    "lines": b.cuts.iter().map(|c| c.label.as_str()).collect::<Vec<_>>(),
                    "left_mm": b.left_mm,
                })
            })
            .collect::<Vec<_>>()
    });
    let names = |list: &[usize]| -> Vec<String> {
        list.iter().filter_map(|i| facts.pieces.get(*i)).map(|p| p.label.clone()).collect()
    };
    let spare = plan.and_then(|p| p.spare.as_ref());
    json!({
        "hose": facts.of,
        "bars": bars,
        "least_bars": plan.map(|p| p.least_bars),
        "proven": plan.map(|p| p.proven),
        "bought": plan.map(|p| p.bought),
        "least_bought": plan.map(|p| p.least_bought),
        "gap": plan.map(|p| p.bought.saturating_sub(p.least_bought)),
        "longest_spare_mm": spare.map(|s| s.length_mm),
        "longest_spare_at_most_mm": spare.map(|s| s.at_most_mm),
        "longer_spare_costs": spare.and_then(|s| s.longer_costs).map(|(pieces, length_mm)| {
            json!({ "pieces": pieces, "length_mm": length_mm })
        }),
        "not_cut": plan.map(|p| { let mut all = names(&p.too_long); all.extend(names(&p.not_placed)); all }),
        "not_computed": facts.plan.as_ref().err(),
    })
}

/// The order list.
pub fn order(assessment: &Assessment, alternates: Option<&[Alternates]>) -> Value {
    let items = assessment.facts.order.iter().map(|i| {
        json!({
            "kind": i.kind, "what": i.what, "count": i.count, "unit": i.unit,
            "spares": i.spares, "lines": i.lines, "part": i.part,
            "size": i.end.as_ref().map(|e| &e.size),
            "angle_deg": i.end.as_ref().map(|e| e.angle_deg),
            "material": i.end.as_ref().and_then(|e| e.material.as_ref()),
        })
    });
    json!({
        "items": items.collect::<Vec<_>>(),
        "alternates": alternates.map(|all| all.iter().map(|a| json!({
            "kind": a.kind, "part": a.part, "lines": a.lines, "asked": a.asked,
            "passing": a.passing.iter().map(|p| json!({ "part": p.part, "cautions": p.cautions }))
                .collect::<Vec<_>>(),
        })).collect::<Vec<_>>()),
        "cautions": cautions(&assessment.plan, &assessment.facts),
    })
}
