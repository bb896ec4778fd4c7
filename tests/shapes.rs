//! From a plan to the shape of its hoses: the shortest that can exist, the longest that keeps its radius, sag,
//! elbows, missing clips, and lines to things that move.
#![expect(clippy::panic, reason = "a test says why when it cannot go on")]

use serde_json::Value;

use crate::commands::Bench;
use crate::house::read;

const DROOP: &str = "bend_radius = \"60 mm\"\nmass = \"0.3 kg/m\"\n\
                     droop_test = { overhang = \"600 mm\", droop = \"200 mm\" }";
const DUTY: &str =
    "slack   = \"5.6 %\"\nduty = [{ flow = \"5 L/min\", temperature = \"20 degC\" }]";

/// The report on a plan of the stories with its words exchanged.
fn report(story: &str, exchanges: &[(&str, &str)]) -> Value {
    let mut plan = read(&format!("tests/stories/{story}/plan.toml"));
    for (old, new) in exchanges {
        assert!(plan.contains(old), "{story} does not say {old}");
        plan = plan.replace(old, new);
    }
    let bench = Bench::new();
    bench.write("plan.toml", &plan);
    let run = bench.run("check plan.toml --format json");
    assert!(run.status < 2, "{}", run.out);
    run.json()
}

fn line<'v>(report: &'v Value, id: &str) -> &'v Value {
    let lines = report["lines"].as_array().map_or(&[][..], Vec::as_slice);
    lines.iter().find(|l| l["id"] == id).unwrap_or_else(|| panic!("no line {id}"))
}

fn finding<'v>(report: &'v Value, code: &str) -> &'v Value {
    let all = report["findings"].as_array().map_or(&[][..], Vec::as_slice);
    let found: Vec<&Value> = all.iter().filter(|f| f["code"] == code).collect();
    match found[..] {
        [one] => one,
        _ => panic!("{} findings {code}", found.len()),
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn the_shortest_hose_that_can_exist_cuts_the_corner() {
    // Straights of 24 mm of fitting and two outside diameters, two arcs of 45 degrees of the least radius, and
    // the diagonal between them.
    let report = report("short", &[]);
    let line = line(&report, "H1");
    let (stub, root) = (24.0 + 2.0 * 16.0, std::f64::consts::FRAC_1_SQRT_2);
    let side = 255.876_11 - stub - 60.0 * root - 60.0 * (1.0 - root);
    let exact = 2.0 * stub + 60.0 * std::f64::consts::FRAC_PI_2 + side / root;
    assert!((number(&line["assembly_least_possible_mm"]) - exact).abs() < 1e-6, "{line:#}");
    assert_eq!(line["assembly_least_proven"], true);
}

#[test]
fn a_clip_out_of_the_way_lengthens_the_route_but_not_the_least() {
    let detour = report("short", &[("[[255.87611, 0, 0]]", "[[255.87611, 0, 120]]")]);
    let line = line(&detour, "H1");
    let least = number(&line["assembly_least_possible_mm"]);
    assert!(number(&line["path_mm"]) > least + 100.0, "{line:#}");
}

#[test]
fn the_longest_hose_is_the_one_that_still_keeps_its_radius() {
    // A straight run of 400 mm: clamped ends with the slack d bend to about l^1.5 / (4 pi sqrt(d)).
    let straight = [
        (
            "at = [255.87611, 255.87611, 0], faces = [0, -1, 0]",
            "at = [400, 0, 0], faces = [-1, 0, 0]",
        ),
        ("clips   = [[255.87611, 0, 0]]\n", ""),
        ("bend_radius = \"60 mm\"", "bend_radius = \"110 mm\""),
    ];
    let report = report("short", &straight);
    let line = line(&report, "H1");
    let (longest, chosen) = (number(&line["assembly_longest_mm"]), number(&line["assembly_mm"]));
    assert!(longest > chosen && longest < 400.0 / 0.92 - 0.5, "{line:#}");
    assert_eq!(finding(&report, "geometry.free-shape")["verdict"], "ok");
    // Without that radius the rule alone is the limit.
    let gentle = self::report("short", &straight[..2]);
    let by_rule = number(&self::line(&gentle, "H1")["assembly_longest_mm"]);
    assert!((by_rule - 400.0 / 0.92).abs() < 1e-6, "{by_rule}");
}

#[test]
fn a_radius_that_the_slack_has_no_room_for_is_a_caution() {
    let stiff = [
        (
            "at = [255.87611, 255.87611, 0], faces = [0, -1, 0]",
            "at = [400, 0, 0], faces = [-1, 0, 0]",
        ),
        ("clips   = [[255.87611, 0, 0]]\n", ""),
        ("bend_radius = \"60 mm\"", "bend_radius = \"250 mm\""),
    ];
    let report = report("short", &stiff);
    let finding = finding(&report, "geometry.free-shape");
    assert_eq!(finding["verdict"], "caution");
    assert!((80.0..160.0).contains(&number(&finding["value"])), "{finding:#}");
}

#[test]
fn sag_is_told_where_the_hose_was_weighed_and_let_droop() {
    let bare = report("short", &[("slack   = \"5.6 %\"", DUTY)]);
    assert!(line(&bare, "H1")["free_shape"][0]["sag_mm"].is_null());
    let weighed = [("bend_radius = \"60 mm\"", DROOP), ("slack   = \"5.6 %\"", DUTY)];
    let weighed = report("short", &weighed);
    let sag = number(&line(&weighed, "H1")["free_shape"][0]["sag_mm"]);
    assert!(sag > 0.1, "{sag}");
    let says = finding(&weighed, "geometry.free-shape")["message"].as_str().unwrap_or_default();
    assert!(says.contains("full, it hangs"), "{says}");
}

#[test]
fn a_better_direction_of_an_elbow_is_found() {
    // The elbow of B is aimed away from the hose; left open, it would save a bend.
    let aimed = report("clock", &[]);
    let free = report(
        "clock",
        &[("aim_a   = [1, 0, 0]\naim_b   = [-1, 0, 0]\n", "aim_a   = [0, 1, 0]\n")],
    );
    let path = |report: &Value| number(&line(report, "I")["path_mm"]);
    assert!(path(&free) > path(&aimed), "{} {}", path(&free), path(&aimed));
    let all = free["findings"].as_array().map_or(&[][..], Vec::as_slice);
    let own = |f: &&Value| f["code"] == "geometry.elbow-direction" && f["where"] == "I";
    assert!(all.iter().any(|f| own(&f)), "{free:#}");
}

#[test]
fn clips_are_proposed_where_a_hose_hangs_too_long() {
    let long = [
        (
            "at = [255.87611, 255.87611, 0], faces = [0, -1, 0]",
            "at = [1500, 0, 0], faces = [-1, 0, 0]",
        ),
        ("clips   = [[255.87611, 0, 0]]\n", ""),
    ];
    let report = report("short", &long);
    let finding = finding(&report, "geometry.support-spacing");
    assert_eq!(finding["verdict"], "caution");
    let says = finding["do"].as_str().unwrap_or_default();
    // 1500 mm at 24 in: three stretches of 500 mm.
    assert!(
        says.contains("before clip 1 at x 500.0 mm, y 0.0 mm, z 0.0 mm (500.0 mm from end A)"),
        "{says}"
    );
    assert!(says.contains("x 1000.0 mm"), "{says}");
}

#[test]
fn an_engine_that_rocks_takes_slack_and_wants_a_support_near() {
    let rocks = [(
        "id   = \"PUMP\"\nkind = \"other\"",
        "id   = \"PUMP\"\nkind = \"other\"\nmoves = \"4 mm\"",
    )];
    let (still, rocking) = (report("short", &[]), report("short", &rocks));
    let worst = |report: &Value| number(&line(report, "H1")["slack_left"]["worst_mm"]);
    assert!((worst(&still) - worst(&rocking) - 4.0).abs() < 1e-9);
    let all = rocking["findings"].as_array().map_or(&[][..], Vec::as_slice);
    let own: Vec<&Value> = all.iter().filter(|f| f["code"] == "geometry.engine-slack").collect();
    assert_eq!(own.len(), 2, "{own:#?}");
    assert!(own.iter().all(|f| f["verdict"] == "caution"), "{own:#?}");
}
