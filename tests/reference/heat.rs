//! Published and worked figures for exchangers and oils, networks solved independently, and what must always hold.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

#[path = "heat/laws.rs"]
mod laws;
#[path = "heat/networks.rs"]
mod networks;
#[path = "heat/oracle.rs"]
mod oracle;

use super::geometry::case::{Case, CaseFile};
use hosewright::heat::exchanger::{
    Arrangement, Exchange, Stream, effectiveness, exchange, transfer_units, transfer_units_of,
};
use hosewright::heat::oil::{conductivity_w_m_k, specific_heat_j_kg_k};

fn arrangement(name: &str) -> Arrangement {
    match name {
        "counterflow" => Arrangement::Counterflow,
        "parallel" => Arrangement::Parallel,
        "crossflow" => Arrangement::Crossflow,
        "one shell pass" | "S&T" => Arrangement::OneShellPass,
        "one unchanging" | "boiler" => Arrangement::OneUnchanging,
        other => panic!("{other} is no arrangement"),
    }
}

fn exchanged(case: &Case, share: f64) -> Exchange {
    let stream = |capacity: &str, inlet: &str| Stream {
        capacity_w_k: case.number(capacity),
        inlet_k: case.number(inlet),
    };
    exchange(&stream("hot_w_k", "hot_k"), &stream("cold_w_k", "cold_k"), share).expect("a heat")
}

/// Effectiveness of a conductance between two capacity flows.
fn of_conductance(case: &Case, arrangement: Arrangement, flows: [&str; 2]) -> f64 {
    let [one, other] = flows.map(|key| case.number(key));
    let (small, large) = (one.min(other), one.max(other));
    let units = transfer_units_of(case.number("conductance_w_k"), small).expect("transfer units");
    effectiveness(arrangement, units, small / large).expect("an effectiveness")
}

fn answer(case: &Case) -> Vec<f64> {
    let (call, name) = case.call.split_once(", ").unwrap_or((&case.call, ""));
    let between = || of_conductance(case, arrangement(name), ["hot_w_k", "cold_w_k"]);
    match call {
        "effectiveness" => {
            vec![of_conductance(case, arrangement(name), ["one_w_k", "other_w_k"])]
        }
        "transfer units" => {
            let (wanted, ratio) = (case.number("effectiveness"), case.number("capacity_ratio"));
            vec![transfer_units(arrangement(name), wanted, ratio).expect("transfer units")]
        }
        "heat" => vec![exchanged(case, between()).heat_w],
        "hot outlet" => vec![exchanged(case, between()).hot_outlet_k],
        "exchange" => {
            let found = exchanged(case, case.number("effectiveness"));
            vec![found.hot_outlet_k, found.cold_outlet_k]
        }
        other => panic!("{other} is not called here"),
    }
}

/// Each case with its answer.
pub const EXCHANGER: CaseFile =
    CaseFile { path: "heat/exchanger", text: include_str!("heat/exchanger.toml"), kernel: answer };

#[test]
fn exchangers_agree_with_published_figures() {
    EXCHANGER.agree();
}

/// Each case with its answer.
pub const OIL: CaseFile = CaseFile {
    path: "heat/oil",
    text: include_str!("heat/oil.toml"),
    kernel: |case| {
        let (gravity, kelvin) = (case.number("specific_gravity"), case.number("temperature_k"));
        vec![match case.call.as_str() {
            "specific heat" => specific_heat_j_kg_k(gravity, kelvin).expect("a specific heat"),
            "conductivity" => conductivity_w_m_k(gravity, kelvin).expect("a conductivity"),
            other => panic!("{other} is not called here"),
        }]
    },
};

#[test]
fn heat_figures_of_oils_agree_with_published_ones() {
    OIL.agree();
}
