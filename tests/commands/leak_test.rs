//! `test leak`: pressure and vacuum with air, the leak behind two readings, and what comes through it in service.

use serde_json::Value;

use super::{Bench, Run, example, near, number};

fn amphibian(more: &[&str]) -> Run {
    let plan = example("01-amphibian", "corrected.toml");
    Bench::new().run_args(&[&["test", "leak", &plan][..], more].concat())
}

fn measured(reading: &str, more: &[&str]) -> (i32, Value) {
    let base = ["--measured", reading, "--error", "1 mbar", "--format", "json"];
    let run = amphibian(&[&base[..], more].concat());
    assert!(run.status < 2, "{}", run.err);
    (run.status, run.json()["measured"][0].clone())
}

#[test]
fn the_boat_rule_gives_three_psi_and_five_minutes() {
    let report = amphibian(&["--format", "json"]).json();
    let lines = report["lines"].as_array().map(Vec::as_slice).unwrap_or_default();
    let one = lines.iter().find(|l| l["id"] == "F1").cloned().unwrap_or_default();
    near("pressure", &one["pressure_bar"], 0.206_843, 1e-5);
    near("wait", &one["wait_s"], 300.0, 1e-12);
    assert!(number(&one["vacuum"]["below_air_bar"]) > 0.0);
    // No gas beyond half a bar, whatever the line works at.
    let most = lines.iter().filter_map(|l| l["pressure_bar"].as_f64()).fold(0.0, f64::max);
    assert!(most <= number(&report["gas_most_bar"]), "{most}");
    let words = amphibian(&[]).words();
    for said in ["not a test of strength", "never above 50 kPa", "soap every joint"] {
        assert!(words.contains(said), "{said}: {words}");
    }
}

#[test]
fn what_the_temperature_does_is_no_leak() {
    // (0.2 + 1.01325) x 294.15/291.15 bar absolute.
    let (status, found) = measured("F1=0.2 bar to 0.2125 bar in 10 min, 18 degC to 21 degC", &[]);
    near("tight", &found["tight_bar"], 1.213_25 * 294.15 / 291.15 - 1.013_25, 1e-9);
    assert_eq!((status, &found["verdict"]), (0, &Value::from("ok")));
    assert!(found["hole"].is_null() && found["could_be"].is_object());
    let (_, rose) = measured("F1=0.2 bar to 0.23 bar in 10 min, 18 degC to 21 degC", &[]);
    assert_eq!(rose["verdict"], "caution");
}

#[test]
fn a_leak_is_a_rate_a_hole_and_a_share_of_the_flow() {
    let (status, found) = measured("F1=0.2 bar to 0.19 bar in 10 min, 20 degC to 20 degC", &[]);
    assert_eq!((status, &found["verdict"]), (1, &Value::from("fail")));
    let volume = number(&found["volume_ml"]) * 1e-6;
    let rate = 1000.0 * volume / 600.0;
    near("rate", &found["leak_pa_m3_s"], rate, 1e-9);
    near("in mL/min", &found["leak_ml_min"], rate / 101_325.0 * 6e7, 1e-9);
    // A sharp hole of 0.6: at so small a difference air flows like a liquid as dense as it is outside, within a per cent.
    let density = 101_325.0 / (287.05 * 293.15);
    let mass = rate / (287.05 * 293.15);
    let jet = mass / (2.0 * density * 19_500.0_f64).sqrt();
    near("jet", &found["hole"]["jet_mm2"], jet * 1e6, 0.02);
    near(
        "hole",
        &found["hole"]["hole_mm"],
        1e3 * (4.0 * jet / (0.6 * std::f64::consts::PI)).sqrt(),
        0.03,
    );
    let service = found["in_service"].as_array().map(Vec::as_slice).unwrap_or_default();
    let air = service.iter().find(|s| s["air_percent_hole_passage"].is_array());
    let air = air.unwrap_or_else(|| panic!("{found:#}"));
    assert!(number(&air["air_percent_hole_passage"][0]) > 0.0);
    let words =
        amphibian(&["--measured", "F1=0.2 bar to 0.19 bar in 10 min, 20 degC to 20 degC"]).words();
    assert!(
        words.contains("fail: it leaks") && words.contains("across with a sharp edge"),
        "{words}"
    );
}

/// What two readings of a coolant hose say, with its plan changed.
fn coolant(change: &str, reading: &str) -> Value {
    let bench = Bench::new();
    let text =
        std::fs::read_to_string(example("01-amphibian", "corrected.toml")).unwrap_or_default();
    let id = "id      = \"C1\"";
    assert!(text.contains(id));
    bench.write("plan.toml", &text.replace(id, &format!("{id}\n{change}")));
    let run = bench.run_args(&[
        "test",
        "leak",
        "plan.toml",
        "--measured",
        reading,
        "--error",
        "0.01 mbar",
        "--format",
        "json",
    ]);
    assert!(run.status < 2, "{}", run.err);
    run.json()["measured"][0].clone()
}

#[test]
fn a_small_leak_is_told_in_drops_and_fails_for_fuel_alone() {
    let small = "C1=0.2 bar to 0.19996 bar in 60 min, 20 degC to 20 degC";
    let large = "C1=0.2 bar to 0.19 bar in 10 min, 20 degC to 20 degC";
    let found = coolant("", small);
    assert!(number(&found["leak_low_pa_m3_s"]) > 0.0, "{found:#}");
    // AL0907, page 54: a drop an hour; twenty drops to the millilitre.
    near("allowed", &found["lost"]["allowed_ml_h"], 0.05, 1e-12);
    let out = number(&found["lost"]["out_ml_h"]);
    near("drops", &found["lost"]["drops_h"], out / 0.05, 1e-9);
    assert_eq!(found["verdict"], if out <= 0.05 { "caution" } else { "fail" });
    assert!(number(&coolant("", large)["lost"]["out_ml_h"]) > 1.0);
    assert_eq!(coolant("", large)["verdict"], "fail");
    // What the maker allows goes before the drop, either way.
    assert_eq!(coolant("leak_allowed = \"10 L/h\"", large)["verdict"], "ok");
    assert_eq!(coolant("leak_allowed = \"0 mL/h\"", small)["verdict"], "fail");
    // Fuel may not leak at all.
    let (_, fuel) = measured("F1=0.2 bar to 0.1985 bar in 60 min, 20 degC to 20 degC", &[]);
    assert!(number(&fuel["leak_low_pa_m3_s"]) <= 0.0 || fuel["verdict"] == "fail", "{fuel:#}");
}

#[test]
fn a_vacuum_that_comes_up_is_a_leak_inwards_and_the_rig_counts_as_room() {
    let reading = "F1=-0.2 bar to -0.19 bar in 10 min, 20 degC to 20 degC";
    let (_, found) = measured(reading, &[]);
    assert!(number(&found["leak_pa_m3_s"]) > 0.0 && found["verdict"] == "fail");
    let (_, with_rig) = measured(reading, &["--rig", "100 mL"]);
    let larger = 1.0 + 100.0 / number(&found["volume_ml"]);
    near("rig", &with_rig["leak_pa_m3_s"], larger * number(&found["leak_pa_m3_s"]), 1e-9);
    // Two lines that were closed together are one room.
    let (_, both) = measured(&reading.replace("F1=", "F1 F3="), &[]);
    assert!(number(&both["volume_ml"]) > number(&found["volume_ml"]));
}

#[test]
fn gas_beyond_the_limit_fails_and_a_short_wait_does_not_pass() {
    let (status, over) = measured("F1=2 bar to 2 bar in 10 min, 20 degC to 20 degC", &[]);
    assert_eq!((status, &over["verdict"]), (1, &Value::from("fail")));
    near("limit", &over["over_bar"], 0.5, 1e-12);
    let (_, short) = measured("F1=0.2 bar to 0.2 bar in 1 min, 20 degC to 20 degC", &[]);
    assert_eq!(short["verdict"], "caution");
    near("wait", &short["wait_at_least_s"], 300.0, 1e-12);
}

#[test]
fn a_hose_beyond_its_rating_is_left_to_others() {
    let plan = example("02-river-launch", "plan.toml");
    let run = Bench::new().run_args(&["test", "leak", &plan, "--format", "json"]);
    assert_eq!(run.status, 1);
    let report = run.json();
    let lines = report["lines"].as_array().map(Vec::as_slice).unwrap_or_default();
    let stopped: Vec<&Value> = lines
        .iter()
        .filter(|l| l["left_to_others"].as_array().is_some_and(|d| !d.is_empty()))
        .collect();
    assert_eq!(stopped.len(), 1, "{stopped:#?}");
    assert_eq!(stopped[0]["id"], "K4");
    assert_eq!(stopped[0]["left_to_others"][0]["what"], "beyond-temperature");
}

#[test]
fn what_cannot_be_read_so_is_refused() {
    for (more, said) in [
        (&["--measured", "F1=0.2 bar"][..], "is not LINES="),
        (&["--measured", "=0.2 bar to 0.2 bar in 10 min, 20 degC to 20 degC"], "names no line"),
        (
            &["--measured", "F1=0.2 bar to 0.2 bar in 0 min, 20 degC to 20 degC"],
            "greater than zero",
        ),
        (&["--measured", "F1=0.2 bar to -2 bar in 9 min, 20 degC to 20 degC"], "absolute pressure"),
        (
            &[
                "--measured",
                "F1=0.2 bar to 0.2 bar in 9 min, 20 degC to 20 degC",
                "--error=-1 mbar",
            ],
            "--error",
        ),
        (&["--temperature", "hot"], "--temperature"),
        (&["--air", "1 m"], "--air"),
        (&["--rig", "1 L"], "--measured"),
    ] {
        let run = amphibian(more);
        assert_eq!(run.status, 2, "{more:?}: {}", run.out);
        assert!(run.err.contains(said), "{more:?}: {}", run.err);
    }
}
