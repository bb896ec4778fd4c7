//! `book`: one file that shows every line and asks for nothing, in every size; what is refused; hostile names.

use super::{Bench, EXAMPLES, example};

/// What the browser tests print, each example's file must stay below; bytes.
const LARGEST: usize = 1_000_000;

fn written(plan: &str, more: &[&str]) -> String {
    let bench = Bench::new();
    let run = bench.run_args(&[&["book", plan, "--out", "-"], more].concat());
    assert!(run.status < 2, "{plan}: {}", run.err);
    run.out
}

#[test]
fn the_book_of_every_example_is_whole_and_asks_for_nothing() {
    for folder in EXAMPLES {
        let plan = example(folder, "plan.toml");
        let book = written(&plan, &[]);
        assert!(book.len() < LARGEST, "{folder}: {} bytes", book.len());
        for id in ["front", "cards", "cut", "order", "tests", "sheets", "sources"] {
            assert!(
                book.contains(&format!("<section class=\"part\" id=\"{id}\"")),
                "{folder}: {id}"
            );
        }
        let text = std::fs::read_to_string(&plan).unwrap_or_default();
        assert_eq!(
            book.matches("<article class=\"card\"").count(),
            text.matches("[[line]]").count()
        );
        assert!(!book.contains("<script"), "{folder}");
        // Nothing is fetched: no address but the names of W3C's own languages.
        for scheme in ["src=\"http", "href=\"http", "url(", "@import"] {
            assert!(!book.contains(scheme), "{folder}: {scheme}");
        }
        assert!(book.contains("local codes and licensed practice decide"), "{folder}");
        assert_eq!(book, written(&plan, &[]), "{folder}: not the same twice");
    }
}

#[test]
fn cut_lengths_on_the_cards_are_those_of_the_cut_list() {
    let plan = example("01-amphibian", "plan.toml");
    let book = written(&plan, &[]);
    let cut = Bench::new().run_args(&["cut", &plan, "--format", "json"]).json();
    let cards: Vec<&str> = book.split("<article class=\"card\"").skip(1).collect();
    let pieces = cut["pieces"].as_array().cloned().unwrap_or_default();
    assert!(pieces.len() > 20);
    for (card, piece) in cards.iter().zip(&pieces) {
        let (line, mm) = (piece["line"].as_str().unwrap_or_default(), piece["cut_mm"].as_f64());
        assert!(card.contains(&format!(">{line}</h3>")), "{line}");
        let mm = mm.unwrap_or(f64::NAN);
        assert!(card.contains(&format!("<p class=\"number\">{mm:.0} mm</p>")), "{line}: {mm}");
    }
}

/// The codes of the cards by line.
fn codes(book: &str) -> Vec<(String, String)> {
    let list = book.split("<tbody>").nth(1).and_then(|t| t.split("</tbody>").next());
    let rows = list.unwrap_or_default().split("<tr>").skip(1);
    let first = |text: &str, end: &str| text.split(end).next().unwrap_or_default().to_owned();
    rows.map(|row| {
        let line = first(row, "</a>");
        let code = row.split("<code>").nth(1).unwrap_or_default();
        (line.rsplit('>').next().unwrap_or_default().to_owned(), first(code, "</code>"))
    })
    .collect()
}

#[test]
fn a_changed_figure_changes_the_codes_of_its_cards_and_of_no_others() {
    let bench = Bench::new();
    let coded = |text: &str| {
        bench.write("plan.toml", text);
        codes(&written(&bench.path("plan.toml").to_string_lossy(), &["--pocket"]))
    };
    let text = std::fs::read_to_string(example("03-press", "plan.toml")).unwrap_or_default();
    let before = coded(&text);
    assert!(before.len() > 5 && before.iter().all(|(_, code)| code.len() == 12), "{before:?}");
    assert_eq!(coded(&format!("# looked over\n{text}")), before, "a comment stands on no card");
    let id = &before[0].0;
    let after = coded(&text.replace(&format!("\"{id}\""), "\"Z9\""));
    let changed: Vec<usize> = (0..before.len()).filter(|i| before[*i].1 != after[*i].1).collect();
    assert_eq!(changed, [0], "{before:?} {after:?}");
}

#[test]
fn papers_large_type_and_pockets() {
    let plan = example("03-press", "plan.toml");
    assert!(written(&plan, &[]).contains("@page{size:A4;"));
    assert!(written(&plan, &["--paper", "letter"]).contains("@page{size:letter;"));
    assert!(written(&plan, &["--large"]).contains("<body class=\"large\">"));
    let pocket = written(&plan, &["--pocket"]);
    assert!(pocket.contains("105mm 148mm") && !pocket.contains("id=\"order\""));
    let refused = Bench::new().run_args(&["book", &plan, "--pocket", "--large"]);
    assert_eq!(refused.status, 2, "{}", refused.out);
}

#[test]
fn a_book_replaces_a_book_and_nothing_else() {
    let bench = Bench::new();
    let first = bench.run("book plan.toml");
    assert_eq!(first.status, 0, "{}", first.err);
    assert!(first.out.contains("plan-book.html"));
    let written = bench.read("plan-book.html");
    assert_eq!(bench.run("book plan.toml").status, 0);
    assert_eq!(bench.read("plan-book.html"), written);
    bench.write("plan-book.html", "my own page");
    let refused = bench.run("book plan.toml");
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("is there already and is not a book"), "{}", refused.err);
    assert_eq!(bench.read("plan-book.html"), "my own page");
    assert_eq!(bench.run("book plan.toml --out plan.toml").status, 2);
}

#[test]
fn sheets_for_a_drawing_program() {
    let bench = Bench::new();
    let plan = example("01-amphibian", "plan.toml");
    let missing = bench.run_args(&["book", &plan, "--out", "b.html", "--dxf", "sheets"]);
    assert_eq!(missing.status, 2);
    assert!(!bench.path("b.html").exists(), "half of it was written");
    bench.folder("sheets");
    let done = bench.run_args(&["book", &plan, "--out", "b.html", "--dxf", "sheets"]);
    assert!(done.status < 2, "{}", done.err);
    for name in ["strap-1", "radii", "bends-1"] {
        assert!(bench.read(&format!("sheets/{name}.dxf")).ends_with("EOF\n"), "{name}");
    }
    let again = bench.run_args(&["book", &plan, "--out", "c.html", "--dxf", "sheets"]);
    assert_eq!(again.status, 2);
}

#[test]
fn hostile_names_stay_text() {
    let bench = Bench::new();
    let name = "<script>alert(1)</script>\\\"'&amp;";
    let text = bench.read("plan.toml");
    let lines: Vec<String> = text
        .lines()
        .map(|l| if l.starts_with("name ") { format!("name = \"{name}\"") } else { l.to_owned() })
        .collect();
    bench.write("plan.toml", &lines.join("\n"));
    let run = bench.run("book plan.toml --out -");
    assert!(run.status < 2, "{}", run.err);
    assert!(!run.out.contains("<script"), "it broke out");
    assert!(
        run.out.contains("&lt;script&gt;alert(1)&lt;/script&gt;&quot;'&amp;amp;"),
        "not as typed"
    );
}
