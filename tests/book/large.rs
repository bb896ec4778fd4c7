//! A made-up plan of a hundred lines, in rows and in one circuit: nothing is lost, and no line takes more of the book
//! because there are others.

#[path = "../../benches/made_up/mod.rs"]
mod made_up;

use hosewright::assess::read_and_assess;
use hosewright::book::{Book, Look, html};
use hosewright::diagnostic::SourceText;
use hosewright::table::Tables;

/// The book of a made-up plan, and how many lines that has.
fn written(rows: usize, coolers: usize) -> (String, usize) {
    let tables = Tables::builtin();
    let file = SourceText::new("plan.toml", made_up::plan(rows, coolers));
    let assessment = read_and_assess(&file, &tables).unwrap_or_else(|p| panic!("{p:?}"));
    let lines = assessment.plan.lines.len();
    (html(&Book::of(&assessment, &tables, &file.text, Look::default())), lines)
}

#[test]
fn a_large_plan_is_drawn_whole_and_takes_its_share() {
    let (small, few) = written(1, 8);
    assert_eq!(few, 20);
    for (rows, coolers) in [(2, 23), (1, 48)] {
        let (book, lines) = written(rows, coolers);
        assert_eq!(lines, 100);
        assert_eq!(book.matches("<article class=\"card\"").count(), lines);
        for id in ["0.1", &format!("0.{}", 2 * coolers + 4)] {
            // In its bubble on a drawing, on its card, in the cut list.
            assert!(book.contains(&format!(">{id}</text>")), "{id} is not drawn");
            assert!(book.contains(&format!(">{id}</h3>")), "{id} has no card");
        }
        let share = |text: &str, lines: usize| text.len() / lines;
        let (one, other) = (share(&book, lines), share(&small, few));
        assert!(
            one * 10 < other * 13,
            "{rows} x {coolers}: {one} bytes a line, {other} in a small plan"
        );
        // Behind this mark stand the letters of a square, which may spell anything.
        let mut words =
            book.split("base64,").map(|piece| piece.split_once('"').map_or(piece, |p| p.1));
        assert!(words.all(|piece| !piece.contains("NaN")), "a number is none");
    }
}
