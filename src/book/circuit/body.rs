//! A component as it is drawn: its size, the places of its ports, and how it looks.

use super::group::{Group, Meeting};
use super::inner::{Inner, inner};
use super::layout::{Block, Pin, Side};
use super::letter::{SMALL, USUAL, fitted, in_two, width};
use super::setting;
use super::symbol::{Heat, Symbol};
use crate::book::Book;

/// Steps of the layout in a millimetre.
pub const STEPS: f64 = 2.0;
/// Height of a row, mm.
pub const ROW: f64 = 8.0;
/// Least width of a component, mm: two lines of its name.
const LEAST: f64 = 30.0;
/// Names of ports longer than this are cut, mm.
const PORT: f64 = 22.0;
/// Names of components take no more than this in a line, mm.
const NAME: f64 = 36.0;

/// How a component looks.
#[derive(Clone, Debug)]
pub enum Look {
    /// One symbol between two ports, and whether its flow goes to the right.
    One(Symbol, bool),
    /// A vessel, open at the top or closed.
    Tank {
        /// Whether the air stands over it.
        open: bool,
    },
    /// A symbol at the end of each port.
    Ends(Symbol),
    /// Paths side by side, with the wires to their ports.
    Paths(Inner),
    /// A place where wires meet.
    Tee(Inner),
    /// A box with its ports.
    Plain,
}

/// A component as it is drawn.
#[derive(Clone, Debug)]
pub struct Body {
    /// Its index.
    pub component: usize,
    /// Where pipes meet it; the pins of its block in their order.
    pub meetings: Vec<Meeting>,
    /// Names at the pins.
    pub names: Vec<String>,
    /// Its id, and its name in two lines.
    pub id: String,
    /// The name.
    pub title: [String; 2],
    /// What is told below.
    pub foot: Vec<String>,
    /// How it looks.
    pub look: Look,
    /// Whether the symbol of a cylinder stands below, since its paths have none.
    pub emblem: bool,
    /// Its rows, width and pins.
    pub block: Block,
}

/// A component as it is drawn in a group; rooms are what pipes run straight on outside, steps.
pub fn body(
    book: &Book<'_>,
    group: &Group<'_>,
    component: usize,
    rooms: &dyn Fn(&Meeting) -> i32,
) -> Body {
    let plan = &book.assessment.plan;
    let part = &plan.components[component];
    let meetings = group.meetings(plan, component);
    let names: Vec<String> =
        meetings.iter().map(|m| fitted(&part.ports[m.port].name, SMALL, PORT)).collect();
    let look = look(book, group, component, &meetings);
    let mut foot: Vec<String> = Vec::new();
    let single = matches!(look, Look::One(..));
    let paths = || group.paths.range((component, 0)..(component + 1, 0));
    if single {
        foot.extend(paths().filter_map(|(_, p)| setting::law(&part.paths[*p], book.look.system)));
    }
    foot.extend(setting::state(part, single));
    let foot: Vec<String> = foot.iter().map(|f| fitted(f, SMALL, NAME + 4.0)).collect();
    let rows = rows(&look, &meetings);
    let below = i32::from(!foot.is_empty());
    let last = rows.iter().copied().max().unwrap_or(1).max(depth(&look));
    let id = fitted(&part.id, USUAL, NAME);
    let wide = across(&look, &meetings, &names);
    let longest = foot.iter().map(|f| width(f, SMALL)).fold(wide.max(LEAST), f64::max);
    let title = title(&id, part.name.as_deref().unwrap_or(""), longest);
    let second = width(&title[1], SMALL);
    let first = width(&id, USUAL) * 1.15 + 1.5 + width(&title[0], SMALL);
    let wide = longest.max(first).max(second) + padding(&look);
    let pin = |(m, row): (&Meeting, &i32)| Pin { side: m.side, row: *row, room: rooms(m) };
    let pins = meetings.iter().zip(&rows).map(pin).collect();
    let emblem = part.kind == "cylinder" && !single;
    let block = Block { width: steps(wide), rows: last + 1 + below + i32::from(emblem), pins };
    Body { component, meetings, names, id, title, foot, look, emblem, block }
}

/// Room left and right of what is written in a frame, mm.
fn padding(look: &Look) -> f64 {
    if matches!(look, Look::One(..) | Look::Ends(_) | Look::Tee(_)) { 0.0 } else { 3.0 }
}

/// Millimetres as steps, rounded up to an even number so that the middle is one too.
#[expect(clippy::cast_possible_truncation, reason = "a component is less than 2^31 steps wide")]
pub fn steps(mm: f64) -> i32 {
    2 * (mm * STEPS / 2.0).ceil().clamp(1.0, 1e6) as i32
}

/// A name beside and below an id, in the least room that holds it.
fn title(id: &str, name: &str, least: f64) -> [String; 2] {
    let beside = width(id, USUAL) * 1.15 + 1.5;
    let rooms = [0.0, 3.0, 6.0, 9.0, 12.0].map(|more| least + more);
    let lines = rooms.map(|room| in_two(name, SMALL, [room - beside, room]));
    let whole = lines.iter().find(|l| !l[1].ends_with('\u{2026}'));
    whole.unwrap_or(&lines[2]).clone()
}

fn look(book: &Book<'_>, group: &Group<'_>, index: usize, meetings: &[Meeting]) -> Look {
    let plan = &book.assessment.plan;
    let component = &plan.components[index];
    let paths: Vec<usize> = group.paths.range((index, 0)..(index + 1, 0)).map(|p| p.1).collect();
    let on = |side| meetings.iter().filter(move |m| m.side == side);
    let through = on(Side::Left).count() == 1 && on(Side::Right).count() == 1;
    if let [path] = paths.as_slice() {
        let symbol = group.symbol(plan, index, *path);
        let left = on(Side::Left).next().map(|m| m.port);
        if through {
            return Look::One(symbol, left == Some(component.paths[*path].from));
        }
    }
    if !paths.is_empty() {
        return Look::Paths(inner(book, group, index, meetings));
    }
    match (component.kind.as_str(), Symbol::of_kind(&component.kind)) {
        ("tank", _) => {
            let tank = component.tank.as_ref();
            let closed = tank.is_some_and(|t| {
                t.cap.is_some() || t.pressure.is_some_and(|p| crate::units::Quantity::si(p) != 0.0)
            });
            Look::Tank { open: !closed }
        }
        ("tee", _) => Look::Tee(inner(book, group, index, meetings)),
        ("vent" | "gauge", Some(symbol)) => Look::Ends(symbol),
        (_, Some(symbol)) if through => Look::One(symbol, true),
        _ => Look::Plain,
    }
}

/// Rows of the pins, counted from the top.
fn rows(look: &Look, meetings: &[Meeting]) -> Vec<i32> {
    if let Look::Paths(inner) | Look::Tee(inner) = look {
        return inner.rows.clone();
    }
    let mut next = [1, 1];
    let row = |m: &Meeting| {
        let next = &mut next[usize::from(m.side == Side::Right)];
        *next += 1;
        *next - 1
    };
    meetings.iter().map(row).collect()
}

/// The last row that is drawn in.
fn depth(look: &Look) -> i32 {
    match look {
        Look::Paths(inner) | Look::Tee(inner) => inner.last,
        _ => 1,
    }
}

/// Width that the inside takes, mm.
fn across(look: &Look, meetings: &[Meeting], names: &[String]) -> f64 {
    let longest = |side| {
        let of_side = meetings.iter().zip(names).filter(|(m, _)| m.side == side);
        of_side.map(|(_, name)| width(name, SMALL) + 2.0).fold(0.0, f64::max)
    };
    let names = longest(Side::Left) + longest(Side::Right);
    match look {
        Look::One(symbol, _) => {
            2.0 * (longest(Side::Left).max(longest(Side::Right)) + symbol.reach())
        }
        Look::Ends(symbol) => names + symbol.reach() + 4.0,
        Look::Paths(inner) | Look::Tee(inner) => inner.width(),
        Look::Tank { .. } | Look::Plain => names + 4.0,
    }
}

impl Group<'_> {
    /// The symbol of a path, by what the answer says of its heat.
    pub fn symbol(&self, plan: &crate::plan::Plan, component: usize, path: usize) -> Symbol {
        let part = &plan.components[component];
        Symbol::of_path(part, &part.paths[path], path, self.gas, self.heat(component, path))
    }

    fn heat(&self, component: usize, path: usize) -> Heat {
        let flow = self.answer.and_then(|(_, answer)| {
            answer.paths.iter().find(|p| p.component == component && p.path == path)
        });
        match flow.map(|f| f.outlet_k - f.inlet_k) {
            Some(rise) if rise > LEAST_RISE_K => Heat::In,
            Some(rise) if rise < -LEAST_RISE_K => Heat::Out,
            _ => Heat::Either,
        }
    }
}

/// A smaller change of temperature is not drawn as heating or cooling, K.
const LEAST_RISE_K: f64 = 0.05;
