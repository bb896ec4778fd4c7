//! `joints`: values of one table and never of two, numbers in the order of the walk, caps, signatures, refusals.

use std::collections::BTreeMap;

use serde_json::Value;

use super::{Bench, example};

/// Exact: inch, pound and standard gravity.
const INCH_POUND_NM: f64 = 0.0254 * 0.453_592_37 * 9.806_65;

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn of_example() -> Value {
    Bench::new()
        .run_args(&["joints", &example("01-amphibian", "corrected.toml"), "--format", "json"])
        .json()
}

/// A joint of the report by where it is.
fn joint<'v>(report: &'v Value, place: &str) -> &'v Value {
    let found = list(report, "joints").iter().find(|j| j["where"] == place);
    found.unwrap_or_else(|| panic!("no joint {place}"))
}

/// The torques of a joint, inch pounds.
fn inch_pounds(joint: &Value) -> [i64; 2] {
    ["torque_least_nm", "torque_most_nm"].map(|key| {
        let exact =
            joint["tighten"][key].as_f64().unwrap_or_else(|| panic!("{joint}")) / INCH_POUND_NM;
        assert!((exact - exact.round()).abs() < 1e-9, "{exact}");
        format!("{exact:.0}").parse().unwrap_or_else(|e| panic!("{exact}: {e}"))
    })
}

/// The starter plan with a torque table.
fn starter(torque: &str) -> Bench {
    let bench = Bench::new();
    let plan = bench.read("plan.toml");
    let cut = "cut_step    = \"1 mm\"";
    assert!(plan.contains(cut));
    bench.write("plan.toml", &plan.replace(cut, &format!("{cut}\ntorque = \"{torque}\"\n#")));
    bench
}

#[test]
fn without_a_choice_every_table_is_shown_and_none_is_taken() {
    let report = Bench::new().run("joints plan.toml --format json").json();
    for joint in list(&report, "joints") {
        assert!(joint["tighten"].is_null(), "{joint}");
        assert!(
            joint["open"].as_str().is_some_and(|o| o.contains("the plan chooses none")),
            "{joint}"
        );
        let tables: BTreeMap<&str, &Value> = list(joint, "tables_side_by_side")
            .iter()
            .filter_map(|t| Some((t["table"].as_str()?, t)))
            .collect();
        let names: Vec<&str> = tables.keys().copied().collect();
        assert_eq!(
            names,
            [
                "flare-37-ac43",
                "flare-37-army",
                "flare-37-industrial-engine",
                "flare-37-industrial-machine",
                "flats-from-seated"
            ]
        );
        // FAA: tubes only; the industrial ones: steel fittings only; the Army's hose column at -6.
        assert_eq!(tables["flare-37-ac43"]["open"], "nothing for a hose");
        assert_eq!(tables["flare-37-industrial-engine"]["open"], "nothing for a hose");
        let most = tables["flare-37-army"]["torque_most_nm"].as_f64().unwrap();
        assert!((most - 250.0 * INCH_POUND_NM).abs() < 1e-9);
        assert_eq!(tables["flats-from-seated"]["flats_most"], 1.5);
    }
    let words = Bench::new().run("joints plan.toml").words();
    assert!(words.contains("flare-37-army: 23.7 to 28.2 N m"), "{words}");
    assert!(
        words.contains("flats-from-seated: 1 to 1.5 flats from seated, 60 to 90 deg"),
        "{words}"
    );
}

#[test]
fn the_chosen_table_alone_gives_the_value() {
    let report = starter("flare-37-army").run("joints plan.toml --format json").json();
    for joint in list(&report, "joints") {
        assert_eq!(inch_pounds(joint), [210, 250]);
        assert_eq!(
            (&joint["tighten"]["table"], &joint["open"]),
            (&"flare-37-army".into(), &Value::Null)
        );
    }
    let report = starter("flats-from-seated").run("joints plan.toml --format json").json();
    let tighten = &list(&report, "joints")[0]["tighten"];
    assert_eq!((&tighten["flats_least"], &tighten["flats_most"]), (&1.0.into(), &1.5.into()));
    assert!(tighten["torque_least_nm"].is_null());
    // A table without a column for hose does not borrow one from another table.
    let report = starter("flare-37-ac43").run("joints plan.toml --format json").json();
    let joint = &list(&report, "joints")[0];
    assert_eq!(joint["open"], "flare-37-ac43: nothing for a hose");
    assert!(list(joint, "tables_side_by_side").is_empty());
}

#[test]
fn the_tube_decides_the_column_and_ports_without_a_line_have_none() {
    let report = of_example();
    // Army table at -6: 100 to 125 on an aluminium tube, 210 to 250 on a hose; -8 hose 340 to 420.
    assert_eq!(inch_pounds(joint(&report, "F1 A at TL.OUT")), [100, 125]);
    assert_eq!(inch_pounds(joint(&report, "F5 A at CV1.OUT")), [210, 250]);
    assert_eq!(inch_pounds(joint(&report, "O2 A at OP.PRS")), [340, 420]);
    let ports = joint(&report, "TEE1.A on P1.IN");
    assert_eq!(ports["open"], "flare-37-army: nothing for two ports without hose or tube");
    let clip = joint(&report, "C1 A at TH.MAIN");
    assert!(clip["open"].as_str().is_some_and(|o| o.contains("clip")), "{clip}");
}

#[test]
fn a_second_person_signs_for_fuel_and_oil_pressure_and_not_for_coolant() {
    let report = of_example();
    let signs = |place: &str| joint(&report, place)["signatures"].as_u64();
    assert_eq!(signs("F1 A at TL.OUT"), Some(2));
    assert_eq!(signs("TEE1.A on P1.IN"), Some(2));
    assert_eq!(signs("O2 A at OP.PRS"), Some(2));
    assert_eq!(signs("C1 A at TH.MAIN"), Some(1));
    assert_eq!(signs("O6 A at OT.BRE"), Some(1));
    let said = &list(joint(&report, "F1 A at TL.OUT"), "second_signature")[0];
    assert!(said["text"].as_str().is_some_and(|t| t.contains("national rules decide")), "{said}");
}

#[test]
fn cone_faces_stay_bare_and_what_goes_on_the_thread_follows_fluid_and_carrier() {
    let report = of_example();
    let text = |place: &str, key: &str| {
        let all = list(joint(&report, place), key).iter();
        all.filter_map(|r| r["text"].as_str()).collect::<Vec<_>>().join("; ")
    };
    assert!(text("F1 A at TL.OUT", "lubricant").contains("anti-seize"));
    assert!(text("O2 A at OP.PRS", "lubricant").contains("film of oil"));
    assert!(text("C1 A at TH.MAIN", "lubricant").contains("spigot wet"));
    for place in ["F1 A at TL.OUT", "O2 A at OP.PRS"] {
        assert!(text(place, "keep_off").contains("no compound, tape or paste on cone"), "{place}");
    }
    // An aluminium tube is never turned further; that rule must not stand beside the one for steel.
    let leak = text("F1 A at TL.OUT", "leak");
    assert!(leak.contains("never tightened further") && !leak.contains("sixth"), "{leak}");
    let press = example("03-press", "corrected.toml");
    let report = Bench::new().run_args(&["joints", &press, "--format", "json"]).json();
    let hydraulic = list(&report, "joints").iter().filter(|j| j["family"] != "spigot");
    for joint in hydraulic.filter(|j| !list(j, "lubricant").is_empty()) {
        let first = &list(joint, "lubricant")[0]["text"];
        assert!(first.as_str().is_some_and(|t| t.contains("fluid of the system")), "{joint}");
    }
}

#[test]
fn joints_are_numbered_along_the_walk_and_no_spanner_is_taken_up_twice() {
    let report = of_example();
    let joints = list(&report, "joints");
    let (mut tools, mut length): (Vec<String>, f64) = (Vec::new(), 0.0);
    for (index, joint) in joints.iter().enumerate() {
        assert_eq!(joint["joint"], format!("J{}", index + 1));
        let tool = format!("{}{}", joint["tool"], joint["spanner_mm"]);
        if tools.last() != Some(&tool) {
            assert!(!tools.contains(&tool), "{tool} is taken up again at {joint}");
            tools.push(tool);
        }
    }
    for pair in joints.windows(2) {
        let at = |j: &Value, axis: usize| j["at_mm"][axis].as_f64().unwrap();
        length += (0..3).map(|x| (at(&pair[0], x) - at(&pair[1], x)).powi(2)).sum::<f64>().sqrt();
    }
    let walk = &report["walk"];
    assert!((walk["length_mm"].as_f64().unwrap() - length).abs() < 1e-6, "{walk} {length}");
    assert_eq!(walk["tool_changes"].as_u64(), Some(tools.len() as u64 - 1));
    assert!(walk["least_mm"].as_f64().unwrap() <= length + 1e-9 && tools.len() >= 4);
}

#[test]
fn every_end_and_every_port_takes_off_one_cap() {
    let report = of_example();
    let joints = list(&report, "joints");
    let of_lines = joints.iter().filter(|j| j["line"].is_string()).count();
    assert_eq!(of_lines, 54, "27 lines have 54 ends");
    assert_eq!(report["caps"].as_u64(), Some(2 * joints.len() as u64));
    let without = list(&report, "joined_without_thread");
    let said = |name: &str| without.iter().any(|j| j.as_str().is_some_and(|j| j.contains(name)));
    assert!(said("WP.OUT on JAC.IN (engine-face)"), "{without:?}");
    let one = Bench::new().run("joints plan.toml --format json").json();
    assert_eq!((one["caps"].as_u64(), list(&one, "capped_ports").len()), (Some(4), 0));
}

#[test]
fn ends_that_do_not_mate_are_not_tightened_at_all() {
    let bench = starter("flare-37-army");
    let plan = bench.read("plan.toml");
    let port = "size = \"-6\", gender = \"male\"";
    assert!(plan.contains(port));
    bench.write("plan.toml", &plan.replacen(port, "size = \"-8\", gender = \"male\"", 1));
    let run = bench.run("joints plan.toml --format json");
    assert_eq!(run.status, 1);
    let report = run.json();
    let wrong = joint(&report, "F1 A at TANK.OUT");
    assert_eq!(wrong["do_not"], "the two ends do not mate");
    assert!(wrong["tighten"].is_null() && wrong["open"].is_null());
    let words = bench.run("joints plan.toml").words();
    let number = wrong["joint"].as_str().unwrap_or_default();
    assert!(
        words.contains(&format!("Do not tighten {number}: the two ends do not mate")),
        "{words}"
    );
}

#[test]
fn several_torque_tables_are_for_different_families_and_give_ports_a_value() {
    let bench = starter("mine");
    bench.folder("tables/torque");
    let covers = "[facts]\ncovers = { value = [\"flare-37 hose nut\", \"orfs ports nut\"], source = \"label\" }\n";
    bench.write("tables/torque/mine.toml", &own_table(covers));
    let plan = bench.read("plan.toml");
    let list_of_two = "torque = [\"mine\", \"flare-37-army\"]";
    bench.write("plan.toml", &plan.replace("torque = \"mine\"", list_of_two));
    let both = bench.run("joints plan.toml");
    assert_eq!(both.status, 2);
    let said = "mine and flare-37-army both cover flare-37";
    assert!(both.err.contains(said), "{}", both.err);
    bench.write(
        "tables/torque/mine.toml",
        &own_table(&covers.replace("\"flare-37 hose nut\", ", "")),
    );
    let report = bench.run("joints plan.toml --format json").json();
    assert_eq!(report["torque_tables"], serde_json::json!(["mine", "flare-37-army"]));
    assert_eq!(list(&report, "joints")[0]["tighten"]["table"], "flare-37-army");
    let words = bench.run("joints plan.toml").words();
    assert!(words.contains("torque/mine and torque/flare-37-army"), "{words}");
}

/// A torque table of the builder's own.
fn own_table(facts: &str) -> String {
    format!(
        "[table]\nkind = \"torque\"\nname = \"mine\"\ntitle = \"Mine\"\nkey = [\"size\"]\nbetween = \"exact\"\n\
         [columns]\nsize = \"text\"\nnut_min = \"N·m\"\nnut_max = \"N·m\"\n\
         [[source]]\nid = \"label\"\ndocument = \"The label of the fitting\"\nstanding = \"plan\"\n{facts}\
         [rows]\nlist = [{{ size = \"-6\", nut_min = 20, nut_max = 22, source = \"label\" }}]\n"
    )
}

#[test]
fn a_torque_table_of_the_builder_says_what_it_covers_or_is_refused() {
    let bench = starter("mine");
    bench.folder("tables/torque");
    bench.write("tables/torque/mine.toml", &own_table(""));
    let run = bench.run("joints plan.toml");
    assert_eq!(run.status, 2);
    assert!(run.err.contains("does not say what it covers"), "{}", run.err);
    let covers = "[facts]\ncovers = { value = [\"flare-37 hose nut\"], source = \"label\" }\n";
    bench.write("tables/torque/mine.toml", &own_table(covers));
    let report = bench.run("joints plan.toml --format json").json();
    let tighten = &list(&report, "joints")[0]["tighten"];
    assert_eq!(
        (tighten["torque_least_nm"].as_f64(), tighten["torque_most_nm"].as_f64()),
        (Some(20.0), Some(22.0))
    );
}
