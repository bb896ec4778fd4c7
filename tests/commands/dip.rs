//! `dip`: formats, inner bodies, measured tanks, expansion space, and what is refused.

use super::Bench;

const PLAN: &str = r#"
[plan]
name        = "tanks <of> a trial"
length_unit = "mm"
axes        = { x = "aft", y = "right", z = "up" }

[[fluid]]
id    = "petrol"
table = "avgas"
grade = "100ll"

[[component]]
id    = "B"
kind  = "tank"
ports.OUT = { at = [0, 0, 0], faces = [1, 0, 0], end = { family = "spigot", outside = "8 mm", insertion = "18 mm" } }
shape = { kind = "box", along = [1, 0, 0], length = "300 mm", width = "200 mm", height = "220 mm", inner = { cylinder = { from = [25, 0, 70], to = [275, 0, 70], diameter = "60 mm" } } }
stick = { at = "150 mm", foot = "10 mm" }

[[component]]
id    = "M"
kind  = "tank"
ports.OUT = { at = [0, 0, 0], faces = [1, 0, 0], end = { family = "spigot", outside = "8 mm", insertion = "18 mm" } }
shape = { kind = "measured", volumes = [["0 mm", "0 L"], ["40 mm", "2 L"], ["90 mm", "5 L"]] }
stick = {}
"#;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("plan.toml", PLAN);
    bench
}

/// What `check` says of the capacity of tank B, and of how many tanks it says something.
fn capacity(litres: &str, shape: &str) -> (String, f64, usize) {
    let bench = bench();
    let old = "shape = { kind = \"box\", along = [1, 0, 0], length = \"300 mm\"";
    let of_b = PLAN.replacen(old, &format!("capacity = \"{litres}\"\n{shape}"), 1);
    // That of points says nothing of a brim.
    let both = of_b.replacen(
        "shape = { kind = \"measured\"",
        "capacity = \"9 L\"\nshape = { kind = \"measured\"",
        1,
    );
    assert_eq!(both.matches("capacity").count(), 2);
    bench.write("plan.toml", &both);
    let report = bench.run("check plan.toml --format json").json();
    let all = report["findings"].as_array().cloned().unwrap_or_default();
    let found: Vec<_> = all.iter().filter(|f| f["code"] == "network.capacity").collect();
    let first = found.first().unwrap_or_else(|| panic!("{report:#}"));
    (first["verdict"].to_string(), first["value"].as_f64().unwrap_or(-1.0), found.len())
}

#[test]
fn measures_that_do_not_give_the_capacity_are_told() {
    let shape = "shape = { kind = \"box\", along = [1, 0, 0], length = \"300 mm\"";
    // 300 x 200 x 220 mm less a tube of 60 mm and 250 mm: 12.493 L.
    let (verdict, off, count) = capacity("12.5 L", shape);
    assert_eq!((verdict.as_str(), count), ("\"ok\"", 1));
    assert!((off - 100.0 * (1.0 - 12.493_142 / 12.5)).abs() < 1e-4, "{off}");
    assert_eq!(capacity("13.2 L", shape).0, "\"caution\"");
    assert_eq!(capacity("11.8 L", shape).0, "\"caution\"");
    assert_eq!(capacity("12.5 L", &shape.replace("300 mm", "280 mm")).0, "\"caution\"");
}

#[test]
fn an_inner_body_takes_room_and_the_end_of_the_stick_is_dry_below_it() {
    let run = bench().run("dip plan.toml B --volumes 0.3L --nose-up 5deg --format csv");
    let rows = run.csv();
    let dip = |litres: f64, attitude: &str| {
        let same = |r: &&Vec<String>| {
            r[0].parse::<f64>().is_ok_and(|v| (v - litres).abs() < 1e-9) && r[1] == attitude
        };
        rows.iter().find(same).map(|r| r[2].clone()).unwrap_or_default()
    };
    // 0.3 L stand 5 mm high: the stick ends 10 mm over the bottom.
    assert_eq!(dip(0.3, "level"), "");
    // 1.8 L are 30 mm without the tube; 20 mm on the stick.
    assert!((dip(1.8, "level").parse::<f64>().unwrap() - 20.0).abs() < 1e-6);
    // Over the tube it takes pi 30^2 250 mm3, wherever the surface leans.
    let taken = std::f64::consts::PI * 900.0 * 250.0;
    let expected = (9e6 + taken) / 6e4 - 10.0;
    assert!((dip(9.0, "level").parse::<f64>().unwrap() - expected).abs() < 1e-6);
    assert!((dip(9.0, "nose up 5 deg").parse::<f64>().unwrap() - expected).abs() < 1e-6);
    let text = bench().run("dip plan.toml B").words();
    assert!(
        text.contains("Between 30.0 mm and 90.0 mm level the body inside takes room"),
        "{text}"
    );
}

#[test]
fn a_measured_tank_is_known_level_only() {
    let run = bench().run("dip plan.toml M --volumes 1L --nose-up 5deg");
    assert_eq!(run.status, 0, "{}", run.err);
    assert!(run.words().contains("1 L 20.0 mm"), "{}", run.out);
    assert!(run.words().contains("on a slope is not known"), "{}", run.out);
    assert!(!run.words().contains("nose up"), "{}", run.out);
}

#[test]
fn inches_and_gallons_are_written_where_they_are_asked_for() {
    let run = bench().run("dip plan.toml M --volumes 1L --units inch");
    assert!(run.words().contains("0.79 in") && run.words().contains("gal(US)"), "{}", run.out);
}

#[test]
fn the_oil_tank_of_the_amphibian_leaves_room_by_its_yardstick() {
    let bench = Bench::new();
    let plan = crate::house::read("examples/01-amphibian/corrected.toml");
    let rules = "rules             = [";
    assert!(plan.contains(rules));
    bench.write("plan.toml", &plan.replace(rules, &format!("{rules}\"23.1013b\", ")));
    let report = bench.run("dip plan.toml OT --format json").json();
    let full = report["full_l"].as_f64().unwrap();
    let mark = &report["full_mark"];
    assert_eq!(mark["rule"], "23.1013b");
    // 10 % or half a gallon, whichever is more.
    let space = (0.1 * full).max(0.5 * 3.785_411_784);
    assert!((mark["space_l"].as_f64().unwrap() - space).abs() < 1e-9, "{mark:#}");
    assert!((mark["mark"]["volume_l"].as_f64().unwrap() - (full - space)).abs() < 1e-9);
    assert!((full - 6.0).abs() < 0.1, "{full}");
}

#[test]
fn the_strip_shows_what_was_typed_and_runs_none_of_it() {
    let bench = bench();
    let run = bench.run("dip plan.toml M --svg strip.svg");
    assert_eq!(run.status, 0, "{}", run.err);
    let strip = bench.read("strip.svg");
    assert!(strip.contains("tanks &lt;of&gt; a trial") && !strip.contains("<of>"), "{strip}");
    let again = bench.run("dip plan.toml M --svg strip.svg");
    assert_eq!(again.status, 2);
    assert!(again.err.contains("is there already"), "{}", again.err);
}

#[test]
fn what_cannot_be_dipped_is_refused_and_says_what_can() {
    for (args, said) in [
        (&["X"][..], "the plan has no component \"X\""),
        (&["B", "--volumes", "0 L"], "greater than zero"),
        (&["B", "--volumes", "1 mL"], "more than 400 marks"),
        (&["B", "--volumes", "1 mm"], "--volumes"),
        (&["B", "--nose-up", "95 deg"], "quarter turn"),
        (&["B", "--nose-up", "85 deg"], "runs along the stick"),
        (&["B", "--bar", "0 mm"], "greater than zero"),
    ] {
        let run = bench().run_args(&[&["dip", "plan.toml"][..], args].concat());
        assert_eq!(run.status, 2, "{args:?}: {}", run.out);
        assert!(run.err.contains(said), "{args:?}: {}", run.err);
    }
    let none = Bench::new().run("dip plan.toml TANK");
    assert!(none.err.contains("needs a shape and a stick"), "{}", none.err);
    for (old, new, said) in [
        ("at = \"150 mm\", foot", "at = \"350 mm\", foot", "stands beside the tank"),
        ("to = [275, 0, 70]", "to = [305, 0, 70]", "not lie wholly inside"),
        ("along = [1, 0, 0]", "along = [0, 0, 1]", "stands upright"),
        ("[\"90 mm\", \"5 L\"]", "[\"90 mm\", \"1 L\"]", "must climb"),
    ] {
        let bench = bench();
        assert!(PLAN.contains(old), "{old}");
        bench.write("plan.toml", &PLAN.replace(old, new));
        let tank = if old.starts_with('[') { "M" } else { "B" };
        let run = bench.run_args(&["dip", "plan.toml", tank]);
        assert_eq!(run.status, 2, "{new}: {}", run.out);
        assert!(run.err.contains(said), "{new}: {}", run.err);
    }
}
