//! The routed machine as points in space, for the view that can be turned.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::finding::Verdict;
use crate::geometry::{Piece, Route};
use crate::plan::{KeptBody, Plan};
use crate::solve::LineFacts;

/// Degrees of a bend from point to point.
const STEP_DEG: f64 = 10.0;

/// Lines, components and keep-outs, mm in the plan's coordinates.
pub fn scene(assessment: &Assessment) -> Value {
    let plan = &assessment.plan;
    let worst = worst(assessment);
    let lines = plan.lines.iter().zip(&assessment.facts.lines);
    let lines: Vec<Value> = lines
        .filter_map(|(planned, facts)| {
            let route = &facts.geometry.as_ref().ok()?.route;
            let fails = worst.get(facts.id.as_str()).map_or("ok", |verdict| verdict.word());
            Some(json!({
                "id": facts.id, "system": planned.system, "use": plan.fluids[planned.fluid].fluid.use_,
                "radius": 0.5 * diameter_mm(facts), "points": points(route), "verdict": fails,
            }))
        })
        .collect();
    let components: Vec<Value> = plan
        .components
        .iter()
        .map(|c| {
            let ports: Vec<Value> =
                c.ports.iter().map(|p| json!({ "name": p.name, "at": rounded(p.at_mm) })).collect();
            json!({ "id": c.id, "kind": c.kind, "ports": ports })
        })
        .collect();
    json!({ "lines": lines, "components": components, "keep_outs": keep_outs(plan), "up": plan.axes.up })
}

/// The outside, else the bore; a thread where neither is known.
fn diameter_mm(facts: &LineFacts) -> f64 {
    facts.outside.as_ref().or(facts.bore.as_ref()).map_or(1.0, |d| d.value)
}

/// The worst verdict on each line or component.
fn worst(assessment: &Assessment) -> BTreeMap<&str, Verdict> {
    let mut worst = BTreeMap::new();
    for finding in &assessment.findings {
        let known = worst.entry(finding.subject()).or_insert(finding.verdict);
        *known = finding.verdict.max(*known);
    }
    worst
}

/// Points of a centre line, near enough on bends to look round.
fn points(route: &Route) -> Vec<[f64; 3]> {
    let mut points = Vec::new();
    for piece in route.path.pieces() {
        let steps = match piece {
            Piece::Straight { .. } => 1,
            Piece::Arc { angle_rad, .. } => {
                let steps = (angle_rad.to_degrees() / STEP_DEG).ceil().clamp(1.0, 36.0);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "between 1 and 36"
                )]
                let steps = steps as u32;
                steps
            }
        };
        for step in 0..steps {
            let p = piece.point_at(piece.length_mm() * f64::from(step) / f64::from(steps));
            points.push(rounded([p.x, p.y, p.z]));
        }
    }
    let end = route.measuring_b;
    points.push(rounded([end.x, end.y, end.z]));
    points
}

fn keep_outs(plan: &Plan) -> Vec<Value> {
    let body = |body: &KeptBody| match body {
        KeptBody::Box { low_mm, high_mm } => json!({ "low": low_mm, "high": high_mm }),
        KeptBody::Cylinder { from_mm, to_mm, radius_mm } => {
            json!({ "from": from_mm, "to": to_mm, "radius": radius_mm })
        }
        KeptBody::Plane { at_mm, faces } => json!({ "at": at_mm, "faces": faces }),
    };
    plan.keep_outs
        .iter()
        .map(|k| json!({ "id": k.id, "kind": k.kind, "body": body(&k.body) }))
        .collect()
}

fn rounded(point: [f64; 3]) -> [f64; 3] {
    point.map(|c| (c * 10.0).round() / 10.0)
}
