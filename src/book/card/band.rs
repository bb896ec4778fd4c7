//! What runs in a line, as a word, a colour and a pattern.

use maud::{Markup, html};

use super::Card;
use crate::book::canvas::Canvas;
use crate::source::Sourced;
use crate::table::Tables;

/// The standard that lends its words and colours.
const TABLE: &str = "mil-std-1247";
/// Width and height of one field of the band, mm.
const FIELD_MM: [f64; 2] = [12.0, 9.0];
/// Distance of the lines of a pattern, mm.
const PITCH_MM: f64 = 1.2;

/// A word and the colours that go with it.
struct Marking {
    word: String,
    colours: Vec<String>,
    source: String,
}

/// Fluid and band of a card.
pub fn band(card: &Card<'_>) -> Markup {
    let fluid = &card.plan.fluids[card.planned().fluid];
    let marking = marking(card.tables, &fluid.fluid.use_);
    html! {
        div .fluid {
            @match &marking {
                Some(marking) => {
                    (fields(marking))
                    p { strong { (marking.word) } " " (fluid.id) ", " (runs(card)) }
                    p .source { "Colour: " (marking.colours.join(" and ")) ". " (marking.source) }
                }
                None => p { strong { (fluid.fluid.use_) } " " (fluid.id) ", " (runs(card)) }
            }
        }
    }
}

/// Service and system of the line.
fn runs(card: &Card<'_>) -> String {
    format!("{}, system {}", card.planned().service.word(), card.planned().system)
}

/// Word and colours of the band; nothing where the standard has none for the fluid.
pub fn words(card: &Card<'_>) -> Option<String> {
    let fluid = &card.plan.fluids[card.planned().fluid];
    let marking = marking(card.tables, &fluid.fluid.use_)?;
    Some(format!("band {} in {}", marking.word, marking.colours.join(" and ")))
}

fn marking(tables: &Tables, fluid_use: &str) -> Option<Marking> {
    let table = tables.get("marking", TABLE)?;
    let row = table.row(&[("use", fluid_use)])?;
    let Sourced { value: word, cite } = table.words(row, "word")?;
    let colours = table.words(row, "colours")?.value;
    let colours = colours.split_whitespace().map(str::to_owned).collect();
    Some(Marking { word, colours, source: cite.to_string() })
}

/// One field for each colour, in the colour and in its hatching.
fn fields(marking: &Marking) -> Markup {
    let [width, height] = FIELD_MM;
    let count = f64::from(u32::try_from(marking.colours.len()).unwrap_or(1));
    let title = format!("band: {}", marking.colours.join(" and "));
    let mut canvas = Canvas::new([width * count + 1.0, height + 1.0], title);
    let mut left = 0.5;
    for colour in &marking.colours {
        let corner = [left, 0.5];
        canvas.rectangle(corner, FIELD_MM, &format!("field {colour}"));
        hatch(&mut canvas, corner, colour);
        left += width;
    }
    canvas.svg()
}

/// The hatchings of heraldry (Petra Sancta; from memory) tell colours apart in black and white: red upright,
/// blue level, green slanting, yellow in dots.
fn hatch(canvas: &mut Canvas, [left, top]: [f64; 2], colour: &str) {
    let [width, height] = FIELD_MM;
    let steps = |length: f64| {
        (1..).map(|i| f64::from(i) * PITCH_MM).take_while(move |at| *at < length - 0.1)
    };
    match colour {
        "red" => steps(width).for_each(|x| {
            canvas.line([left + x, top], [left + x, top + height], "hatch");
        }),
        "blue" => steps(height).for_each(|y| {
            canvas.line([left, top + y], [left + width, top + y], "hatch");
        }),
        "yellow" => {
            for y in steps(height) {
                for x in steps(width) {
                    canvas.circle([left + x, top + y], 0.15, "hatch dot");
                }
            }
        }
        "green" => steps(width - height).chain([0.0]).for_each(|x| {
            canvas.line([left + x, top], [left + x + height, top + height], "hatch");
        }),
        _ => {}
    }
}
