//! How fast the fluid runs in each line in its worst case, against its limit.

use maud::{Markup, html};

use super::axes::{Axis, Kind};
use super::in_numbers;
use crate::book::canvas::{Anchor, Canvas, LETTER_MM, Point, width_mm};
use crate::book::{Book, mark};
use crate::finding::{Finding, Verdict};
use crate::report::units::{Column, velocity};

/// Width of the plot, mm.
const WIDTH_MM: f64 = 180.0;
/// Height of a bar and of its row, mm.
const BAR_MM: f64 = 3.0;
const ROW_MM: f64 = 5.6;
/// Where bars end, mm: behind them stands what they say.
const RIGHT_MM: f64 = 116.0;
/// Over the first bar and under the last, mm.
const TOP_MM: f64 = 3.0;
const FOOT_MM: f64 = 10.0;

/// A line in its worst case.
struct Bar<'b> {
    id: &'b str,
    /// In the bore, m/s.
    bore_m_s: f64,
    /// In the narrowest end, m/s.
    throat_m_s: f64,
    limit_m_s: Option<f64>,
    verdict: Verdict,
    case: &'b str,
}

/// The plot of all lines in which something flows.
pub fn plot(book: &Book<'_>) -> Markup {
    let bars = bars(book);
    let most = bars.iter().flat_map(|b| [Some(b.bore_m_s), Some(b.throat_m_s), b.limit_m_s]);
    let most = most.flatten().fold(0.0, f64::max);
    let widest = bars.iter().map(|b| width_mm(b.id, LETTER_MM)).fold(0.0, f64::max);
    let left = (widest + 4.0).min(50.0);
    let rows = f64::from(u32::try_from(bars.len()).unwrap_or(u32::MAX));
    let system = book.look.system;
    let bottom = TOP_MM + ROW_MM * rows;
    let axis = Axis::new("velocity", Kind::Velocity, system, [0.0, most], [left, RIGHT_MM]);
    let Some(axis) = axis else { return html! {} };
    let mut canvas =
        Canvas::new([WIDTH_MM, bottom + FOOT_MM], "Velocity in each line against its limit");
    for (number, words) in axis.marks() {
        let at = axis.at(number);
        canvas.line([at, TOP_MM], [at, bottom + 1.2], "hair");
        canvas.text([at, bottom + 4.2], &words, Anchor::Middle, "small");
    }
    canvas.text([RIGHT_MM, bottom + 8.4], &axis.head(), Anchor::End, "small");
    let mut middle = TOP_MM + 0.5 * ROW_MM;
    for bar in &bars {
        draw(&mut canvas, &axis, (bar, left, middle), book);
        middle += ROW_MM;
    }
    html! {
        h3 { "Velocity in each line" }
        (canvas.figure(CAPTION))
        (table(book, &bars))
    }
}

const CAPTION: &str = "Bar: mean velocity in the bore, in the case that is worst for that line. Short \
upright: in its narrowest end. Long thick upright: the limit of the plan or the table. Where there is none, neither \
has one. Black: the bore itself is over it.";

/// Every line by the finding of its worst case: the worst verdict, then the highest velocity.
fn bars<'b>(book: &'b Book<'_>) -> Vec<Bar<'b>> {
    let assessment = book.assessment;
    let worst = |line: usize| -> Option<Bar<'b>> {
        let id = assessment.plan.lines[line].id.as_str();
        let own =
            assessment.findings.iter().filter(|f| f.code == "hydraulics.velocity" && f.place == id);
        let fast = |f: &&Finding| f.value.filter(|v| *v > 0.0).map(|v| (f.verdict, v));
        let finding = own.filter(|f| fast(f).is_some()).max_by(|a, b| {
            let (a, b) =
                (fast(a).unwrap_or((Verdict::Ok, 0.0)), fast(b).unwrap_or((Verdict::Ok, 0.0)));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        })?;
        let case = finding.case.as_deref()?;
        let index = assessment.facts.cases.iter().position(|c| c.name == case)?;
        let duty = assessment.facts.lines[line].duties.iter().find(|d| d.case == index)?;
        let flow = duty.flow.as_ref().ok()?;
        let (bore_m_s, throat_m_s) = (flow.velocity_m_s.abs(), flow.throat_m_s);
        let (limit_m_s, verdict) = (finding.limit, finding.verdict);
        Some(Bar { id, bore_m_s, throat_m_s, limit_m_s, verdict, case })
    };
    (0..assessment.plan.lines.len()).filter_map(worst).collect()
}

fn draw(
    canvas: &mut Canvas,
    axis: &Axis,
    (bar, left, middle): (&Bar<'_>, f64, f64),
    book: &Book<'_>,
) {
    canvas.text([left - 1.5, middle + 1.1], bar.id, Anchor::End, "");
    let upright = |canvas: &mut Canvas, number: f64, half: f64, class: &str| {
        let at: Point = [axis.at(number), middle];
        canvas.line([at[0], at[1] - half], [at[0], at[1] + half], class);
    };
    let end = axis.at(bar.bore_m_s);
    let over = bar.limit_m_s.is_some_and(|l| bar.bore_m_s > l);
    let class = if over { "thin filled" } else { "thin wash" };
    canvas.rectangle([left, middle - 0.5 * BAR_MM], [end - left, BAR_MM], class);
    upright(canvas, bar.throat_m_s, 0.5 * BAR_MM, "thin");
    if let Some(limit) = bar.limit_m_s {
        upright(canvas, limit, 0.5 * ROW_MM - 0.2, "thick");
    }
    let shape = if bar.verdict == Verdict::Ok { "" } else { mark::shape(bar.verdict) };
    let words = format!("{} {shape}", velocity(bar.bore_m_s, book.look.system));
    canvas.text([RIGHT_MM + 3.0, middle + 0.9], words.trim_end(), Anchor::Start, "small");
}

fn table(book: &Book<'_>, bars: &[Bar<'_>]) -> Markup {
    let system = book.look.system;
    let number = |v: f64| Column::Velocity.number(v, system);
    in_numbers(&html! {
        tr {
            th { "line" }
            th { (Column::Velocity.head("bore", system)) }
            th { (Column::Velocity.head("narrowest", system)) }
            th { (Column::Velocity.head("limit", system)) }
            th { "verdict" }
            th { "case" }
        }
        @for bar in bars {
            tr {
                th { (bar.id) }
                td .number { (number(bar.bore_m_s)) }
                td .number { (number(bar.throat_m_s)) }
                td .number { (bar.limit_m_s.map_or_else(|| "-".to_owned(), number)) }
                td { (mark::verdict(bar.verdict)) }
                td { (bar.case) }
            }
        }
    })
}
