//! `fill` and `mass`: a cooler over its tank worked out by hand, what is not known, what is refused.

use core::f64::consts::PI;

use serde_json::Value;

use super::{Bench, EXAMPLES, example, number};

/// A tank, a column of 1000 mm up to a cooler, and one of 700 mm back: bores of 10 mm, all straight.
const PLAN: &str = r#"
[plan]
name        = "cooler <over> a tank"
length_unit = "mm"
axes        = { x = "aft", y = "right", z = "up" }

[[fluid]]
id        = "oil"
use       = "hydraulic oil"
class     = "mineral oil"
flammable = false
source    = "given for this trial"
points    = [
  { temperature = "0 degC",  density = "900 kg/m3", viscosity = "50 cP" },
  { temperature = "20 degC", density = "880 kg/m3", viscosity = "30 cP" },
  { temperature = "80 degC", density = "840 kg/m3", viscosity = "8 cP" },
]

[[hose]]
id          = "plain"
bore        = "10 mm"
outside     = "16 mm"
bend_radius = "40 mm"
mass        = "0.2 kg/m"
source      = "given for this trial"

[[case]]
name     = "cold"
altitude = "0 m"
fluids   = { oil = "20 degC" }
warm     = false

[[component]]
id       = "T"
kind     = "tank"
mass     = "2 kg"
centre   = [100, 0, 150]
surface  = [100, 0, 200]
pressure = "0 bar"
capacity = "2 L"
volume   = "1.5 L"
ports.OUT = { at = [0, 0, 0], faces = [0, 0, 1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }
ports.RET = { at = [200, 0, 300], faces = [0, 0, 1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }

[[component]]
id    = "C"
kind  = "exchanger"
ports.IN  = { at = [0, 0, 1000], faces = [0, 0, -1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }
ports.OUT = { at = [200, 0, 1000], faces = [0, 0, -1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }
path = [{ name = "oil", from = "IN", to = "OUT", free = true, volume = "0.5 L" }]

[[line]]
id      = "A"
system  = "oil"
fluid   = "oil"
service = "pressure"
from    = "T.OUT"
to      = "C.IN"
hose    = "plain"
slack   = "0 %"

[[line]]
id      = "B"
system  = "oil"
fluid   = "oil"
service = "return"
from    = "C.OUT"
to      = "T.RET"
hose    = "plain"
slack   = "0 %"
"#;

/// Litres in a millimetre of the bore.
const BORE_L: f64 = 0.25 * PI * 100.0 * 1e-6;

fn bench(exchanges: &[(&str, &str)]) -> Bench {
    let bench = Bench::new();
    let mut plan = PLAN.to_owned();
    for (old, new) in exchanges {
        assert!(plan.contains(old), "{old}");
        plan = plan.replace(old, new);
    }
    bench.write("plan.toml", &plan);
    bench
}

fn near(value: &Value, expected: f64) {
    let found = number(value);
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} {expected}");
}

fn system(bench: &Bench, more: &str) -> Value {
    let run = bench.run(&format!("fill plan.toml --format json{more}"));
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    let value = run.json();
    assert_eq!(value["systems"].as_array().map(Vec::len), Some(1), "{value:#}");
    value["systems"][0].clone()
}

#[test]
fn charge_gain_and_what_runs_back_are_those_worked_out_by_hand() {
    let hot = (
        "fluids   = { oil = \"20 degC\" }\nwarm     = false",
        "fluids   = { oil = \"20 degC\" }\nwarm     = false\n\n[[case]]\nname = \"hot\"\naltitude = \"0 m\"\nfluids = { oil = \"80 degC\" }\nwarm = false",
    );
    let of = system(&bench(&[hot]), "");
    let charge = 1.5 + 0.5 + 1700.0 * BORE_L;
    near(&of["charge_l"], charge);
    assert_eq!((of["at_least"].as_bool(), of["fill_at"].as_str()), (Some(false), Some("T")));
    near(&of["gain_l"], charge * (880.0 / 840.0 - 1.0));
    near(&of["room_l"], 0.5);
    near(&of["overflow_l"], 0.0);
    let back = &of["tanks"][0]["drain_back"];
    let runs = 0.5 + (800.0 + 700.0) * BORE_L;
    near(&back["runs_l"], runs);
    near(&back["stays_l"], 0.0);
    near(&back["spilled_l"], runs - 0.5);
}

#[test]
fn a_check_valve_in_the_feed_holds_what_stands_over_it() {
    let valve = r#"
[[component]]
id    = "V"
kind  = "valve"
holds = "0 L"
ports.IN  = { at = [0, 0, 400], faces = [0, 0, -1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }
ports.OUT = { at = [0, 0, 500], faces = [0, 0, 1], end = { family = "spigot", outside = "10 mm", insertion = "20 mm" } }
path = [{ name = "up", from = "IN", to = "OUT", free = true, one_way = true }]

[[line]]
id      = "A2"
system  = "oil"
fluid   = "oil"
service = "pressure"
from    = "V.OUT"
to      = "C.IN"
hose    = "plain"
slack   = "0 %"

[[line]]
id      = "B""#;
    let feed = ("to      = \"C.IN\"", "to      = \"V.IN\"");
    let plan = PLAN.replacen(feed.0, feed.1, 1).replacen("\n[[line]]\nid      = \"B\"", valve, 1);
    let bench = Bench::new();
    bench.write("plan.toml", &plan);
    let of = system(&bench, "");
    let back = &of["tanks"][0]["drain_back"];
    // From the surface to the valve, the cooler, and all of the return.
    near(&back["runs_l"], 0.5 + (200.0 + 700.0) * BORE_L);
    near(&back["stays_l"], 500.0 * BORE_L);
    assert_eq!(of["at_least"], false, "{of:#}");
}

#[test]
fn what_a_component_holds_is_never_made_up() {
    let open = bench(&[(", volume = \"0.5 L\"", "")]);
    let of = system(&open, "");
    assert_eq!(of["at_least"], true);
    assert_eq!(of["not_known"], serde_json::json!(["C"]));
    assert!(of["components"][0]["volume_l"].is_null(), "{of:#}");
    near(&of["charge_l"], 1.5 + 1700.0 * BORE_L);
    assert!(open.run("fill plan.toml").words().contains("Charge: open, at least"));
    let held = bench(&[
        (", volume = \"0.5 L\"", ""),
        ("kind  = \"exchanger\"", "kind  = \"exchanger\"\nholds = \"0.5 L\""),
    ]);
    near(&system(&held, "")["charge_l"], 2.0 + 1700.0 * BORE_L);
}

#[test]
fn poured_against_predicted_is_air_within_its_error() {
    let bench = bench(&[("volume = \"0.5 L\"", "volume = \"0.5 L ± 0.02 L\"")]);
    let poured = |text: &str| {
        let args = ["fill", "plan.toml", "--format", "json", "--poured", text];
        let run = bench.run_args(&args);
        assert_eq!(run.status, 0, "{}", run.err);
        run.json()["systems"][0]["poured"].clone()
    };
    let charge = 2.0 + 1700.0 * BORE_L;
    let air = poured("oil=1.9 L ± 0.05 L");
    assert_eq!(air["outcome"], "air");
    near(&air["missing_l"], charge - 1.9);
    near(&air["predicted_error_l"], 0.02);
    near(&air["error_l"], 0.07);
    assert_eq!(poured("oil=2.1 L ± 0.05 L")["outcome"], "within the errors");
    assert_eq!(poured("oil=2.4 L")["outcome"], "more than predicted");
    let bare = poured("oil=1.9 L");
    assert!(bare["poured_error_l"].is_null());
}

#[test]
fn bad_amounts_and_fluids_are_refused_with_what_would_be_right() {
    let bench = bench(&[]);
    let refused = |args: &[&str], says: &str| {
        let run = bench.run_args(&[&["fill", "plan.toml"], args].concat());
        assert_eq!(run.status, 2, "{args:?}: {}", run.out);
        assert!(run.err.contains(says), "{args:?}: {}", run.err);
    };
    refused(&["--poured", "5 L"], "FLUID=VOLUME");
    refused(&["--poured", "oil=5"], "--poured");
    refused(&["--poured", "oil=0 L"], "greater than zero");
    refused(&["--poured", "water=5 L"], "fills no \"water\"");
    refused(&["--poured", "oil=1 L", "--poured", "oil=1 L"], "twice");
    refused(&["--fluid", "\u{1b}[31mwater"], "no system is filled");
}

#[test]
fn masses_and_moments_are_those_worked_out_by_hand() {
    let run = bench(&[]).run("mass plan.toml --format json");
    assert_eq!(run.status, 0, "{}", run.err);
    let value = run.json();
    let totals = value["totals"].as_array().cloned().unwrap_or_default();
    let all = totals.last().cloned().unwrap_or_default();
    // Hoses are pushed 20 mm over both spigots.
    let (a, b, tank) = (0.2 * 1.040, 0.2 * 0.740, 2.0);
    let dry = &all["dry"];
    near(&dry["mass_kg"], a + b + tank);
    near(&dry["moment_kg_m"][0], b * 0.2 + tank * 0.1);
    near(&dry["moment_kg_m"][2], a * 0.5 + b * 0.65 + tank * 0.15);
    let (in_a, in_b, in_c, in_t) =
        (0.88 * 1000.0 * BORE_L, 0.88 * 700.0 * BORE_L, 0.88 * 0.5, 0.88 * 1.5);
    let fluid = &all["fluid"];
    near(&fluid["mass_kg"], in_a + in_b + in_c + in_t);
    let moment = in_a * 0.5 + in_b * 0.65 + in_c * 1.0 + in_t * 0.15;
    near(&fluid["moment_kg_m"][2], moment);
    near(&fluid["centre_mm"][2], 1e3 * moment / (in_a + in_b + in_c + in_t));
    near(&all["wet"]["mass_kg"], number(&dry["mass_kg"]) + number(&fluid["mass_kg"]));
    // The cooler does not say what it weighs; where its liquid is is assumed.
    assert_eq!(
        (all["dry_at_least"].as_bool(), all["fluid_at_least"].as_bool()),
        (Some(true), Some(false))
    );
    assert_eq!(value["missing"][0]["what"], "C");
    let items = value["items"].as_array().cloned().unwrap_or_default();
    let in_cooler = items.iter().find(|i| i["what"] == "in C").cloned().unwrap_or_default();
    assert_eq!(in_cooler["assumed"], true);
    assert_eq!(value["axes"], serde_json::json!(["aft", "right", "up"]));
}

#[test]
fn fuel_that_is_burned_moves_the_balance() {
    let fuel = [
        ("use       = \"hydraulic oil\"", "use       = \"fuel\""),
        ("flammable = false", "flammable = true"),
        ("volume   = \"1.5 L\"", "volume   = \"1.5 L\"\nunusable = \"0.1 L\""),
    ];
    let run = bench(&fuel).run("mass plan.toml --format json");
    assert_eq!(run.status, 0, "{}", run.err);
    let value = run.json();
    let burned = value["burned"].as_array().cloned().unwrap_or_default();
    let expected = [("as planned", 1.5), ("full", 2.0), ("half", 1.0), ("unusable only", 0.1)];
    assert_eq!(burned.len(), 4);
    let wet = number(&burned[0]["wet"]["mass_kg"]);
    for (row, (fuel, litres)) in burned.iter().zip(expected) {
        assert_eq!(row["fuel"], fuel);
        near(&row["fuel_kg"], 0.88 * litres);
        near(&row["wet"]["mass_kg"], wet + 0.88 * (litres - 1.5));
    }
    // The tank lies below the balance: without its fuel it climbs.
    let height = |row: &Value| number(&row["wet"]["centre_mm"][2]);
    assert!(height(&burned[1]) < height(&burned[2]) && height(&burned[2]) < height(&burned[3]));
}

#[test]
fn the_amphibian_fills_its_coolant_and_weighs_both_tanks_alike() {
    let bench = Bench::new();
    let plan = example(EXAMPLES[0], "corrected.toml");
    let fill = bench.run_args(&["fill", &plan, "--fluid", "coolant", "--format", "json"]).json();
    let coolant = &fill["systems"][0];
    assert_eq!((&coolant["at_least"], &coolant["fill_at"]), (&false.into(), &"XT".into()));
    let mass = bench.run_args(&["mass", &plan, "--format", "json"]).json();
    let items = mass["items"].as_array().cloned().unwrap_or_default();
    let of = |what: &str| items.iter().find(|i| i["what"] == what).cloned().unwrap_or_default();
    assert_eq!(of("in TL")["mass_kg"], of("in TR")["mass_kg"]);
    // F11 is F9 mirrored.
    near(&of("F11")["centre_mm"][1], -number(&of("F9")["centre_mm"][1]));
    for command in [["fill", &plan], ["mass", &plan]] {
        let (first, second) = (bench.run_args(&command), bench.run_args(&command));
        assert_eq!(first.out, second.out);
        assert!(first.words().contains("planning aid"));
    }
    let inch = bench.run_args(&["mass", &plan, "--units", "inch"]).out;
    assert!(inch.contains(" lb") && !inch.contains(" kg"), "{inch}");
}

#[test]
fn a_return_into_the_other_tank_moves_the_balance_until_that_runs_over() {
    let mut plan = crate::house::read("tests/connections/two-tanks.toml");
    let exchanges = [
        ("from = \"SEL.RL\"\nto = \"TL.RET\"", "from = \"SEL.RL\"\nto = \"TR.RET\""),
        ("from = \"SEL.RR\"\nto = \"TR.RET\"", "from = \"SEL.RR\"\nto = \"TL.RET\""),
        ("id   = \"TL\"", "id   = \"TL\"\ncentre = [0, -400, 400]"),
        ("id   = \"TR\"", "id   = \"TR\"\ncentre = [0, 400, 400]"),
    ];
    for (before, behind) in exchanges {
        assert!(plan.contains(before), "{before}");
        plan = plan.replacen(before, behind, 1);
    }
    let bench = Bench::new();
    bench.write("plan.toml", &plan);
    let value = bench.run("mass plan.toml --format json").json();
    let moved = &value["returned"][0];
    assert_eq!((&moved["into"], &moved["from"]), (&"TR".into(), &serde_json::json!(["TL"])));
    // 5 L of 740 kg/m3 are free in it, which takes less than ten minutes.
    near(&moved["mass_kg"], 5.0 * 0.74);
    assert!(number(&moved["time_s"]) < 600.0);
    let totals = value["totals"].as_array().cloned().unwrap_or_default();
    let wet = totals.last().map_or(f64::NAN, |t| number(&t["wet"]["mass_kg"]));
    near(&moved["shift_mm"][1], 5.0 * 0.74 * 800.0 / wet);
}
