//! The keys of the JSON answers, which programs from outside rely on.

use hosewright::check::{CHECKS, abouts};
use serde_json::Value;

use super::{Bench, EXAMPLES, example};

const LINE: &[&str] = &[
    "id",
    "path_mm",
    "assembly_mm",
    "assembly_shortest_mm",
    "assembly_longest_mm",
    "cut_mm",
    "cutoff_a_mm",
    "cutoff_b_mm",
    "slack_percent",
    "tightest_radius_mm",
    "allowed_radius_mm",
    "clock_deg",
    "bore_mm",
    "outside_mm",
    "rated_kpa",
    "derated_kpa",
    "mass_dry_g",
    "volume_ml",
];
const DUTY: &[&str] = &[
    "id",
    "flow_l_min",
    "velocity_m_s",
    "reynolds",
    "friction_factor",
    "drop_kpa",
    "from_kpa_abs",
    "to_kpa_abs",
    "vapour_margin_kpa",
];
const FINDING: &[&str] = &[
    "code", "where", "case", "verdict", "value", "limit", "unit", "source", "standing", "message",
    "do",
];

const MEASURED: &[&str] = &[
    "where",
    "at_mm",
    "drawn_mm",
    "off_mm",
    "tolerance_mm",
    "residuals",
    "mirror_mm",
    "deviation_mm",
    "not_placed",
];
const TAPE: &[&str] = &[
    "from",
    "distance_mm",
    "tolerance_mm",
    "residual_mm",
    "against_others_mm",
    "against_others_most_mm",
];

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

/// Every object has every key, and a key that ends in a unit holds a number or null.
fn assert_keys(objects: &[Value], keys: &[&str]) {
    assert!(!objects.is_empty(), "nothing to look at");
    for object in objects {
        for key in keys {
            let value = object.get(key).unwrap_or_else(|| panic!("{key} is missing in {object}"));
            let measured = ["_mm", "_kpa", "_percent", "_g", "_ml", "_min", "_s", "_abs"];
            if measured.iter().any(|unit| key.ends_with(unit)) {
                assert!(value.is_number() || value.is_null(), "{key} is {value} in {object}");
            }
        }
    }
}

#[test]
fn check_gives_every_key_of_the_contract() {
    let bench = Bench::new();
    let run = bench.run_args(&["check", &example(EXAMPLES[0], "plan.toml"), "--format", "json"]);
    let value = run.json();
    assert_keys(list(&value, "lines"), LINE);
    assert_keys(list(&value, "findings"), FINDING);
    for case in list(&value, "cases") {
        assert!(case["name"].is_string(), "{case}");
        assert_keys(list(case, "lines"), DUTY);
    }
    assert!(list(&value, "cases").len() >= 2);
    assert!(value["version"].is_string() && !list(&value, "tables").is_empty());
    assert!(!list(&value, "cautions").is_empty());
}

#[test]
fn every_finding_has_a_known_code_verdict_and_standing_and_says_something() {
    let bench = Bench::new();
    for folder in EXAMPLES {
        let run = bench.run_args(&["check", &example(folder, "plan.toml"), "--format", "json"]);
        for finding in list(&run.json(), "findings") {
            let word = |key: &str| finding[key].as_str().unwrap_or_default().to_owned();
            assert!(abouts().any(|a| a.code == word("code")), "{finding}");
            assert!(["ok", "caution", "fail", "open"].contains(&word("verdict").as_str()));
            let standing = hosewright::source::Standing::from_word(&word("standing"));
            assert!(standing.is_some(), "{finding}");
            assert!(word("message").len() > 3 && !word("where").is_empty(), "{finding}");
            // Whoever is not told "ok" is told what to do.
            assert!(word("verdict") == "ok" || !word("do").is_empty(), "{finding}");
            let judged = word("verdict") == "fail" && finding["limit"].is_number();
            assert!(!judged || !word("source").is_empty(), "{finding}");
        }
    }
}

#[test]
fn what_is_not_known_is_null_and_never_zero() {
    let bench = Bench::new();
    // A gauge line with a hose of which nothing but the bore is known.
    let text = hosewright::plan::starter::STARTER
        .replace("hose    = \"demo-oil-braid\"    #", "hose = \"mine\" #")
        .replace("size    = \"-6\"\n", "")
        .replace("end_a   = \"demo-flare-straight\"", "end_a = \"demo-flare-straight -6\"")
        .replace("end_b   = \"demo-flare-straight\"", "end_b = \"demo-flare-straight -6\"")
        + "\n[[hose]]\nid = \"mine\"\nbore = \"8 mm\"\nsource = \"measured\"\n";
    bench.write("bare.toml", &text);
    let run = bench.run("check bare.toml --format json");
    assert_eq!(run.status, 0, "{}", run.err);
    let value = run.json();
    let line = &list(&value, "lines")[0];
    for key in ["outside_mm", "rated_kpa", "derated_kpa", "allowed_radius_mm", "mass_dry_g"] {
        assert!(line[key].is_null(), "{key} is {}", line[key]);
    }
    assert!((line["bore_mm"].as_f64().unwrap() - 8.0).abs() < 1e-12);
    let open: Vec<&str> = list(&value, "findings")
        .iter()
        .filter(|f| f["verdict"] == "open")
        .filter_map(|f| f["code"].as_str())
        .collect();
    for code in ["geometry.bend-radius", "rating.working-pressure", "rating.temperature"] {
        assert!(open.contains(&code), "{code} should be open: {open:?}");
    }
}

#[test]
fn every_check_speaks_of_every_line() {
    // A gauge is asked for on gauge lines only.
    let silent = ["fitting.gauge-protection"];
    let bench = Bench::new();
    for folder in EXAMPLES {
        let run = bench.run_args(&["check", &example(folder, "plan.toml"), "--format", "json"]);
        let value = run.json();
        for line in list(&value, "lines") {
            let id = line["id"].as_str().unwrap_or_default();
            for (about, _) in CHECKS.iter().filter(|(a, _)| !silent.contains(&a.code)) {
                let said = list(&value, "findings").iter().any(|f| {
                    let place = f["where"].as_str().unwrap_or_default();
                    f["code"] == about.code && place.split(", ").next() == Some(id)
                });
                assert!(said, "{folder}: {} says nothing of {id}", about.code);
            }
        }
    }
}

#[test]
fn cut_gives_pieces_and_bars_that_add_up() {
    let bench = Bench::new();
    let value = bench.run("cut plan.toml --format json").json();
    assert_keys(list(&value, "pieces"), &["line", "cut_mm"]);
    for stock in list(&value, "stock") {
        assert!(stock["hose"].is_string(), "{stock}");
        for key in ["proven", "bought", "least_bought", "gap", "longest_spare_mm"] {
            assert!(!stock[key].is_null(), "{key} in {stock}");
        }
        assert_keys(list(stock, "bars"), &["length_mm", "cuts", "left_mm"]);
        for bar in list(stock, "bars") {
            let number = |key: &str| bar[key].as_f64().unwrap_or(f64::NAN);
            let cuts: f64 = list(bar, "cuts").iter().filter_map(Value::as_f64).sum();
            // Kerf and squaring take the rest: 3 mm a cut and 10 mm once, by the starter plan.
            let lost = number("length_mm") - cuts - number("left_mm");
            assert!((10.0..=10.0 + 3.0 * 2.0).contains(&lost), "{bar}: {lost} mm are lost");
        }
    }
    let pieces = list(&value, "pieces")[0]["cut_mm"].as_f64();
    assert_eq!(pieces, list(&list(&value, "stock")[0]["bars"][0], "cuts")[0].as_f64());
}

#[test]
fn single_calculations_give_every_key_of_the_contract() {
    let bench = Bench::new();
    let friction = bench.run("quick friction --reynolds 5000 --format json").json();
    assert_keys(&[friction], &["friction_factor", "regime", "method"]);
    let drop = bench.run_args(&[
        "quick",
        "drop",
        "--bore",
        "8 mm",
        "--length",
        "2 m",
        "--flow",
        "3 L/min",
        "--density",
        "998 kg/m3",
        "--viscosity",
        "1 cP",
        "--roughness",
        "1.5 um",
        "--loss-sum",
        "2.5",
        "--format",
        "json",
    ]);
    let keys = ["velocity_m_s", "reynolds", "friction_factor", "drop_kpa"];
    assert_keys(&[drop.json()], &keys);
}

#[test]
fn problems_of_a_plan_are_data_on_standard_output_when_data_is_asked_for() {
    let bench = Bench::new();
    bench.write("bad.toml", "[plan]\nname = 3\n");
    let run = bench.run("check bad.toml --format json");
    assert_eq!(run.status, 2);
    assert_keys(list(&run.json(), "problems"), &["file", "line", "column", "message", "help"]);
    assert!(list(&run.json(), "problems").iter().any(|p| p["line"] == 2 && p["column"] == 8));
}

#[test]
fn measured_places_have_their_points_and_their_tapes() {
    let bench = Bench::new();
    let plan = example("02-river-launch", "corrected.toml");
    let answer = bench.run_args(&["check", &plan, "--format", "json"]).json();
    let [place] = list(&answer, "measured") else { panic!("{}", answer["measured"]) };
    for key in MEASURED {
        assert!(place.get(key).is_some(), "{key} is missing in {place}");
    }
    for key in ["at_mm", "drawn_mm", "mirror_mm", "deviation_mm"] {
        let numbers = list(place, key).iter().filter(|c| c.is_number()).count();
        assert_eq!(numbers, 3, "{key} in {place}");
    }
    assert_eq!(place["where"], "CAL.IN");
    assert_keys(list(place, "residuals"), TAPE);
    // A plan without tapes has the key as well.
    let starter = bench.run("check plan.toml --format json").json();
    assert_eq!(starter["measured"], serde_json::json!([]));
}
