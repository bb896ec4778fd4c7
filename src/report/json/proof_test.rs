//! The proof test, as JSON.

use serde_json::{Value, json};

use crate::assess::Assessment;
use crate::plan::Plan;
use crate::report::caution::{PROOF_TEST, cautions};
use crate::report::deferred;
use crate::trial::proof::{ProofPlan, ProofResult, ProofRow, ProofTest, ProofTrial, Stiffness};
use crate::units::Quantity;

/// The proof test as data.
pub fn proof_test(assessment: &Assessment, trial: &ProofTrial) -> Value {
    let plan = &assessment.plan;
    let own = cautions(plan, &assessment.facts);
    let all_cautions: Vec<&str> = core::iter::once(PROOF_TEST).chain(own).collect();
    json!({
        "hold_s": trial.hold.value.si(),
        "hold_source": trial.hold.cite.text,
        "hold_standing": trial.hold.cite.standing,
        "gauge_range": trial.gauge_range.as_ref().map(|r| r.value),
        "temperature_degc": trial.temperature.si() - 273.15,
        "lines": trial.rows.iter().map(|r| row(assessment, r)).collect::<Vec<_>>(),
        "measured": trial.results.iter().map(|r| result(plan, r)).collect::<Vec<_>>(),
        "cautions": all_cautions,
    })
}

fn row(assessment: &Assessment, row: &ProofRow) -> Value {
    let (mut test, mut left, mut why) = (Value::Null, Vec::new(), None);
    match &row.test {
        ProofPlan::Test(found) => test = test_data(assessment, found),
        ProofPlan::Deferred(list) => {
            left = list.iter().map(|d| deferred::data(&assessment.plan, d)).collect();
        }
        ProofPlan::None(text) | ProofPlan::Open(text) => why = Some(text),
    }
    json!({
        "id": assessment.plan.lines[row.line].id,
        "verdict": row.verdict(),
        "test": test,
        "left_to_others": left,
        "no_test": why,
    })
}

fn test_data(assessment: &Assessment, test: &ProofTest) -> Value {
    let case = |index: &usize| assessment.facts.cases.get(*index).map(|c| c.name.as_str());
    let closed = test.closed.as_ref();
    json!({
        "highest_bar": test.operating.0 / 1e5,
        "case": case(&test.operating.1),
        "not_known_in": test.unknown.iter().map(case).collect::<Vec<_>>(),
        "where": if test.bench { "bench" } else { "in place" },
        "pressure_bar": test.pressure.value / 1e5,
        "by": test.by,
        "source": test.pressure.cite.text,
        "standing": test.pressure.cite.standing,
        "stands_bar": test.stands.as_ref().map(|s| s.value / 1e5),
        "liquid": test.liquid,
        "volume_ml": closed.map(|c| c.volume_m3 * 1e6).ok(),
        "wall_counted": closed.map(|c| c.wall_counted).ok(),
        "pump_in_ml": closed.map(|c| c.pumped_m3 * 1e6).ok(),
        "per_kelvin_bar": closed.map(|c| c.per_kelvin_pa / 1e5).ok(),
        "stored_j": closed.map(|c| c.stored_j).ok(),
        "gas_would_store_j": closed.map(|c| c.gas_j).ok(),
        "not_computed": closed.err(),
    })
}

fn result(plan: &Plan, result: &ProofResult) -> Value {
    let (by, air) = match result.stiffness {
        Stiffness::Calculated => ("calculated", None),
        Stiffness::LiquidAlone => ("liquid alone", None),
        Stiffness::Measured(air) => ("pumped", Some(air)),
        Stiffness::Air(air) => ("air", Some(air)),
    };
    let leaked = &result.leaked_m3;
    json!({
        "lines": result.lines.iter().map(|l| plan.lines[*l].id.as_str()).collect::<Vec<_>>(),
        "volume_ml": result.volume_m3 * 1e6,
        "stiffness": by,
        "air_at_most_ml": air.map(|a| a * 1e6),
        "tight_bar": result.tight_pa / 1e5,
        "leaked_ml": leaked.rate * 1e6,
        "leaked_low_ml": leaked.low * 1e6,
        "leaked_high_ml": leaked.high * 1e6,
        "leaks_ml_h": leaked.rate * 1e6 / result.reading.time.si() * 3600.0,
        "short_of_bar": result.short_of_pa.map(|p| p / 1e5),
        "too_short": result.too_short,
        "verdict": result.verdict,
    })
}
