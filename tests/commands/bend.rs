//! `bend`: what is told of a tube with a bender, without one, and of one that does not pass.

use serde_json::Value;

use super::{Bench, EXAMPLES, Run, example};

/// Two ports and a tube between them through two corners: `first` long, 100, and `last` long and upwards.
fn plan(first: f64, last: f64, bender: &str, line: &str) -> String {
    format!(
        r#"
[plan]
name        = "bending test"
length_unit = "mm"
axes        = {{ x = "forward", y = "left", z = "up" }}

[[fluid]]
id    = "water"
table = "water"

{bender}

[[component]]
id   = "A"
kind = "tank"
ports.OUT = {{ at = [0, 0, 0], faces = [1, 0, 0], end = {{ family = "flare-37", size = "-6", gender = "male" }} }}

[[component]]
id   = "B"
kind = "tank"
ports.IN = {{ at = [{first}, 100, {last}], faces = [0, 0, -1], end = {{ family = "flare-37", size = "-6", gender = "male" }} }}

[[line]]
id      = "W1"
system  = "water"
fluid   = "water"
service = "pressure"
from    = "A.OUT"
to      = "B.IN"
tube    = "demo-aluminium"
size    = "3/8 in x 0.035 in"
end_a   = "demo-tube-nut -6"
end_b   = "demo-tube-nut -6"
clips   = [[{first}, 0, 0], [{first}, 100, 0]]
{line}

[[case]]
name     = "usual"
altitude = "0 m"

[stock]
kerf     = "2 mm"
squaring = "5 mm"
[[stock.piece]]
of     = "demo-aluminium 3/8 in x 0.035 in"
length = "1500 mm"
"#
    )
}

/// A bender on a bench that turns one way, with test bends of 3 degrees springback in 90.
fn bender(turn: &str) -> String {
    format!(
        r#"
[[bender]]
id           = "LEVER"
outside      = "9.525 mm"
radius       = "30 mm"
clamp        = "15 mm"
end_straight = "35 mm"
test_bends   = [["93 deg", "90 deg"], ["31 deg", "30 deg"]]
stretch      = "1.5 mm"
mark         = "start"
room         = {{ thickness = "20 mm", block = "40 mm", width = "15 mm", bench = "120 mm", reach = "200 mm", turn = "{turn}" }}
smallest     = "8.9 mm"
largest      = "9.8 mm"
"#
    )
}

const NAMED: &str = "bender  = \"LEVER\"";

fn bent(text: &str, arguments: &str) -> Run {
    let bench = Bench::new();
    bench.write("tube.toml", text);
    bench.run(&format!("bend tube.toml {arguments}"))
}

fn data(text: &str) -> Value {
    let run = bent(text, "W1 --format json");
    assert!(run.status < 2, "{}{}", run.out, run.err);
    run.json()["tubes"][0].clone()
}

fn verdicts(tube: &Value, code: &str) -> Vec<String> {
    let findings = tube["findings"].as_array().cloned().unwrap_or_default();
    let of_code = findings.iter().filter(|f| f["code"] == code);
    of_code.filter_map(|f| f["verdict"].as_str().map(str::to_owned)).collect()
}

fn near(value: &Value, wanted: f64) -> bool {
    value.as_f64().is_some_and(|v| (v - wanted).abs() < 1e-6)
}

#[test]
fn the_numbers_of_a_bent_tube_are_those_worked_out_by_hand() {
    let tube = data(&plan(200.0, 80.0, &bender("left"), NAMED));
    // Legs of 200, 100 and 80; radius 30, so setbacks of 30 and arcs of 15 pi; stretch 1.5 a bend.
    let arc = 15.0 * std::f64::consts::PI;
    let length = 170.0 + 40.0 + 50.0 + 2.0 * arc;
    assert!(near(&tube["length_mm"], length), "{tube}");
    assert!(near(&tube["corner_to_corner_mm"], 380.0) && near(&tube["stretch_mm"], 3.0));
    // Cut: the length less the stretch, up to the next millimetre.
    assert!(near(&tube["cut_mm"], (length - 3.0).ceil()), "{tube}");
    let bends = &tube["from"][0]["bends"];
    assert!(near(&bends[0]["mark_mm"], 170.0) && near(&bends[0]["rotation_deg"], 0.0));
    assert!(near(&bends[1]["mark_mm"], 170.0 + arc - 1.5 + 40.0), "{bends}");
    // x to y turns about z, y to z about x: looking along y, the axis turns clockwise.
    assert!(near(&bends[1]["rotation_deg"], 90.0) && near(&bends[1]["dial_deg"], 90.0));
    for bend in bends.as_array().expect("bends") {
        assert!(near(&bend["set_deg"], 93.0) && bend["set_by"] == "test bends");
        assert!(near(&bend["thinning_percent"], 100.0 * 4.7625 / 34.7625));
    }
    let back = &tube["from"][1]["bends"];
    assert!(near(&back[0]["mark_mm"], 50.0) && near(&back[1]["rotation_deg"], 90.0));
    assert_eq!(tube["mirror_image"], "another part");
    // 1500 less squaring, cut and kerf leaves another three.
    assert_eq!(tube["stock"]["pieces"][0]["fits_again"], serde_json::json!(["W1"]));
}

#[test]
fn the_text_shows_cut_table_senses_and_order_within_eighty_columns() {
    let run = bent(&plan(200.0, 80.0, &bender("left"), NAMED), "W1");
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
    let words = run.words();
    for wanted in [
        "CUT 352 mm",
        "Bend from end A (bender LEVER). Marks count from end A, to where the bend begins.",
        "1 clip 1 170.0 170.0 - 0 93.0 90.0 30.0 -14",
        "2 clip 2 255.6 40.0 +90.0 90 93.0 90.0 30.0 -14",
        "end B 50.0",
        "MIRROR IMAGE: another part",
        "points 90 degrees clockwise from up",
        "less 3 mm by which bending stretches it",
        "Nothing goes on after this flare",
        "eye protection",
    ] {
        assert!(words.contains(wanted), "{wanted} is not in\n{}", run.out);
    }
    assert!(run.out.lines().all(|l| l.chars().count() <= 80), "{}", run.out);
    let narrow = bent(&plan(200.0, 80.0, &bender("left"), NAMED), "W1 --width 40");
    assert!(narrow.out.lines().all(|l| l.chars().count() <= 40), "{}", narrow.out);
    let inch = bent(&plan(200.0, 80.0, &bender("left"), NAMED), "W1 --units inch");
    assert!(inch.words().contains("CUT 13 27/32 in"), "{}", inch.out);
    assert!(!inch.out.contains(" mm"), "{}", inch.out);
}

#[test]
fn the_spreadsheet_has_a_row_for_each_bend() {
    let rows = bent(&plan(200.0, 80.0, &bender("left"), NAMED), "--format csv").csv();
    assert_eq!(rows.len(), 3);
    let column = |name: &str| rows[0].iter().position(|h| h == name).expect(name);
    assert_eq!(rows[2][column("line")], "W1");
    assert_eq!(rows[2][column("cut_mm")], "352");
    assert_eq!(rows[2][column("straight_behind_mm")], "50");
}

#[test]
fn without_a_bender_nothing_is_made_up() {
    let tube = data(&plan(200.0, 80.0, "", "bend_radius = \"30 mm\""));
    let bend = &tube["from"][0]["bends"][0];
    assert!(bend["mark_mm"].is_null() && tube["stretch_mm"].is_null() && tube["bender"].is_null());
    assert_eq!(bend["set_by"], "strength");
    assert!(bend["set_deg"].as_f64().is_some_and(|d| d > 90.5 && d < 91.5), "{bend}");
    for code in ["makeup.bend-straight", "makeup.bend-collision"] {
        assert_eq!(verdicts(&tube, code), ["open"], "{code}");
    }
    let run = bent(&plan(200.0, 80.0, "", "bend_radius = \"30 mm\""), "W1");
    let words = run.words();
    assert!(words.contains("mark: open, the line names no bender for this tube"), "{}", run.out);
    assert!(words.contains("a first guess from yield strength and modulus"), "{}", run.out);
}

#[test]
fn what_the_bender_does_not_say_stays_open() {
    let without = |key: &str| {
        let text = bender("left");
        let kept: Vec<&str> = text.lines().filter(|l| !l.starts_with(key)).collect();
        data(&plan(200.0, 80.0, &kept.join("\n"), NAMED))
    };
    let marks = |tube: &Value| tube["from"][0]["marks_open"].as_str().map(str::to_owned);
    assert!(marks(&without("stretch")).is_some_and(|why| why.contains("no stretch")));
    assert!(marks(&without("mark")).is_some_and(|why| why.contains("what a mark is brought to")));
    assert_eq!(marks(&without("clamp")), None);
    assert_eq!(verdicts(&without("clamp"), "makeup.bend-straight"), ["open"]);
    assert_eq!(verdicts(&without("end_straight"), "makeup.bend-straight"), ["open"]);
    assert_eq!(verdicts(&without("room"), "makeup.bend-collision"), ["open"]);
    assert_eq!(verdicts(&without("smallest"), "makeup.bend-thinning"), ["ok", "open"]);
    assert_eq!(without("test_bends")["from"][0]["bends"][0]["set_by"], "strength");
}

#[test]
fn a_bend_outside_the_test_bends_has_no_angle_to_set() {
    let few = bender("left").replace("[\"93 deg\", \"90 deg\"]", "[\"62 deg\", \"60 deg\"]");
    let tube = data(&plan(200.0, 80.0, &few, NAMED));
    let bend = &tube["from"][0]["bends"][0];
    assert!(bend["set_deg"].is_null(), "{bend}");
    assert!(
        bend["set_open"].as_str().is_some_and(|why| why.contains("at least 90.0 deg")),
        "{bend}"
    );
    assert_eq!(verdicts(&tube, "makeup.bend-collision"), ["open"]);
}

#[test]
fn a_long_leg_that_meets_the_bench_is_bent_from_the_other_end() {
    // The leg of 400 stands square to the plane of the other bend: up on one side, down on the other.
    let passes = |turn: &str, first: f64, last: f64| {
        let tube = data(&plan(first, last, &bender(turn), NAMED));
        let from = |side: usize| tube["from"][side]["passes"].as_bool().expect("an answer");
        (from(0), from(1), tube)
    };
    let (left_a, left_b, left) = passes("left", 400.0, 80.0);
    let (right_a, right_b, right) = passes("right", 400.0, 80.0);
    // Fed with the long leg ahead, the tube runs towards -y and is turned to the left, towards +z: up from
    // the bench is then -x, where the long leg lies.
    assert!(left_a && left_b && !right_a && right_b);
    let (good, bad) = (left, right);
    assert_eq!(verdicts(&good, "makeup.bend-collision"), ["ok"]);
    assert_eq!(verdicts(&bad, "makeup.bend-collision"), ["caution"]);
    assert_eq!((&good["begin_at"], &bad["begin_at"]), (&"end A".into(), &"end B".into()));
    assert_eq!(bad["from"][0]["hits"]["what"], "the bench");
    // With both legs long neither order passes on the bad side.
    let text = plan(400.0, 400.0, &bender("right"), NAMED);
    let run = bent(&text, "W1");
    assert_eq!(run.status, 1, "{}", run.out);
    assert!(
        run.words()
            .contains("fail makeup.bend-collision: from end A the tube hits the bench at bend 2")
    );
}

#[test]
fn straights_and_radii_are_held_against_the_bender() {
    let code = "makeup.bend-straight";
    let ok = data(&plan(200.0, 80.0, &bender("left"), NAMED));
    assert_eq!(verdicts(&ok, code), ["ok"]);
    let long = bender("left").replace("clamp        = \"15 mm\"", "clamp        = \"45 mm\"");
    let short = data(&plan(200.0, 80.0, &long, NAMED));
    // 40 mm between the bends.
    assert_eq!(verdicts(&short, code), ["fail"]);
    let end = data(&plan(200.0, 60.0, &bender("left"), NAMED));
    // 30 mm at end B: the flare is made first, and the order of work says so.
    assert_eq!(verdicts(&end, code), ["caution"]);
    let steps = end["order_of_work"].to_string();
    assert!(steps.contains("end B: too little straight to form it on the bent tube"), "{steps}");
    let wide = bender("left").replace("radius       = \"30 mm\"", "radius       = \"60 mm\"");
    let tight = data(&plan(200.0, 80.0, &wide, NAMED));
    assert!(verdicts(&tight, code).contains(&"fail".to_owned()), "{tight}");
}

#[test]
fn a_flattened_test_bend_fails_and_a_tight_radius_warns() {
    let code = "makeup.bend-thinning";
    let flat = bender("left").replace("smallest     = \"8.9 mm\"", "smallest     = \"7.0 mm\"");
    assert_eq!(verdicts(&data(&plan(200.0, 80.0, &flat, NAMED)), code), ["ok", "fail"]);
    let oval = bender("left").replace("smallest     = \"8.9 mm\"", "smallest     = \"7.6 mm\"");
    assert_eq!(verdicts(&data(&plan(200.0, 80.0, &oval, NAMED)), code), ["ok", "caution"]);
    let tight = bender("left").replace("radius       = \"30 mm\"", "radius       = \"20 mm\"");
    let tight = plan(200.0, 80.0, &tight, NAMED);
    assert_eq!(verdicts(&data(&tight), code), ["caution", "ok"]);
    // The tube table wants 28 mm at least: what must not be bent is not handed over as if it could be.
    assert_eq!(verdicts(&data(&tight), "geometry.bend-radius"), ["fail", "fail"]);
    assert_eq!(bent(&tight, "W1").status, 1);
}

#[test]
fn a_line_that_is_no_tube_or_not_there_is_refused() {
    let bench = Bench::new();
    let hose = bench.run("bend plan.toml F1");
    assert_eq!(hose.status, 2);
    assert!(hose.err.contains("line F1 is a hose"), "{}", hose.err);
    let none = bench.run("bend plan.toml F9");
    assert!(none.status == 2 && none.err.contains("no line \"F9\""), "{}", none.err);
    let all = bench.run("bend plan.toml");
    assert_eq!(all.status, 0, "{}", all.err);
    assert!(all.out.contains("The plan has no rigid tube."));
}

#[test]
fn tubes_of_the_amphibian_know_their_mirror_images() {
    let bench = Bench::new();
    let run =
        bench.run_args(&["bend", &example(EXAMPLES[0], "corrected.toml"), "--format", "json"]);
    assert_eq!(run.status, 0, "{}", run.err);
    let value = run.json();
    let tubes = value["tubes"].as_array().expect("tubes");
    let twins = |id: &str| {
        let tube = tubes.iter().find(|t| t["line"] == id).expect(id);
        tube["twins"].to_string()
    };
    assert_eq!(twins("F1"), r#"[{"line":"F2","mirrored":true}]"#);
    assert_eq!(twins("F12"), r#"[{"line":"F10","mirrored":true}]"#);
    assert_eq!(twins("F3"), "[]");
    let flat = tubes.iter().find(|t| t["line"] == "F3").expect("F3");
    assert_eq!(flat["mirror_image"], "same part");
    // What is cut is what the cut list says.
    let cut = bench.run_args(&["cut", &example(EXAMPLES[0], "corrected.toml"), "--format", "csv"]);
    for tube in tubes {
        let row = cut.csv().into_iter().find(|r| r[3] == tube["line"].as_str().unwrap_or_default());
        let listed = row.and_then(|r| r[4].parse::<f64>().ok()).expect("a cut");
        assert!(near(&tube["cut_mm"], listed), "{tube}");
    }
}
