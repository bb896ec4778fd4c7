//! The planted faults of the examples, by name and through the command line, and their repairs.

use serde_json::Value;

use crate::commands::Bench;
use crate::house::{read, root};

/// What a check of an example says, with texts replaced.
fn check(example: &str, file: &str, changes: &[(&str, &str)]) -> Value {
    let mut text = read(&format!("examples/{example}/{file}"));
    for (before, behind) in changes {
        assert!(text.contains(before), "{example} does not say {before}");
        text = text.replace(before, behind);
    }
    let bench = Bench::new();
    bench.write("plan.toml", &text);
    let run = bench.run("check plan.toml --format json");
    assert!(run.status < 2, "{}", run.err);
    run.json()
}

/// The findings of a code at a place that are not ok.
fn against(answer: &Value, code: &str, place: &str) -> Vec<Value> {
    let all = answer["findings"].as_array().cloned().unwrap_or_default();
    let of = |f: &Value| {
        let here =
            f["where"].as_str().is_some_and(|w| w == place || w.starts_with(&format!("{place}, ")));
        f["code"] == code && here && f["verdict"] != "ok"
    };
    all.into_iter().filter(of).collect()
}

fn message(finding: &Value) -> &str {
    finding["message"].as_str().unwrap_or_default()
}

const A: &str = "01-amphibian";
const B: &str = "02-river-launch";
const C: &str = "03-press";

#[test]
fn the_selector_of_the_amphibian_is_a_crest_over_both_tanks_and_the_filter() {
    let plan = check(A, "plan.toml", &[]);
    let found = against(&plan, "connection.air-trap", "SEL.L");
    assert_eq!(found.len(), 1, "{found:?}");
    for name in ["F1", "F2", "F3", "SEL"] {
        assert!(message(&found[0]).contains(name), "{found:?}");
    }
    // When level the pumps at 200 mm take what comes to them: 420 mm stand 220 mm over that.
    let pockets = plan["pockets"].as_array().cloned().unwrap_or_default();
    let level = pockets.iter().find(|p| p["at"] == "SEL.L" && p["case"] == "cruise, sea level");
    let rise = level.and_then(|p| p["rise_mm"].as_f64()).unwrap_or(0.0);
    assert!((rise - 220.0).abs() < 1e-6, "{level:?}");
    let corrected = check(A, "corrected.toml", &[]);
    assert!(against(&corrected, "connection.air-trap", "SEL.L").is_empty());
    let pockets = corrected["pockets"].as_array().cloned().unwrap_or_default();
    let bled =
        pockets.iter().find(|p| p["at"] == "SEL, path left" && p["case"] == "cruise, sea level");
    assert!(bled.is_some_and(|p| p["relief"].is_array()), "{bled:?}");
}

#[test]
fn the_hot_coolant_line_holds_air_in_the_climb_only() {
    let plan = check(A, "plan.toml", &[]);
    let found = against(&plan, "geometry.high-point", "C1");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0]["case"], "climb, 3000 m, hot");
    assert!(message(&found[0]).contains("nose up it is one from 0.0 degrees on"), "{found:?}");
    let corrected = check(A, "corrected.toml", &[]);
    assert!(against(&corrected, "geometry.high-point", "C1").is_empty());
}

#[test]
fn the_fuel_return_sags_without_a_drain() {
    let plan = check(A, "plan.toml", &[]);
    let found = against(&plan, "geometry.low-point", "F8");
    assert_eq!(found.len(), 2, "{found:?}");
    // It is not said a second time of the joined lines.
    let twice = plan["findings"].as_array().cloned().unwrap_or_default();
    let twice = twice.iter().filter(|f| f["code"] == "connection.drain" && f["verdict"] != "ok");
    assert!(twice.clone().all(|f| !message(f).contains("F8")), "{:?}", twice.collect::<Vec<_>>());
    let corrected = check(A, "corrected.toml", &[]);
    assert!(against(&corrected, "geometry.low-point", "F8").is_empty());
}

#[test]
fn the_overflow_crests_under_the_neck_of_the_expansion_tank() {
    let plan = check(A, "plan.toml", &[]);
    let found = against(&plan, "connection.siphon", "C9");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(message(&found[0]).contains("under XT.NECK"), "{found:?}");
    assert!(message(&found[0]).contains("CAP holds it shut"), "{found:?}");
    let corrected = check(A, "corrected.toml", &[]);
    assert!(against(&corrected, "connection.siphon", "C9").is_empty());
}

#[test]
fn the_launch_has_water_before_its_separator_and_air_in_two_bends() {
    let plan = check(B, "plan.toml", &[]);
    let low = against(&plan, "geometry.low-point", "D1");
    assert!(low.iter().any(|f| message(f).contains("near clip 6")), "{low:?}");
    let hump = against(&plan, "geometry.high-point", "K1");
    assert_eq!(hump.len(), 1, "{hump:?}");
    let trimmed = against(&plan, "geometry.high-point", "W3");
    assert_eq!(trimmed.len(), 1, "{trimmed:?}");
    assert!(message(&trimmed[0]).contains("nose up it is one from"), "{trimmed:?}");
    let corrected = check(B, "corrected.toml", &[]);
    for (code, line) in
        [("geometry.low-point", "D1"), ("geometry.high-point", "K1"), ("geometry.high-point", "W3")]
    {
        assert!(against(&corrected, code, line).is_empty(), "{line}");
    }
}

#[test]
fn the_exhaust_riser_is_held_against_the_waterline_in_every_heel() {
    let way = |answer: &Value| {
        let all = answer["findings"].as_array().cloned().unwrap_or_default();
        all.into_iter()
            .find(|f| f["code"] == "connection.siphon" && f["where"] == "TRANSOM.OUT to WL.OUT")
    };
    let sound = way(&check(B, "plan.toml", &[])).unwrap_or_default();
    assert_eq!(sound["verdict"], "ok");
    assert!(message(&sound).contains("on X2"), "{sound}");
    assert!((sound["value"].as_f64().unwrap_or(0.0) - 390.9).abs() < 0.1, "{sound}");
    let high = [("waterline         = [3800, 0, 420]", "waterline         = [3800, 0, 740]")];
    let low = way(&check(B, "plan.toml", &high)).unwrap_or_default();
    assert_eq!(low["verdict"], "caution", "{low}");
    let lower = [("waterline         = [3800, 0, 420]", "waterline         = [3800, 0, 850]")];
    let under = way(&check(B, "plan.toml", &lower)).unwrap_or_default();
    assert_eq!(under["verdict"], "fail", "{under}");
}

#[test]
fn the_cylinder_of_the_press_holds_air_at_its_upper_port() {
    let plan = check(C, "plan.toml", &[]);
    let found = against(&plan, "connection.air-trap", "CYL.CAP");
    assert_eq!(found.len(), 1, "{found:?}");
    let corrected = check(C, "corrected.toml", &[]);
    assert!(against(&corrected, "connection.air-trap", "CYL.CAP").is_empty());
}

#[test]
fn every_corrected_example_passes_and_no_place_is_told_twice() {
    let bench = Bench::new();
    for example in [A, B, C] {
        let corrected = root().join("examples").join(example).join("corrected.toml");
        let path = corrected.to_string_lossy().into_owned();
        assert_eq!(bench.run_args(&["check", &path]).status, 0, "{example}");
        for file in ["plan.toml", "corrected.toml"] {
            let answer = check(example, file, &[]);
            let all = answer["findings"].as_array().cloned().unwrap_or_default();
            let codes = [
                "geometry.high-point",
                "geometry.low-point",
                "connection.air-trap",
                "connection.drain",
                "connection.vent-low-point",
            ];
            let of = |f: &&Value| codes.iter().any(|c| f["code"] == *c) && f["verdict"] != "ok";
            let mut places: Vec<(bool, String)> = all
                .iter()
                .filter(of)
                .map(|f| {
                    let air =
                        f["code"].as_str().is_some_and(|c| c.contains("high") || c.contains("air"));
                    (air, f["where"].as_str().unwrap_or_default().to_owned())
                })
                .collect();
            let before = places.len();
            places.sort();
            places.dedup();
            assert_eq!(places.len(), before, "{example} {file}");
        }
    }
}

#[test]
fn bleeds_come_in_the_order_in_which_the_liquid_reaches_them() {
    let plan = check(B, "plan.toml", &[]);
    let order = plan["bleed_order"].as_array().cloned().unwrap_or_default();
    let of = |system: &str| -> Vec<f64> {
        let own = order.iter().filter(|b| b["system"] == system);
        own.filter_map(|b| b["height_mm"].as_f64()).collect()
    };
    let coolant = of("coolant");
    assert!(coolant.len() >= 3, "{order:?}");
    assert!(coolant.windows(2).all(|pair| pair[0] <= pair[1]), "{coolant:?}");
    let missing =
        |b: &&Value| b["fitted"] == false && b["at"].as_str().is_some_and(|a| a.starts_with("K1"));
    assert!(order.iter().any(|b| missing(&b)), "{order:?}");
    let drains = plan["drains"].as_array().cloned().unwrap_or_default();
    let winter = drains.iter().find(|d| d["at"].as_str().is_some_and(|a| a.starts_with("K2")));
    let lines = winter.and_then(|d| d["lines"].as_array()).cloned().unwrap_or_default();
    assert!(["K1", "K2", "K3"].iter().all(|l| lines.contains(&Value::from(*l))), "{winter:?}");
}
