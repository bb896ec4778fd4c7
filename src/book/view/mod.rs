//! Views of the routed lines to scale: from above, from the side and forward, in every attitude of the cases.

mod body;
pub mod label;
mod name;
pub mod projection;
pub mod scale;
mod scene;
mod sheet;
mod stroke;
pub mod table;

use maud::{Markup, html};

use super::{Book, Part, heading};
use crate::solve::measured::as_built;
use projection::{Aspect, Projection};
use scene::{Attitude, Scene, attitudes};
use sheet::{Drawn, Sheet};

const ID: &str = "views";
const TITLE: &str = "Views of the lines";
/// A view that turns by less shows nothing new, rad.
const LEAST_TURN_RAD: f64 = 1e-3;

/// The views.
pub fn part(book: &Book<'_>) -> Part {
    let built = as_built(&book.assessment.plan);
    let scenes = Scene::all(book, &built.plan);
    let attitudes = attitudes(book);
    let body = html! {
        (heading(ID, TITLE))
        (key())
        @for scene in &scenes {
            @for (index, attitude) in attitudes.iter().enumerate() {
                (views(scene, attitude, index == 0))
            }
            @if !scene.undrawn.is_empty() { (undrawn(scene)) }
        }
    };
    Part::new(ID, TITLE, body)
}

/// What the signs mean, once.
fn key() -> Markup {
    html! {
        p {
            "Printed at 100 % each drawing has the scale that stands on it; measure its bar before you \
             measure anything else. The figures at the edges are the coordinates of the plan."
        }
        ul {
            li {
                "Thick: centre lines as routed, arcs true; thinner: vents, drains, overflows, fill and gauge \
                 lines. An arrow head points from end A to end B. Where two lines cross, the farther one has a \
                 gap. A thin line on both sides of a line: a sleeve."
            }
            li {
                "A cross is a clip, numbered from end A, with its line where another runs close by. \
                 A dot is a port. Broken: what the ports of a \
                 component span, not its shape. Tinted: keep clear."
            }
            li {
                "A triangle up is a high point, down a low one; it is filled where air or liquid stays. "
                "A name for which there is no room is left out; the table below has it."
            }
        }
    }
}

/// The views of a scene in an attitude; in one that is not level those that it turns.
fn views(scene: &Scene<'_>, attitude: &Attitude, level: bool) -> Markup {
    let turns = |aspect: &Aspect| {
        let projection = Projection::new(&scene.plan.axes, *aspect);
        let lean = projection.lean_rad(attitude.up).abs();
        level || (*aspect != Aspect::Top && lean > LEAST_TURN_RAD)
    };
    let aspects: Vec<Aspect> = Aspect::ALL.into_iter().filter(turns).collect();
    let drawn: Vec<(Aspect, Option<Drawn>)> = aspects
        .into_iter()
        .map(|aspect| (aspect, Sheet { scene, attitude, aspect, level }.draw()))
        .collect();
    if drawn.is_empty() || scene.lines.is_empty() {
        return html! {};
    }
    let last = drawn.len() - 1;
    html! {
        @for (index, (aspect, drawn)) in drawn.into_iter().enumerate() {
            // Heading and table stand on the sheets of the drawings, which lie on their sides.
            div class=(if drawn.as_ref().is_some_and(|d| d.wide) { "wide" } else { "tall" }) {
                @if index == 0 { h3 { (scene.system) ", " (attitude.words) } }
                @match drawn {
                    Some(drawn) => (figure(scene, attitude, aspect, drawn)),
                    None => p { "The " (aspect.words()) " is too large for 1 : 100 on this paper." }
                }
                @if index == last { (table::table(scene, attitude, level)) }
            }
        }
    }
}

fn figure(scene: &Scene<'_>, attitude: &Attitude, aspect: Aspect, drawn: Drawn) -> Markup {
    let cases = &scene.book.assessment.facts.cases;
    let names: Vec<&str> = attitude.cases.iter().map(|c| cases[*c].name.as_str()).collect();
    let cases =
        if names.is_empty() { String::new() } else { format!(" Cases: {}.", names.join("; ")) };
    let water = if drawn.water_outside { " The waterline lies outside this drawing." } else { "" };
    let caption = format!(
        "{}, {}, {}, at {}.{cases}{water}",
        scene.system,
        aspect.words(),
        attitude.words,
        scale::words(drawn.scale)
    );
    drawn.canvas.figure(&capital(&caption))
}

/// A sentence with a capital letter at its beginning.
fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    first + letters.as_str()
}

fn undrawn(scene: &Scene<'_>) -> Markup {
    html! {
        p { "Not drawn, since there is no route:" }
        ul {
            @for (line, why) in &scene.undrawn {
                li { strong { (scene.plan.lines[*line].id) } ": " (why) }
            }
        }
    }
}
