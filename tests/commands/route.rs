//! `route`: clips from a file of points, and one message for each thing that can be wrong with it.

use super::{Bench, Run};
use hosewright::diagnostic::SourceText;
use hosewright::document::points::read_points;
use hosewright::plan::starter::STARTER;
use hosewright::report::problem;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

const POINTS: &str = "# taped on the machine\r\n\
    mark, Z, x ,\"y\"\r\n\
    tank, 400, 0, 0\r\n\
    1, 380, 330, 0\r\n\
    \r\n\
    between, 350, 490.5, -41\r\n\
    \"2, by the frame\", 320, 650, -80\r\n\
    pump, 300, 650, 150\r\n";

fn route(points: &str, more: &str) -> Run {
    let bench = Bench::new();
    bench.write("points.csv", points);
    bench.run(&format!("route points.csv {more}"))
}

/// The first problem with its place, of a run that refused.
fn refused(points: &str) -> (String, u64, u64) {
    let run = route(points, "--unit mm --format json");
    assert_eq!(run.status, 2, "{points}");
    let problem = run.json()["problems"][0].clone();
    let text = problem["message"].as_str().unwrap_or_default().to_owned();
    assert!(!problem["help"][0].as_str().unwrap_or_default().is_empty(), "{problem}");
    let number = |key: &str| problem[key].as_u64().unwrap_or_default();
    (text, number("line"), number("column"))
}

#[test]
fn a_taped_line_becomes_the_clips_of_a_plan() {
    let bench = Bench::new();
    bench.write("points.csv", POINTS);
    let run =
        bench.run_args(&["route", "points.csv", "--unit", "mm", "--straight", "2 mm", "--ends"]);
    assert_eq!(run.status, 0, "{}", run.err);
    let words = run.words();
    assert!(words.contains("5 points of points.csv: 1 left out, none more than 0.9 mm"), "{words}");
    // 330.61 + 340.00 + 232.38... by hand: the three legs of the starter plan.
    let legs = [[330.0, 0.0, -20.0], [320.0, -80.0, -60.0], [0.0, 230.0, -20.0]];
    let leg = |l: [f64; 3]| (l[0] * l[0] + l[1] * l[1] + l[2] * l[2]).sqrt();
    let length: f64 = legs.into_iter().map(leg).sum();
    assert!(words.contains(&format!("{length:.1} mm along the corners")), "{words}");
    // What is printed can be pasted as it is, comments and all, and is what the starter plan says.
    let clips = "clips   = [[330, 0, 380], [650, -80, 320]]\n";
    assert!(STARTER.contains(clips) && run.out.ends_with(clips), "{}", run.out);
    bench.write("pasted.toml", &STARTER.replace(clips, &run.out));
    let (pasted, own) = (bench.run("check pasted.toml"), bench.run("check plan.toml"));
    assert_eq!((pasted.status, &pasted.out), (0, &own.out));
}

#[test]
fn every_format_says_the_same() {
    let args = "--unit cm --straight 5mm --ends --format";
    let data = route(POINTS, &format!("{args} json")).json();
    assert_eq!(
        (&data["points"], &data["left_out"], &data["unit"]),
        (&5.into(), &0.into(), &"cm".into())
    );
    assert_eq!(data["clips"][1], serde_json::json!([490.5, -41.0, 350.0]));
    assert_eq!(data["end_b"], serde_json::json!([650.0, 150.0, 300.0]));
    let toml = data["toml"].as_str().unwrap_or_default().to_owned();
    assert!(route(POINTS, &format!("{args} text")).out.ends_with(&format!("{toml}\n")));
    let rows = route(POINTS, &format!("{args} csv")).csv();
    assert_eq!(rows.len(), 6);
    assert_eq!(rows[0], ["what", "x", "y", "z", "unit"]);
    assert_eq!(rows[1], ["end A", "0", "0", "400", "cm"]);
    assert_eq!(rows[3], ["clip 2", "490.5", "-41", "350", "cm"]);
    assert_eq!(rows[5], ["end B", "650", "150", "300", "cm"]);
}

#[test]
fn all_points_are_clips_unless_the_ends_are_asked_for_and_none_goes_unasked() {
    let line = "0,0,0\n1,0,0\n2,0,0\n";
    let data = route(line, "--unit m --format json").json();
    assert_eq!(data["clips"].as_array().map(Vec::len), Some(3));
    assert_eq!((&data["left_out"], &data["end_a"]), (&0.into(), &serde_json::Value::Null));
    assert_eq!(data["length_mm"], 2000.0);
    let data = route(line, "--unit m --straight 1mm --ends --format json").json();
    assert_eq!((&data["clips"], &data["left_out"]), (&serde_json::json!([]), &1.into()));
    let long: Vec<String> = (0..20).map(|i| format!("{},{},0", 100 * i, (i % 2) * 300)).collect();
    let run = route(&long.join("\n"), "--unit mm");
    assert!(run.out.ends_with("  [1800, 0, 0],\n  [1900, 300, 0],\n]\n"), "{}", run.out);
    let inch = route("0,0,0\n10,0,0\n", "--unit in --units inch");
    assert!(inch.words().contains("10 in along"), "{}", inch.out);
}

#[test]
fn points_come_from_standard_input_as_well() {
    let bench = Bench::new();
    let piped = bench.run_with(&["route", "-", "--unit", "mm"], "\u{feff}1,2,3\n4,5,6\n");
    assert_eq!(piped.status, 0, "{}", piped.err);
    assert!(piped.out.ends_with("clips   = [[1, 2, 3], [4, 5, 6]]\n"), "{}", piped.out);
    let broken = bench.run_with(&["route", "-", "--unit", "mm"], "1,2,3\n4,5\n");
    assert_eq!(broken.status, 2);
    assert!(broken.err.contains("<stdin>:2"), "{}", broken.err);
}

#[test]
fn each_fault_has_its_message_and_its_place() {
    let of = |points: &str, starts: &str, line: u64, column: u64| {
        let (message, at, from) = refused(points);
        assert!(message.starts_with(starts), "{points}: {message}");
        assert_eq!((at, from), (line, column), "{points}: {message}");
    };
    of("1;2;3\n4;5;6\n", "the columns are parted by semicolons", 1, 2);
    of("# a; b\n\n1,5;2,5;3\n", "the columns are parted by semicolons", 3, 4);
    of("1\t2\t3\n", "the columns are parted by tabs", 1, 2);
    of("1,5,2,3\n4,5,6\n", "the row has 4 columns, but needs 3", 1, 1);
    of("1,2,3\n4,5\n", "the row has 2 columns, but needs 3", 2, 1);
    of("x,y,z,n\n4,5,6\n", "the row has 3 columns, but needs 4", 2, 1);
    of("1,2,3\n4, \"5,5\" ,6\n", "y is \"5,5\", with a decimal comma", 2, 5);
    of("1,2,3\n4,5,nan\n", "z is \"nan\", which is no finite number", 2, 5);
    of("1,2,3\n4,-inf,6\n", "y is \"-inf\", which is no finite number", 2, 3);
    of("1,2,3\n4,1e13,6\n", "y is \"1e13\", which is too large", 2, 3);
    of("1,2,3\n4,5 mm,6\n", "y is \"5 mm\", which is no number", 2, 3);
    of("5 mm,2,3\n4,5,6\n", "x is \"5 mm\", which is no number", 1, 1);
    of("1,2,3\n4,,6\n", "y is empty", 2, 3);
    of("1,2,3\n1,2,3.0\n4,5,6\n", "the same point as in the row before", 2, 1);
    of("1,2,3\n4,\"5,6\n", "a quote is not closed in this row", 2, 1);
    of("a,x,y\n1,2,3\n4,5,6\n", "the first row names no column z", 1, 1);
    of("x,y,z,Y\n1,2,3,4\n", "column y stands twice in the first row", 1, 7);
    of("1,2,3\n4,5\u{7},6\n", "the file holds a control character", 2, 4);
    of("1,2,3\n", "the file holds one point", 1, 1);
    of("x,y,z\n# none yet\n", "the file holds no point", 2, 11);
    of("", "the file holds no point", 1, 1);
    let many = (0..10_001).map(|i| format!("{i},0,0")).collect::<Vec<_>>().join("\n");
    of(&many, "more than 10000 points", 10_001, 1);
    // Several faults are told at once.
    let run = route("1,2,3\n4,,6\n7,8\n", "--unit mm");
    assert!(run.err.contains("2 problems"), "{}", run.err);
}

#[test]
fn files_and_arguments_that_cannot_be_read_are_refused() {
    let bench = Bench::new();
    bench.write("points.csv", POINTS);
    std::fs::write(bench.path("latin.csv"), b"1,2,3\n4,5,\xb16\n").unwrap();
    let says = |line: &str, words: &str| {
        let run = bench.run(line);
        assert_eq!(run.status, 2, "{line}");
        assert!(run.err.contains(words), "{line}: {}", run.err);
    };
    says("route points.csv", "--unit");
    says("route points.csv --unit furlong", "possible values: mm, cm, m, in");
    says("route points.csv --unit mm --straight 2", "--straight");
    says("route points.csv --unit mm --straight 2bar", "--straight");
    says("route points.csv --unit mm --straight -2mm", "--straight must be greater than zero");
    says("route nowhere.csv --unit mm", "there is no file nowhere.csv");
    says("route . --unit mm", "is a folder, not a file of points");
    says("route latin.csv --unit mm", "the file is not UTF-8 text");
}

const PIECES: [&str; 20] = [
    "1", "2.5", ",", "\"", "\n", "\r", "\u{e9}", "\u{2028}", ";", "\t", " ", "#", "x", "y", "z",
    "-", "e", "\0", "inf", "9e999",
];

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 2000,
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn whatever_is_in_a_file_it_is_points_or_problems_that_can_be_shown(
        pieces in prop::collection::vec(prop::sample::select(&PIECES[..]), 0..60),
    ) {
        let text = pieces.concat();
        match read_points(&SourceText::new("points.csv", text.as_str()), 10) {
            Ok(points) => {
                prop_assert!((2..=10).contains(&points.len()));
                prop_assert!(points.iter().flat_map(|p| p.value).all(f64::is_finite));
            }
            Err(problems) => {
                prop_assert!(!problems.is_empty());
                prop_assert!(problem::to_text(&problems, 60).contains("nothing was calculated"));
            }
        }
    }
}
