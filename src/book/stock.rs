//! The cut list, and every bar drawn to scale with what comes out of it.

use maud::{Markup, html};

use super::canvas::{Anchor, Canvas};
use super::{Book, Part, heading, mark};
use crate::finding::Verdict;
use crate::makeup::stock::{Bar, CuttingPlan};
use crate::report::units::length;
use crate::solve::makeup::StockFacts;
use crate::units::{Length, Quantity, inch_fraction};

const ID: &str = "cut";
/// Length of the longest bar on paper, mm.
const WIDTH_MM: f64 = 176.0;
/// Height of a bar on paper, mm.
const BAR_MM: f64 = 9.0;
/// A piece narrower than this on paper has no room for its name, mm.
const ROOM_MM: f64 = 9.0;

/// The cut list.
pub fn part(book: &Book<'_>) -> Part {
    let body = html! {
        (heading(ID, "What to cut"))
        (pieces(book))
        @for stock in &book.assessment.facts.cutting { (bars(book, stock)) }
    };
    Part::new(ID, "What to cut", body)
}

fn pieces(book: &Book<'_>) -> Markup {
    let facts = &book.assessment.facts.lines;
    html! {
        div .scroll tabindex="0" { table {
            caption { "Pieces, longest first" }
            thead { tr {
                th scope="col" { "line" } th scope="col" { "of" }
                th scope="col" .number { "cut mm" } th scope="col" .number { "nearest 1/32 in" }
                th scope="col" .number { "assembly mm" } th scope="col" { "cut" }
            } }
            tbody {
                @for index in longest_first(book) {
                    @let line = &facts[index];
                    tr {
                        th scope="row" { (line.id) }
                        td { (line.carrier) }
                        @match &line.makeup {
                            Ok(makeup) => {
                                td .number { b { (format!("{:.0}", makeup.cut.cut_mm)) } }
                                td .number { (inch_fraction(Length::from_si(makeup.cut.cut_mm / 1e3), 32).to_string()) }
                                td .number { (format!("{:.0}", makeup.cut.assembly_mm)) }
                            }
                            Err(why) => td colspan="3" { (mark::verdict(Verdict::Open)) " " (why) },
                        }
                        td .tick { "\u{2610}" }
                    }
                }
            }
        } }
    }
}

fn longest_first(book: &Book<'_>) -> Vec<usize> {
    let lines = &book.assessment.facts.lines;
    let cut_mm = |i: &usize| lines[*i].makeup.as_ref().map_or(f64::NEG_INFINITY, |m| m.cut.cut_mm);
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| cut_mm(b).total_cmp(&cut_mm(a)));
    order
}

fn bars(book: &Book<'_>, stock: &StockFacts) -> Markup {
    html! {
        h3 { (stock.of) }
        @match &stock.plan {
            Err(why) => p { (mark::verdict(Verdict::Open)) " " (why) },
            Ok(plan) => {
                (picture(book, stock, plan))
                p { (said(book, plan)) }
                @for (index, why) in left_out(plan) {
                    @if let Some(piece) = stock.pieces.get(index) {
                        p { "Not cut: " b { (piece.label) } " "
                            (length(piece.length_mm, book.look.system)) ", " (why) }
                    }
                }
            }
        }
    }
}

fn left_out(plan: &CuttingPlan) -> impl Iterator<Item = (usize, &'static str)> {
    let too_long = plan.too_long.iter().map(|i| (*i, "no stock is long enough"));
    too_long.chain(plan.not_placed.iter().map(|i| (*i, "the stock is used up")))
}

/// The bars under each other, in scale to each other.
fn picture(book: &Book<'_>, stock: &StockFacts, plan: &CuttingPlan) -> Markup {
    let longest_mm = plan.bars.iter().map(|b| b.length_mm).fold(0.0, f64::max);
    if longest_mm <= 0.0 {
        return html! {};
    }
    let scale = WIDTH_MM / longest_mm;
    let count = f64::from(u32::try_from(plan.bars.len()).unwrap_or(u32::MAX));
    let title = format!("Bars of {} with the pieces cut from them", stock.of);
    let mut canvas = Canvas::new([WIDTH_MM + 8.0, count * (BAR_MM + 7.0) + 2.0], title);
    let mut top = 5.0;
    for bar in &plan.bars {
        draw(&mut canvas, bar, top, scale);
        top += BAR_MM + 7.0;
    }
    let words: Vec<String> = plan.bars.iter().map(|bar| in_words(book, bar)).collect();
    canvas.figure(&words.join(" "))
}

fn draw(canvas: &mut Canvas, bar: &Bar, top: f64, scale: f64) {
    let left = 2.0;
    canvas.text([left, top - 1.0], &format!("{:.0} mm", bar.length_mm), Anchor::Start, "small");
    canvas.rectangle([left, top], [bar.length_mm * scale, BAR_MM], "");
    let mut x = left;
    for cut in &bar.cuts {
        let width = cut.length_mm * scale;
        canvas.rectangle([x, top], [width, BAR_MM], "wash");
        if width >= ROOM_MM {
            let middle = x + 0.5 * width;
            canvas.text([middle, top + 4.0], &cut.label, Anchor::Middle, "");
            let words = format!("{:.0}", cut.length_mm);
            canvas.text([middle, top + 7.6], &words, Anchor::Middle, "small");
        }
        x += width;
    }
    let spare = bar.left_mm * scale;
    if spare >= ROOM_MM {
        let words = format!("left {:.0}", bar.left_mm);
        let end = left + bar.length_mm * scale;
        canvas.text([end - 0.5 * spare, top + 5.6], &words, Anchor::Middle, "small");
    }
}

fn in_words(book: &Book<'_>, bar: &Bar) -> String {
    let shown = |mm: f64| length(mm, book.look.system);
    let cuts: Vec<String> =
        bar.cuts.iter().map(|c| format!("{} {}", c.label, shown(c.length_mm))).collect();
    format!("Of {}: {}; left {}.", shown(bar.length_mm), cuts.join(", "), shown(bar.left_mm))
}

fn said(book: &Book<'_>, plan: &CuttingPlan) -> String {
    let proven = if plan.proven {
        "No other plan buys less.".to_owned()
    } else {
        format!(
            "No plan buys fewer than {} bars; this one is not proven to be the best.",
            plan.least_bought
        )
    };
    let spare = plan.spare.as_ref().map_or(String::new(), |s| {
        format!(
            " The longest spare that still comes out is {}.",
            length(s.length_mm, book.look.system)
        )
    });
    format!("{proven}{spare}")
}
