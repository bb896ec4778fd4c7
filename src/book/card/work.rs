//! What is written on a card: measured values beside what is right, caps, signatures.

use maud::{Markup, html};

use super::{Card, words};
use crate::plan::Carrier;

/// The part of the card that is filled in.
pub fn work(card: &Card<'_>) -> Markup {
    html! {
        table .blanks {
            caption { "Measured" }
            thead { tr { th { "what" } th { "right" } th { "is" } } }
            tbody {
                @for (what, right) in blanks(card) { tr { td { (what) } td { (right) } td .blank {} } }
            }
        }
        (signatures())
    }
}

/// What is measured on the finished line, and what is right.
pub fn blanks(card: &Card<'_>) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    if let Ok(makeup) = &card.facts().makeup {
        let cut_mm = makeup.cut.cut_mm;
        let cut = card.book.assessment.plan.tolerances.cut_mm.map_or_else(
            || format!("{cut_mm:.0} mm, tolerance open"),
            |t| format!("{:.1} to {:.1} mm", cut_mm - t, cut_mm + t),
        );
        rows.push(("cut length", cut));
        if matches!(card.planned().carrier, Carrier::Hose(_)) {
            rows.push(("assembly", words::window(card, makeup)));
        }
        if let Ok(Some(clock)) = &makeup.clock {
            let angle = clock.angle_rad.to_degrees();
            let right = clock.tolerance.as_ref().map_or_else(
                || format!("{angle:.0} deg, tolerance open"),
                |t| {
                    let by = t.value.to_degrees();
                    format!("{:.0} to {:.0} deg", angle - by, angle + by)
                },
            );
            rows.push(("clock angle", right));
        }
    }
    rows.push(("caps put on, caps taken off", "the same number".to_owned()));
    rows
}

/// Two people, since nobody sees the own mistake.
fn signatures() -> Markup {
    html! {
        div .signs {
            div { p { "Made by, date" } }
            div { p { "Looked over by another, date" } }
        }
    }
}
