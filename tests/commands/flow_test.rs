//! `test flow`: the time for a can, the flow to expect, and what a measured time means.

use serde_json::Value;

use super::sizes::suction;
use super::{Bench, example, number};

/// Fuel that falls one metre through a filter of 5 kPa per L/min; hose and tank resist next to nothing.
pub const BY_HEIGHT: &str = r#"
[plan]
name        = "Gravity bench"
length_unit = "mm"
axes        = { x = "aft", y = "right", z = "up" }
rules       = ["23.955b", "23.955c"]

[[fluid]]
id        = "petrol"
use       = "fuel"
class     = "E10"
flammable = true
source    = "given figures"
points    = [
  { temperature = "0 degC",  density = "740 kg/m3", viscosity = "0.444 cP", vapour = "13.2 kPa abs" },
  { temperature = "40 degC", density = "740 kg/m3", viscosity = "0.444 cP", vapour = "65 kPa abs" },
]

[[hose]]
id          = "wide"
bore        = "16 mm"
outside     = "24 mm"
bend_radius = "40 mm"
surface     = "smooth rubber hose"
source      = "invented for this bench"

[[component]]
id       = "T"
kind     = "tank"
surface  = [0, 0, 1500]
pressure = "0 bar"
capacity = "40 L"
ports.OUT = { at = [0, 0, 1000], faces = [1, 0, 0], end = { family = "spigot", outside = "16 mm", insertion = "26 mm", bead = true, bore = "13 mm" } }
state = [
  { name = "full" },
  { name = "low", surface = [0, 0, 1100] },
]

[[component]]
id   = "F"
kind = "filter"
ports.IN  = { at = [400, 0, 1000], faces = [-1, 0, 0], end = { family = "spigot", outside = "16 mm", insertion = "26 mm", bead = true, bore = "13 mm" } }
ports.OUT = { at = [400, 0, 100],  faces = [1, 0, 0],  end = { family = "spigot", outside = "16 mm", insertion = "26 mm", bead = true, bore = "13 mm" } }
path = [{ from = "IN", to = "OUT", drop = "5 kPa", at_flow = "1 L/min", law = "linear" }]

[[component]]
id   = "CARB"
kind = "engine"
ports.IN = { at = [400, 0, 100], faces = [-1, 0, 0], end = { family = "spigot", outside = "16 mm", insertion = "26 mm", bead = true, bore = "13 mm" } }
need = { port = "IN", flow = "30 L/h", pressure = "0 bar" }

[[line]]
id      = "G1"
system  = "fuel"
fluid   = "petrol"
service = "gravity"
from    = "T.OUT"
to      = "F.IN"
hose    = "wide"
slack   = "6 %"

[[join]]
ports = ["F.OUT", "CARB.IN"]

[[case]]
name     = "level"
altitude = "0 m"
fluids   = { petrol = "20 degC" }
"#;

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn near(what: &str, found: &Value, expected: f64, within: f64) {
    let found = number(found);
    assert!((found - expected).abs() <= within, "{what}: {found}, expected {expected}");
}

/// A place where the resistance could hide, by what it is.
fn place<'v>(measured: &'v Value, what: &str) -> &'v Value {
    let found = list(measured, "places").iter().find(|p| p["what"] == what);
    found.unwrap_or_else(|| panic!("no place {what} in {measured:#}"))
}

#[test]
fn the_story_allows_106_7_s_a_litre_and_404_s_a_gallon_at_either_pump_alone() {
    let report = suction(&[]).run("test flow plan.toml --format json").json();
    near("steepest attitude", &report["nose_up_deg"], 12.0, 1e-9);
    let names: Vec<&Value> = list(&report, "tests").iter().map(|t| &t["name"]).collect();
    assert_eq!(names, ["PA only, from TR", "PB only, from TR"]);
    for test in list(&report, "tests") {
        let must = &test["must_come"][0];
        // 1.25 x 27 L/h = 33.75 L/h.
        near("flow", &must["flow_l_min"], 33.75 / 60.0, 1e-12);
        near("litre", &must["seconds"][0], 106.7, 0.05);
        near("gallon", &must["seconds"][1], 404.0, 0.5);
        near("expected", &test["expected_l_min"], 2.0, 1e-6);
        near("kept", &test["kept_kpa"], 300.0, 1e-9);
        assert_eq!(test["rule_chosen"], true);
    }
    let words = suction(&[]).run("test flow plan.toml").words();
    for said in [
        "1 L in at most 106.7 s, 1 gal(US) in at most 404 s",
        "set: PA on, PB dead",
        "keeps 3 bar there",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let open = suction(&[]).run("test flow plan.toml --open").words();
    assert!(open.contains("open the line at RAIL.OUT") && open.contains("0 bar there"), "{open}");
}

#[test]
fn a_measured_time_is_judged_with_the_error_of_the_watch() {
    let bench = suction(&[]);
    let judged = |time: &str| {
        let measured = format!("PA={time}");
        let args = ["test", "flow", "plan.toml", "--measured", &measured, "--error", "2 s"];
        let run = bench.run_args(&[&args[..], &["--format", "json"]].concat());
        let report = run.json();
        let verdict = list(&report, "tests")[0]["measured"]["verdicts"][0].clone();
        assert!(list(&report, "tests")[1]["measured"].is_null());
        (run.status, verdict.as_str().unwrap_or_default().to_owned())
    };
    assert_eq!(judged("90 s"), (0, "ok".into()));
    assert_eq!(judged("106 s"), (0, "caution".into()));
    assert_eq!(judged("130 s"), (1, "fail".into()));
}

#[test]
fn a_displacement_pump_that_gives_too_little_is_worn_or_starved() {
    let bench = suction(&[]);
    let args = ["test", "flow", "plan.toml", "--measured", "PA=130 s", "--error", "2 s"];
    let report = bench.run_args(&[&args[..], &["--format", "json"]].concat()).json();
    let measured = &list(&report, "tests")[0]["measured"];
    near("flow", &measured["flow_l_min"], 60.0 / 130.0, 1e-9);
    assert_eq!(measured["displacement_pump"], true);
    // Of 2 L/min.
    near("pump", &place(measured, "PA")["flow_percent"], 100.0 * 30.0 / 130.0, 1e-3);
    // What the filter takes at that flow, 2.5 kPa per L/min, and what is left till the fuel boils.
    let filter = place(measured, "FF IN-OUT");
    near("filter", &filter["planned_kpa"], 2.5 * 60.0 / 130.0, 1e-3);
    let before = number(&measured["before_pump_kpa"]);
    let times = 1.0 + before / (2.5 * 60.0 / 130.0);
    near("times", &filter["times"], times, 1e-2);
    near("blocked", &filter["blocked_percent"], 100.0 * (1.0 - 1.0 / times), 1e-2);
    let words = bench.run_args(&args).words();
    for said in ["fail: it is less than 33.8 L/h", "next:", "open the filler of TR", "Fuel:"] {
        assert!(words.contains(said), "{said}: {words}");
    }
}

#[test]
fn an_opened_line_behind_a_displacement_pump_can_be_throttled_till_its_regulator_lets_go() {
    let args =
        ["test", "flow", "plan.toml", "--open", "--measured", "PA=130 s", "--format", "json"];
    let report = suction(&[]).run_args(&args).json();
    let measured = &list(&report, "tests")[0]["measured"];
    // The regulator holds 3 bar, at the height of the measuring end.
    near("behind", &measured["behind_pump_kpa"], 300.0, 0.5);
}

#[test]
fn fuel_that_falls_by_height_needs_half_as_much_again_and_the_lack_is_found_in_the_filter() {
    let bench = Bench::new();
    bench.write("plan.toml", BY_HEIGHT);
    let args = ["test", "flow", "plan.toml", "--measured", "T=90 s", "--format", "json"];
    let report = bench.run_args(&args).json();
    let test = &list(&report, "tests")[0];
    assert_eq!(list(&report, "tests").len(), 1);
    assert_eq!(test["name"], "by height, from T");
    assert_eq!(test["set"][0]["state"], "low");
    let must = list(test, "must_come");
    assert_eq!(must.len(), 1, "the rule for pumps does not speak of this feed");
    near("must", &must[0]["flow_l_min"], 0.75, 1e-12);
    // 1 m of 740 kg/m3 drives it: 7.257 kPa, all but a few Pa of it over the filter.
    let head = 740.0 * 9.806_65 * 1e-3;
    near("expected", &test["expected_l_min"], head / 5.0, 0.01);
    let measured = &test["measured"];
    let flow = 60.0 / 90.0;
    near("extra", &measured["extra_kpa"], head - 5.0 * flow, 0.02);
    let filter = place(measured, "F IN-OUT");
    near("blocked", &filter["blocked_percent"], 100.0 * (1.0 - 5.0 * flow / head), 0.2);
    let bore = number(&place(measured, "G1")["bore_mm"]);
    assert!(bore > 1.0 && bore < 8.0, "{bore} mm");
    // The least change comes first, and a vent that nothing is planned for comes last.
    assert_eq!(list(measured, "places")[0]["what"], "F IN-OUT");
    assert_eq!(list(measured, "places").last().map(|p| &p["kind"]), Some(&"vent".into()));
}

#[test]
fn a_bore_that_would_explain_the_flow_does_explain_it() {
    let bench = Bench::new();
    bench.write("plan.toml", BY_HEIGHT);
    let args = ["test", "flow", "plan.toml", "--measured", "T=90 s", "--format", "json"];
    let report = bench.run_args(&args).json();
    let bore = number(&place(&list(&report, "tests")[0]["measured"], "G1")["bore_mm"]);
    let narrow =
        BY_HEIGHT.replace("bore        = \"16 mm\"", &format!("bore        = \"{bore} mm\""));
    bench.write("narrow.toml", &narrow);
    let report = bench.run("test flow narrow.toml --format json").json();
    near("flow", &list(&report, "tests")[0]["expected_l_min"], 60.0 / 90.0, 0.01);
}

#[test]
fn without_a_rule_only_what_is_used_must_come_and_it_is_said() {
    let bench = Bench::new();
    bench.write("plan.toml", &BY_HEIGHT.replace("rules       = [\"23.955b\", \"23.955c\"]\n", ""));
    let run = bench.run("test flow plan.toml --can 5L");
    assert!(run.words().contains("the plan chooses no rule"), "{}", run.out);
    assert!(run.words().contains("5 L in at most 600 s"), "{}", run.out);
    let none = Bench::new().run("test flow plan.toml").words();
    assert!(none.contains("there is nothing to test"), "{none}");
}

#[test]
fn every_pump_alone_with_every_tank_that_feeds_it() {
    let bench = Bench::new();
    let plan = example("01-amphibian", "corrected.toml");
    let report = bench.run_args(&["test", "flow", &plan, "--format", "json"]).json();
    let names: Vec<&str> =
        list(&report, "tests").iter().filter_map(|t| t["name"].as_str()).collect();
    let expected = ["P1 only, from TL", "P1 only, from TR", "P2 only, from TL", "P2 only, from TR"];
    assert_eq!(names, expected);
    // The name of a pump alone could mean either tank.
    let two = bench.run_args(&["test", "flow", &plan, "--measured", "P1=60 s"]);
    assert_eq!(two.status, 2);
    assert!(two.err.contains("several") && two.err.contains("P1 only, from TR"), "{}", two.err);
    let one =
        bench.run_args(&["test", "flow", &plan, "--measured", "P1 TR=60 s", "--format", "json"]);
    assert!(list(&one.json(), "tests")[1]["measured"].is_object(), "{}", one.err);
}

#[test]
fn what_cannot_be_asked_is_refused() {
    let bench = suction(&[]);
    for (more, said) in [
        (&["--measured", "PX=60 s"][..], "no flow test is named \"PX\""),
        (&["--measured", "PA"], "is not TEST=TIME"),
        (&["--measured", "PA=0 s"], "greater than zero"),
        (&["--measured", "PA=1 s", "--error", "2 s"], "less its error"),
        (&["--can", "0 L"], "greater than zero"),
        (&["--can", "1 m"], "--can"),
        (&["--nose-up", "100 deg"], "quarter turn"),
        (&["--temperature", "hot"], "--temperature"),
        (&["--error", "2 s"], "--measured"),
    ] {
        let run = bench.run_args(&[&["test", "flow", "plan.toml"][..], more].concat());
        assert_eq!(run.status, 2, "{more:?}: {}", run.out);
        assert!(run.err.contains(said), "{more:?}: {}", run.err);
    }
}

#[test]
fn a_fluid_outside_its_figures_is_no_number() {
    let run = suction(&[]).run_args(&["test", "flow", "plan.toml", "--temperature", "90 degC"]);
    assert!(run.words().contains("nothing to expect can be computed"), "{}", run.out);
}
