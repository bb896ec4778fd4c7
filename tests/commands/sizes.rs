//! `size`: what passes, what rejects the next smaller, what else would have to change, and the fewest sizes. The figures
//! of the suction problem were worked out by an independent script (Colebrook friction); the tolerances are its own.

use serde_json::Value;

use super::{Bench, example, number};
use crate::house::read;

/// One pump at a time: the other combination is left out of the matrix.
const ONE_PUMP: (&str, &str) = (
    "without  = [{ PA = \"dead\", PB = \"dead\" }]",
    "without  = [{ PA = \"dead\", PB = \"dead\" }, { PA = \"on\", PB = \"on\" }]",
);

/// The suction problem with words exchanged.
pub fn suction(exchanges: &[(&str, &str)]) -> Bench {
    let bench = Bench::new();
    let mut plan = read("tests/stories/suction/plan.toml");
    for (old, new) in exchanges {
        assert!(plan.contains(old), "the plan does not say {old}");
        plan = plan.replace(old, new);
    }
    bench.write("plan.toml", &plan);
    bench.folder("tables/tube");
    let table = read("tests/stories/suction/tables/tube/story-tube.toml");
    bench.write("tables/tube/story-tube.toml", &table);
    bench
}

fn item<'v>(list: &'v Value, key: &str, says: &str) -> &'v Value {
    let found = list.as_array().and_then(|l| l.iter().find(|i| i[key] == says));
    found.unwrap_or_else(|| panic!("no {key} {says} in {list:#}"))
}

/// What rejects a size of a line at the inlet of pump A.
fn at_the_pump<'v>(line: &'v Value, size: &str) -> &'v Value {
    let candidate = item(&line["candidates"], "size", size);
    assert_eq!(candidate["passes"], false, "{candidate:#}");
    let inlet = item(&candidate["rejected_by"], "code", "network.pump-inlet");
    assert!((number(&inlet["limit"]) - 5.0).abs() < 1e-12);
    inlet
}

fn line(bench: &Bench, id: &str) -> Value {
    let run = bench.run_args(&["size", "plan.toml", "--line", id, "--format", "json"]);
    let report = run.json();
    item(&report["lines"], "id", id).clone()
}

#[test]
fn no_bore_alone_feeds_both_pumps_at_3000_m_and_both_are_worse_than_one() {
    let both = line(&suction(&[]), "S1");
    let one = line(&suction(&[ONE_PUMP]), "S1");
    assert!(both["smallest"].is_null() && one["smallest"].is_null());
    let expected = [("6.0", -39.6, -6.3), ("7.5", -15.0, 0.5), ("8.7", -8.0, 2.4)];
    for (size, with_both, with_one) in expected {
        for (line, expected, within, case) in
            [(&both, with_both, 0.8, "PA on, PB on"), (&one, with_one, 0.4, "PA on, PB dead")]
        {
            let inlet = at_the_pump(line, size);
            let found = number(&inlet["value"]);
            assert!((found - expected).abs() <= within, "{size}: {found}, expected {expected}");
            let said = inlet["case"].as_str().unwrap_or_default();
            assert!(said.contains(case) && said.contains("3000 m"), "{said}");
            assert!(said.contains("38 degC") && said.contains("12 deg"), "{said}");
        }
    }
}

#[test]
fn a_freer_filter_lets_the_widest_tube_pass_and_the_share_found_is_the_limit() {
    let bench = suction(&[ONE_PUMP]);
    let line = line(&bench, "S1");
    assert_eq!(line["changes_for"], "8.7");
    let filter = item(&line["changes_elsewhere"], "of", "FF IN-OUT");
    let share = number(&filter["at_most"]);
    // 5.0 kPa at 2 L/min, of which the lacking 2.6 kPa have to go.
    assert!((0.42..0.54).contains(&share), "{share}");
    assert!((number(&filter["takes_kpa"]) - 5.0).abs() < 0.05, "{filter:#}");

    let drop = |kpa: f64| format!("drop = \"{kpa} kPa\", at_flow = \"1 L/min\"");
    let smallest = |kpa: f64| {
        let with = drop(kpa);
        let bench = suction(&[ONE_PUMP, (&drop(2.5), &with)]);
        self::line(&bench, "S1")["smallest"].clone()
    };
    assert_eq!(smallest(2.5 * share), "8.7");
    assert!(smallest(2.5 * share * 1.01).is_null());
    // The story's own filter.
    assert_eq!(smallest(1.0), "8.7");
}

#[test]
fn the_filter_of_the_story_leaves_5_4_kpa_at_the_widest_tube() {
    let bench = suction(&[
        ONE_PUMP,
        ("drop = \"2.5 kPa\"", "drop = \"1 kPa\""),
        (
            "from        = \"TR.OUT\"\nto          = \"FF.IN\"\ntube        = \"story-tube\"\nsize        = \"7.5\"",
            "from        = \"TR.OUT\"\nto          = \"FF.IN\"\ntube        = \"story-tube\"\nsize        = \"8.7\"",
        ),
        ("k = 6.9, bore = \"7.5 mm\"", "k = 6.9, bore = \"8.7 mm\""),
    ]);
    let report = bench.run("check plan.toml --format json").json();
    let inlet = item(&report["findings"], "code", "network.pump-inlet");
    assert!((number(&inlet["value"]) - 5.4).abs() <= 0.4, "{inlet:#}");
    assert_eq!(inlet["verdict"], "ok");
}

#[test]
fn a_lower_height_and_a_cooler_fuel_help_just_as_far_as_is_said() {
    let bench = suction(&[ONE_PUMP]);
    let line = line(&bench, "S1");
    let changes = &line["changes_elsewhere"];
    let height = number(&item(changes, "what", "height_m")["at_most"]);
    let warmth = number(&item(changes, "what", "temperature_c")["at_most"]);
    let passes = |old: &str, new: &str| {
        let line = self::line(&suction(&[ONE_PUMP, (old, new)]), "S1");
        line["smallest"] == "8.7"
    };
    let low = |m: f64| {
        passes("altitude = [\"0 m\", \"3000 m\"]", &format!("altitude = [\"0 m\", \"{m} m\"]"))
    };
    assert!(low(height) && !low(height + 10.0), "{height} m");
    let cool = |c: f64| {
        passes(
            "fluids = { petrol = \"38 degC\" }",
            &format!("fluids = {{ petrol = \"{c} degC\" }}"),
        )
    };
    assert!(cool(warmth) && !cool(warmth + 0.2), "{warmth} degC");
}

#[test]
fn the_return_is_sized_by_its_back_pressure_and_not_by_what_fails_elsewhere() {
    let bench = suction(&[]);
    let run = bench.run("size plan.toml --format json");
    assert_eq!(run.status, 1, "a line of which no size passes is a fail");
    let report = run.json();
    let line = item(&report["lines"], "id", "R1");
    assert_eq!((&line["smallest"], &line["next_smaller"]), (&"7.5".into(), &"6.0".into()));
    let rejected = &line["next_smaller_rejected_by"];
    assert_eq!(rejected["code"], "network.outlet");
    assert!((number(&rejected["value"]) - 32.5).abs() <= 1.5, "{rejected:#}");
    item(&line["fails_at_every_size"], "code", "network.pump-inlet");
    let set = item(&report["sets"], "table", "tube/story-tube");
    assert_eq!(set["sizes"], serde_json::json!(["7.5"]));
    assert_eq!(set["without"], serde_json::json!(["S1"]));
    assert_eq!(report["together"]["holds"], true);
}

#[test]
fn what_goes_with_a_size_is_said() {
    let words = suction(&[ONE_PUMP]).run("size plan.toml").words();
    for said in [
        "end A stays demo-tube-nut -6: it is not known in size 8.7",
        "\"valve and elbows\" was on the bore of the line and is counted on the new one",
        "smallest changes elsewhere, each of which makes 8.7 pass",
        "it takes 5 kPa there as planned",
        "Fewest sizes",
        "Fuel:",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
}

#[test]
fn a_loss_on_another_bore_stays_where_it_is() {
    let bench = suction(&[ONE_PUMP, ("k = 6.9, bore = \"7.5 mm\"", "k = 6.9, bore = \"6.5 mm\"")]);
    let line = line(&bench, "S1");
    let notes = &item(&line["candidates"], "size", "8.7")["notes"];
    assert!(notes.to_string().contains("stays on the bore that the plan gives it"), "{notes}");
}

#[test]
fn an_own_hose_has_no_other_size_and_a_hose_must_go_over_its_spigots() {
    let bench = Bench::new();
    bench.write("plan.toml", &read("tests/stories/cooling/plan.toml"));
    let own = line(&bench, "M1");
    assert!(own["table"].is_null());
    assert_eq!(own["candidates"].as_array().map(Vec::len), Some(1));

    let plan = example("01-amphibian", "corrected.toml");
    let run = bench.run_args(&["size", &plan, "--line", "C9", "--format", "json"]);
    let report = run.json();
    let line = item(&report["lines"], "id", "C9");
    assert_eq!(line["smallest"], line["planned"]);
    assert_eq!(line["next_smaller_rejected_by"]["code"], "fitting.mating");
}

#[test]
fn the_smallest_is_the_first_that_passes_and_sizes_stand_by_bore() {
    let bench = Bench::new();
    for plan in ["01-amphibian", "03-press"] {
        let args = ["size", &example(plan, "corrected.toml"), "--format", "json"];
        let report = bench.run_args(&args).json();
        for line in report["lines"].as_array().map_or(&[][..], Vec::as_slice) {
            let list = line["candidates"].as_array().map_or(&[][..], Vec::as_slice);
            let bores: Vec<f64> = list.iter().filter_map(|c| c["bore_mm"].as_f64()).collect();
            assert!(bores.is_sorted(), "{line:#}");
            let first = list.iter().find(|c| c["passes"] == true).map(|c| &c["size"]);
            assert_eq!(line["smallest"].as_str(), first.and_then(Value::as_str), "{line:#}");
        }
        // Every line of a set has a size of the set, and that size passes it.
        for set in report["sets"].as_array().map_or(&[][..], Vec::as_slice) {
            for of in set["lines"].as_array().map_or(&[][..], Vec::as_slice) {
                assert!(set["sizes"].as_array().is_some_and(|s| s.contains(&of["size"])));
                let id = of["id"].as_str().unwrap_or_default();
                let line = item(&report["lines"], "id", id);
                let size = of["size"].as_str().unwrap_or_default();
                assert_eq!(item(&line["candidates"], "size", size)["passes"], true);
            }
        }
    }
}

#[test]
fn one_thread_and_many_give_the_same_bytes() {
    let bench = suction(&[]);
    let run = |threads: &str, format: &str| {
        let mut command = bench.command(&["size", "plan.toml", "--format", format]);
        super::finish(command.env("RAYON_NUM_THREADS", threads).output()).out
    };
    for format in ["text", "json", "csv"] {
        assert_eq!(run("1", format), run("4", format));
    }
}

#[test]
fn a_line_that_is_not_in_the_plan_is_refused_with_those_that_are() {
    let run = suction(&[]).run("size plan.toml --line S9");
    assert_eq!(run.status, 2);
    assert!(run.err.contains("no line \"S9\"") && run.err.contains("S1, R1"), "{}", run.err);
}
