//! The list of joints as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::plan::Plan;
use crate::report::caution::{JOINTS, cautions};
use crate::report::joints::findings;
use crate::solve::joints::{JointMade, JointPlace, JointsFacts, Setting, Tool, Turning};
use crate::table::joint::Rule;
use crate::table::torque::Turn;
use crate::units::Quantity;

/// The joints as data.
pub fn joints(assessment: &Assessment, facts: &JointsFacts) -> Value {
    let own = cautions(&assessment.plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(JOINTS).chain(own).collect();
    let walk = facts.walk.as_ref().ok();
    json!({
        "torque_tables": facts.chosen,
        "joints": facts.joints.iter().map(|j| joint(&assessment.plan, j)).collect::<Vec<_>>(),
        "walk": walk.map(|w| json!({
            "tool_changes": w.changes, "length_mm": w.length_mm, "least_mm": w.least_mm, "proven": w.proven,
        })),
        "no_walk": facts.walk.as_ref().err(),
        "caps": facts.joints.iter().map(|j| j.caps).sum::<usize>(),
        "capped_ports": facts.capped_ports,
        "joined_without_thread": facts.unthreaded,
        "findings": findings(assessment).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

/// One joint as data.
pub fn joint(plan: &Plan, joint: &JointMade) -> Value {
    let (line, end) = match joint.place {
        JointPlace::End { line, end } => {
            (Some(plan.lines[line].id.as_str()), Some(["A", "B"][end]))
        }
        JointPlace::Join(_) => (None, None),
    };
    let hex = match &joint.tool {
        Tool::Spanner(hex) => Some(hex),
        _ => None,
    };
    let (set, open, never, tables) = match &joint.turning {
        Turning::Set(set) => (Some(setting(set)), None, None, None),
        Turning::Open { why, tables } => (None, Some(why), None, Some(tables)),
        Turning::Never(why) => (None, None, Some(why), None),
    };
    let side_by_side = tables.map(|all| {
        let one = |(name, found): &(String, Result<Setting, String>)| match found {
            Ok(found) => setting(found),
            Err(why) => json!({ "table": name, "open": why }),
        };
        all.iter().map(one).collect::<Vec<_>>()
    });
    let about = |part: &str| joint.about(part).map(rule).collect::<Vec<_>>();
    json!({
        "joint": format!("J{}", joint.number),
        "where": joint.name,
        "line": line,
        "end": end,
        "at_mm": joint.at_mm,
        "family": joint.family,
        "size": joint.size,
        "thread": joint.thread.as_ref().map(|t| &t.value),
        "tool": match &joint.tool { Tool::Spanner(_) => "spanner", Tool::Clip => "clip", Tool::Unknown(_) => "open" },
        "spanner_mm": hex.map(|h| h.value.si() * 1e3),
        "spanner_standing": hex.map(|h| h.cite.standing),
        "tighten": set,
        "open": open,
        "do_not": never,
        "tables_side_by_side": side_by_side,
        "lubricant": about("lubricant"),
        "keep_off": about("keep off"),
        "turn": about("turn"),
        "leak": about("leak"),
        "witness_mark": about("witness mark"),
        "caps": joint.caps,
        "signatures": if joint.signed_twice() { 2 } else { 1 },
        "second_signature": about("second signature"),
    })
}

fn rule(rule: &Rule) -> Value {
    json!({ "text": rule.text.value, "source": rule.text.cite.text, "standing": rule.text.cite.standing })
}

fn setting(setting: &Setting) -> Value {
    let (torque, flats) = match setting.turn.value {
        Turn::Torque { least, most } => (Some([least.si(), most.si()]), None),
        Turn::Flats { least, most } => (None, Some([least, most])),
    };
    json!({
        "table": setting.table,
        "torque_least_nm": torque.map(|t| t[0]),
        "torque_most_nm": torque.map(|t| t[1]),
        "flats_least": flats.map(|f| f[0]),
        "flats_most": flats.map(|f| f[1]),
        "threads": setting.threads.as_ref().map(|t| &t.value),
        "source": setting.turn.cite.text,
        "standing": setting.turn.cite.standing,
    })
}
