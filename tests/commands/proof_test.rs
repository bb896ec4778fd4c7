//! `test proof`: pressures with their reasons, what a full line takes, and what two readings mean.

use hosewright::plan::starter::STARTER;
use serde_json::Value;

use super::{Bench, Run, example, near, number};

/// What steel tube 16 x 2.5 gives, 1/Pa: Lame's thick cylinder with closed ends at 210 000 N/mm2 and 0.3, worked by hand.
const SWELLING: f64 = 2.860e-11;
/// Bulk modulus of hydraulic oil in its table, Pa.
const OIL: f64 = 1.5e9;

fn press(more: &[&str]) -> Run {
    let plan = example("03-press", "corrected.toml");
    Bench::new().run_args(&[&["test", "proof", &plan][..], more].concat())
}

fn line<'v>(report: &'v Value, id: &str) -> &'v Value {
    let lines = report["lines"].as_array().map(Vec::as_slice).unwrap_or_default();
    lines.iter().find(|l| l["id"] == id).unwrap_or_else(|| panic!("no line {id}"))
}

#[test]
fn each_line_has_its_pressure_and_the_reason_for_it() {
    let report = press(&["--format", "json"]).json();
    let test = |id: &str| &line(&report, id)["test"];
    // The printed proof pressure of the hose, not a factor on what it works at.
    near("printed", &test("P1")["pressure_bar"], 500.0, 1e-12);
    // A tube made in the shop: twice its highest pressure; with the factor for aeroplanes one and a half times.
    let highest = number(&test("P2")["highest_bar"]);
    near("tube", &test("P2")["pressure_bar"], 2.0 * highest, 1e-12);
    let other = press(&["--tube-rule", "aeroplane-tube-and-fittings", "--format", "json"]).json();
    near("rule", &line(&other, "P2")["test"]["pressure_bar"], 1.5 * highest, 1e-12);
    // Clipped on spigots, it is tested where it sits.
    assert_eq!(test("P4")["where"], "in place");
    near("in place", &test("P4")["pressure_bar"], 1.5 * number(&test("P4")["highest_bar"]), 1e-12);
    assert!(
        line(&report, "P9")["no_test"].as_str().unwrap_or_default().contains("open to the air")
    );
    near("hold", &report["hold_s"], 120.0, 1e-12);
}

#[test]
fn a_full_tube_takes_what_oil_and_steel_give_and_gains_ten_bar_a_kelvin() {
    let report = press(&["--format", "json"]).json();
    let test = &line(&report, "P2")["test"];
    let (volume, bar) = (number(&test["volume_ml"]), number(&test["pressure_bar"]));
    near("pumped", &test["pump_in_ml"], volume * (1.0 / OIL + SWELLING) * bar * 1e5, 1e-3);
    // Oil grows by some 7.2e-4 per kelvin (ASTM D1250), steel by 3 x 12e-6.
    near("kelvin", &test["per_kelvin_bar"], 6.85e-4 / (1.0 / OIL + SWELLING) / 1e5, 0.05);
    near(
        "stored",
        &test["stored_j"],
        0.5 * volume * 1e-6 * (1.0 / OIL + SWELLING) * bar * 1e5 * bar * 1e5,
        1e-3,
    );
    assert!(number(&test["gas_would_store_j"]) > 100.0 * number(&test["stored_j"]));
    let words = press(&[]).words();
    for said in ["liquid, never gas", "Why liquid:", "Hold each pressure for 2 min"] {
        assert!(words.contains(said), "{said}: {words}");
    }
}

#[test]
fn a_fall_that_the_temperature_explains_is_no_leak() {
    let judged = |reading: &str, more: &[&str]| {
        let measured = format!("P2={reading}");
        let base = ["--measured", &measured, "--error", "1 bar", "--error-temperature", "0.1 K"];
        let run = press(&[&base[..], more, &["--format", "json"]].concat());
        assert!(run.status < 2, "{}", run.err);
        (run.status, run.json()["measured"][0].clone())
    };
    let (status, cooled) = judged("440 bar to 430 bar in 3 min, 20 degC to 19 degC", &[]);
    assert_eq!((status, &cooled["verdict"]), (0, &Value::from("ok")));
    near("tight", &cooled["tight_bar"], 430.1, 1e-3);
    let (status, leaks) = judged("440 bar to 410 bar in 3 min, 20 degC to 19 degC", &[]);
    assert_eq!((status, &leaks["verdict"]), (1, &Value::from("fail")));
    // The 20 bar that the temperature leaves over.
    let volume = number(&leaks["volume_ml"]);
    let over = number(&leaks["tight_bar"]) - 410.0;
    near("leaked", &leaks["leaked_ml"], volume * (1.0 / OIL + SWELLING) * over * 1e5, 2e-3);
    near("an hour", &leaks["leaks_ml_h"], 20.0 * number(&leaks["leaked_ml"]), 1e-9);
    // As air is trapped, the same fall is more of a leak.
    let more = ["--pumped", "P2=10 mL from 0 bar to 440 bar"];
    let (_, airy) = judged("440 bar to 410 bar in 3 min, 20 degC to 19 degC", &more);
    let solid = volume * (1.0 / OIL + SWELLING) * 440e5;
    near("air", &airy["air_at_most_ml"], (10.0 - solid) / (1.0 - 1.01325 / 441.01325), 1e-3);
    assert!(number(&airy["leaked_ml"]) > number(&leaks["leaked_ml"]));
    // Not taken up to its pressure, or not held: it cannot pass.
    let (_, low) = judged("300 bar to 300 bar in 3 min, 20 degC to 20 degC", &[]);
    assert_eq!(low["verdict"], "caution");
    let (_, short) = judged("440 bar to 440 bar in 1 min, 20 degC to 20 degC", &[]);
    assert_eq!(
        (&short["verdict"], &short["too_short"]),
        (&Value::from("caution"), &Value::from(true))
    );
}

#[test]
fn a_hose_passes_only_when_it_was_measured_how_it_swells() {
    let reading =
        ["--measured", "P1=500 bar to 500 bar in 3 min, 20 degC to 20 degC", "--error", "2 bar"];
    let alone = press(&[&reading[..], &["--format", "json"]].concat()).json();
    assert_eq!(alone["measured"][0]["verdict"], "caution");
    assert_eq!(alone["measured"][0]["stiffness"], "liquid alone");
    let more = ["--pumped", "P1=6 mL from 0 bar to 500 bar", "--format", "json"];
    let pumped = press(&[&reading[..], &more].concat()).json();
    assert_eq!(pumped["measured"][0]["verdict"], "ok");
    // 2 bar at each end, of a hose that takes 6 mL for 500 bar.
    near("high", &pumped["measured"][0]["leaked_high_ml"], 6.0 / 500.0 * 4.0, 1e-9);
}

#[test]
fn work_for_others_gets_no_pressure_but_an_address() {
    let bench = Bench::new();
    bench.write("plan.toml", &STARTER.replace("system  = \"fuel\"", "system  = \"brakes\""));
    let run = bench.run("test proof plan.toml");
    assert_eq!(run.status, 1, "{}", run.err);
    for said in ["STOP", "\"brakes\" in its system", "Ask the maker", "Bring the diagram"] {
        assert!(run.words().contains(said), "{said}: {}", run.out);
    }
    let report = bench.run("test proof plan.toml --format json").json();
    assert!(report["lines"][0]["test"].is_null());
    assert_eq!(report["lines"][0]["left_to_others"][0]["what"], "brakes");
    let id = report["lines"][0]["id"].as_str().unwrap_or_default();
    let measured = format!("{id}=3 bar to 3 bar in 3 min, 20 degC to 20 degC");
    for test in ["proof", "leak"] {
        let run = bench.run_args(&["test", test, "plan.toml", "--measured", &measured]);
        assert_eq!(run.status, 2);
        assert!(run.err.contains("left to others"), "{}", run.err);
    }
}

#[test]
fn a_rule_beyond_what_the_line_stands_fails_and_says_so() {
    let run = press(&["--hose-rule", "iso-steam"]);
    assert_eq!(run.status, 1);
    assert!(run.words().contains("do not test it so"), "{}", run.out);
}

#[test]
fn what_cannot_be_tested_so_is_refused() {
    for (more, said) in [
        (&["--tube-rule", "any"][..], "there are: aeroplane-tube-and-fittings"),
        (&["--liquid", "air"], "made with liquid"),
        (&["--liquid", "beer"], "there is no fluid"),
        (&["--hold", "0 s"], "greater than zero"),
        (&["--measured", "P2"], "is not LINES="),
        (&["--measured", "PX=1 bar to 1 bar in 1 min, 20 degC to 20 degC"], "has no line \"PX\""),
        (&["--measured", "P2 P2=1 bar to 1 bar in 1 min, 20 degC to 20 degC"], "named twice"),
        (&["--measured", "P2=1 bar to 1 bar in 1 min, 20 degC to 1000 degC"], "degC"),
        (&["--pumped", "P2=1 mL"], "is not LINES="),
        (&["--error", "1 bar"], "--measured"),
    ] {
        let run = press(more);
        assert_eq!(run.status, 2, "{more:?}: {}", run.out);
        assert!(run.err.contains(said), "{more:?}: {}", run.err);
    }
}
