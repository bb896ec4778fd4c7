//! Nine pipes on the bench: which is which line, which is none, and what is never used where.

use super::{Bench, Run, Value, bench, item, near, number};
use crate::house::read;

/// The bench with the pile of the problem, its words exchanged.
fn laid_out(exchanges: &[(&str, &str)]) -> Bench {
    let bench = bench("identify", &[]);
    let mut pile = read("tests/stories/identify/pile.toml");
    for (old, new) in exchanges {
        assert!(pile.contains(old), "the pile does not say {old}");
        pile = pile.replacen(old, new, 1);
    }
    bench.write("pile.toml", &pile);
    bench
}

fn told(exchanges: &[(&str, &str)]) -> Run {
    laid_out(exchanges).run("identify plan.toml pile.toml --format json")
}

fn pipe<'v>(report: &'v Value, id: &str) -> &'v Value {
    item(&report["pipes"], "id", id)
}

fn says(pipe: &Value) -> String {
    let all = pipe["says"].as_array().map_or(&[][..], Vec::as_slice);
    all.iter().filter_map(Value::as_str).collect::<Vec<_>>().join("; ")
}

/// Whether a pipe can come to a line at all.
fn can_be(pipe: &Value, line: &str) -> bool {
    let against = pipe["against"].as_array().map_or(&[][..], Vec::as_slice);
    !against.iter().any(|a| a["line"] == line)
}

#[test]
fn windows_are_those_worked_out() {
    let report = told(&[]).json();
    for (id, low, high) in [
        ("O2", 310.5, 320.7),
        ("O3", 247.4, 255.4),
        ("O4", 451.6, 466.3),
        ("O5", 555.8, 573.9),
        ("F5", 148.4, 153.3),
        ("F6", 148.4, 153.3),
        ("F7", 1843.2, 1903.3),
        ("F8", 2790.5, 2881.5),
    ] {
        let line = item(&report["lines"], "id", id);
        near(id, number(&line["shortest_mm"]), low, 0.051);
        near(id, number(&line["longest_mm"]), high, 0.051);
    }
}

#[test]
fn every_pipe_that_has_a_line_is_given_it() {
    let run = told(&[]);
    assert_eq!(run.status, 0, "{}", run.err);
    let report = run.json();
    for (id, line) in [("a", "O2"), ("b", "O3"), ("c", "O4"), ("d", "O5"), ("e", "F7")] {
        let pipe = pipe(&report, id);
        assert_eq!((&pipe["answer"], &pipe["line"]), (&"yes".into(), &line.into()), "{pipe:#}");
        assert!(number(&pipe["chance"]) > 0.99, "{pipe:#}");
    }
    for id in ["f", "g"] {
        assert_eq!(pipe(&report, id)["answer"], "yes");
        assert_eq!(pipe(&report, id)["lines"], serde_json::json!(["F5", "F6"]));
    }
    assert_ne!(pipe(&report, "f")["line"], pipe(&report, "g")["line"]);
    let swap = report["interchangeable"][0]["says"].as_str().unwrap();
    assert!(swap.starts_with("f and g are interchangeable, label either"), "{swap}");
}

#[test]
fn what_fits_nowhere_is_not_forced() {
    let report = told(&[]).json();
    let (h, i) = (pipe(&report, "h"), pipe(&report, "i"));
    assert!(h["line"].is_null() && i["line"].is_null());
    for part in ["h: do not force; short for F8", "40.5 mm below", "slack 3.6 %", "order a new one"]
    {
        assert!(says(h).contains(part), "{part}: {}", says(h));
    }
    for part in ["i: never on O4: thread family differs", "read the cone angle"] {
        assert!(says(i).contains(part), "{part}: {}", says(i));
    }
    assert_eq!(report["without_pipe"], serde_json::json!(["F8"]));
    assert_eq!(report["next"]["pipe"], "i");
    assert!(report["next"]["what"].as_str().unwrap().starts_with("cone angle"));
    let text = laid_out(&[]).run("identify plan.toml pile.toml").words();
    assert!(text.contains("F8 has no pipe") && text.contains("A planning aid"), "{text}");
}

#[test]
fn h_and_i_stay_off_at_any_score() {
    // Everything else about them perfect, no stranger thought of, and nobody else for the line.
    let sure = ("error = {", "strangers = \"0.0001 %\"\nerror = {");
    let gone = ("id      = \"c\"\nlength  = \"459 mm\"", "id      = \"c\"\nlength  = \"900 mm\"");
    let report = told(&[sure, gone]).json();
    for (id, line) in [("h", "F8"), ("i", "O4")] {
        assert!(!can_be(pipe(&report, id), line));
        assert!(pipe(&report, id)["line"].is_null());
        near("chance", number(&pipe(&report, id)["nowhere_chance"]), 1.0, 1e-12);
    }
    assert_eq!(report["without_pipe"], serde_json::json!(["O4", "F8"]));
}

#[test]
fn without_its_bore_c_is_no_bare_yes() {
    let report = told(&[("bore    = \"14.2 mm\"\n", "")]).json();
    let c = pipe(&report, "c");
    assert_eq!((&c["answer"], &c["line"]), (&"likely".into(), &"O4".into()));
    assert!(says(c).contains("O4 likely, confirm bore"), "{}", says(c));
}

#[test]
fn a_cone_of_45_degrees_screws_on_and_does_not_seal() {
    let cone = "thread = \"3/4-16\", cone = \"37 deg\", angle = \"0 deg\"";
    let other = cone.replace("37", "45");
    let report = told(&[(cone, &other)]).json();
    let a = pipe(&report, "a");
    assert!(a["line"].is_null() && !can_be(a, "O2"), "{a:#}");
    let said = says(a);
    assert!(said.contains("never on O2: screws together and does not seal"), "{said}");
    // Not read at all, it has to be: another family has the same thread.
    let report = told(&[(cone, &cone.replace("cone = \"37 deg\", ", ""))]).json();
    let said = says(pipe(&report, "a"));
    assert!(said.contains("O2 likely, confirm cone angle of end A"), "{said}");
}

#[test]
fn a_liner_that_the_fluid_attacks_is_never_used() {
    let report = told(&[("id      = \"e\"", "id      = \"e\"\nmaterial = \"EPDM\"")]).json();
    let e = pipe(&report, "e");
    assert!(e["line"].is_null(), "{e:#}");
    assert!(says(e).contains("never on F7: diesel attacks EPDM"), "{}", says(e));
}

#[test]
fn a_tag_that_must_not_be_followed_exits_with_1() {
    let tag = |id: &str, line: &str| format!("id      = \"{id}\"\nlabel   = \"{line}\"");
    for (id, line, status, verdict) in
        [("i", "O4", 1, "fail"), ("h", "F8", 1, "fail"), ("c", "O4", 0, "ok"), ("f", "F6", 0, "ok")]
    {
        let run = told(&[(&format!("id      = \"{id}\""), &tag(id, line))]);
        assert_eq!(run.status, status, "{id} {line}");
        assert_eq!(pipe(&run.json(), id)["tag"]["verdict"], verdict);
    }
    let run = told(&[("id      = \"i\"", &tag("i", "O4"))]);
    assert!(says(pipe(&run.json(), "i")).contains("must not be used there"));
}

#[test]
fn a_pipe_may_lie_either_way_round_and_its_thread_be_measured() {
    let ends = "end_a   = { thread = \"3/4-16\", cone = \"37 deg\", angle = \"0 deg\" }\nend_b   = { thread = \"3/4-16\", cone = \"37 deg\", angle = \"90 deg\" }";
    let turned = "end_b   = { diameter = \"19.0 mm ± 0.1 mm\", pitch = \"16 tpi\", gender = \"male\", cone = \"37 deg\", angle = \"0 deg\" }\nend_a   = { thread = \"3/4-16\", cone = \"37 deg\", angle = \"90 deg\" }";
    let report = told(&[(ends, turned)]).json();
    // The nut of the line is female: a male end of the same thread never goes there.
    assert!(pipe(&report, "a")["line"].is_null());
    let female =
        turned.replace("19.0 mm", "17.5 mm").replace("gender = \"male\"", "gender = \"female\"");
    let report = told(&[(ends, &female)]).json();
    let a = pipe(&report, "a");
    assert_eq!(
        (&a["answer"], &a["line"], &a["turned"]),
        (&"yes".into(), &"O2".into(), &true.into()),
        "{a:#}"
    );
}

#[test]
fn an_open_question_is_asked_where_it_tells_most() {
    // Without lengths and angles O2 and O3 are one and the same for a; its length decides.
    let body = "id      = \"a\"\nlength  = \"315 mm\"";
    let report = told(&[(body, "id      = \"a\""), ("id      = \"b\"\nlength  = \"251 mm\"", "id      = \"b\""),
        ("cone = \"37 deg\", angle = \"0 deg\" }\nend_b   = { thread = \"3/4-16\", cone = \"37 deg\", angle = \"90 deg\"", "cone = \"37 deg\" }\nend_b   = { thread = \"3/4-16\", cone = \"37 deg\""),
        ("cone = \"37 deg\", angle = \"90 deg\" }\nend_b   = { thread = \"3/4-16\", cone = \"37 deg\", angle = \"45 deg\"", "cone = \"37 deg\" }\nend_b   = { thread = \"3/4-16\", cone = \"37 deg\""),
        ("M22x1.5\"", "M22x1.5\", cone = \"12 deg\""), ("M22x1.5\", angle", "M22x1.5\", cone = \"12 deg\", angle")]).json();
    for id in ["a", "b"] {
        let chance = number(&pipe(&report, id)["chance"]);
        assert!((0.3..0.6).contains(&chance), "{id}: {chance}");
    }
    assert!(report["next"]["pipe"] == "a" || report["next"]["pipe"] == "b");
    assert!(number(&report["next"]["bits"]) > 0.9, "{:#}", report["next"]);
}

#[test]
fn the_answer_comes_in_every_format_and_the_same_twice() {
    let bench = laid_out(&[]);
    for format in ["text", "json", "csv"] {
        let asked = format!("identify plan.toml pile.toml --format {format}");
        let (first, second) = (bench.run(&asked), bench.run(&asked));
        assert_eq!(first.status, 0, "{}", first.err);
        assert_eq!(first.out, second.out);
    }
    let csv = bench.run("identify plan.toml pile.toml --format csv").csv();
    assert_eq!(csv.len(), 10);
}

#[test]
fn the_pile_of_the_example_is_told_apart() {
    let [plan, pile] =
        ["corrected.toml", "pile.toml"].map(|f| crate::commands::example("01-amphibian", f));
    let run = Bench::new().run_args(&["identify", &plan, &pile, "--format", "json"]);
    assert_eq!(run.status, 0, "{}", run.err);
    let report = run.json();
    assert_eq!(pipe(&report, "a")["line"], "O2");
    assert!(says(pipe(&report, "b")).contains("O3 likely, confirm cone angle"));
    assert_eq!(pipe(&report, "c")["lines"], serde_json::json!(["F5", "F6"]));
    assert!(says(pipe(&report, "d")).contains("never on O4: thread family differs"));
}
