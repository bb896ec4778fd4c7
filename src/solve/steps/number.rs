//! What a step is held against: worked out for the line, or given by a table.

use super::At;
use crate::plan::Carrier;
use crate::source::{Cite, Sourced};
use crate::table::limit;
use crate::table::step::{
    Ball, StepRow, ball as ball_of, brush_over_bore_mm, cut_tolerance_mm, off_square_mm,
};
use crate::units::{Length, Quantity};

/// The unit of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Degrees.
    Degree,
    /// A count.
    Count,
    /// Bar over the air.
    Bar,
}

/// A figure with the range in which it is accepted.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// What it is.
    pub name: String,
    /// Its unit.
    pub unit: Unit,
    /// What is aimed at; none where only the range is given.
    pub aim: Option<f64>,
    /// The least that is accepted, where that is known.
    pub least: Option<f64>,
    /// The most that is accepted, where that is known.
    pub most: Option<f64>,
    /// What goes with it, in words.
    pub with: Option<String>,
    /// Where the figures come from.
    pub cite: Cite,
}

/// The figure of a name for a step at an end, or of the whole line.
///
/// # Errors
/// In words: what is not known.
pub(super) fn number(
    at: &At<'_>,
    row: &StepRow,
    name: &str,
    end: Option<usize>,
) -> Result<Number, String> {
    let mut number = match name {
        "cut length" => cut_length(at),
        "off square" => most(
            bore(at).and_then(|b| off_square_mm(at.tables, b.value)),
            "no tolerance for this bore",
        ),
        "brush" => brush(at),
        "ball" => ball(at),
        "insertion" => insertion(at, end),
        "hose beyond the bead" => beyond_bead(at),
        "hexagon to socket" => {
            let gap = limit::installation::<Length>(at.tables, "socket-gap-max");
            most(gap.map(|g| g.map(|g| g.si() * 1e3)), "no table gives the gap")
        }
        "pressed diameter" => {
            Err("the maker of hose and fitting states it; no open table does".into())
        }
        "clock angle" => clock(at),
        "sleeves" => Ok(count(at.line.sleeves.len(), "sleeves of the line")),
        "bends" => at.facts.geometry.as_ref().map_or_else(
            |_| Err("the line has no route".into()),
            |g| Ok(count(g.bends.len(), "route")),
        ),
        "proof pressure" => at.proof.clone().ok_or("no proof test is made of it")?,
        "caps on" => Ok(count(2, "two ends of the line")),
        _ => of_row(row),
    }?;
    if number.name.is_empty() {
        name.clone_into(&mut number.name);
    }
    Ok(number)
}

fn of_row(row: &StepRow) -> Result<Number, String> {
    let mm = |length: Option<Length>| length.map(|l| l.si() * 1e3);
    let (least, most) = (mm(row.least), mm(row.most));
    if least.is_none() && most.is_none() {
        return Err("no table gives it".into());
    }
    Ok(Number { least, most, ..millimetres(None, row.text.cite.clone()) })
}

fn millimetres(aim: Option<f64>, cite: Cite) -> Number {
    let name = String::new();
    Number { name, unit: Unit::Millimetre, aim, least: None, most: None, with: None, cite }
}

fn most(limit: Option<Sourced<f64>>, missing: &str) -> Result<Number, String> {
    let limit = limit.ok_or(missing)?;
    Ok(Number { most: Some(limit.value), ..millimetres(None, limit.cite) })
}

fn count(many: usize, what: &str) -> Number {
    // Sleeves, bends and caps are few.
    let aim = u32::try_from(many).ok().map(f64::from);
    Number { unit: Unit::Count, least: aim, most: aim, ..millimetres(aim, Cite::plan(what)) }
}

fn bore<'f>(at: &'f At<'_>) -> Option<&'f Sourced<f64>> {
    at.facts.bore.as_ref()
}

/// The cut length; the builder's own tolerance goes before that of the handbook, which is for hose alone.
fn cut_length(at: &At<'_>) -> Result<Number, String> {
    let makeup = at.facts.makeup.as_ref()?;
    let cut_mm = makeup.cut.cut_mm;
    let own = at.plan.tolerances.cut_mm.map(|t| Sourced::new(t, Cite::plan("cut_tolerance")));
    let hose = matches!(at.line.carrier, Carrier::Hose(_));
    let table = || cut_tolerance_mm(at.tables, cut_mm).filter(|_| hose);
    let cite = Cite::plan("route, ends and slack");
    Ok(match own.or_else(table) {
        None => millimetres(Some(cut_mm), cite),
        Some(off) => Number {
            least: Some(cut_mm - off.value),
            most: Some(cut_mm + off.value),
            ..millimetres(Some(cut_mm), cite.and(&off.cite))
        },
    })
}

fn brush(at: &At<'_>) -> Result<Number, String> {
    let bore = bore(at).ok_or("the bore is not known")?;
    let over = brush_over_bore_mm(at.tables).ok_or("no table gives the brush")?;
    Ok(millimetres(Some(bore.value + over.value), bore.cite.and(&over.cite)))
}

/// The ball of the table of the hose. Where it has none, or one that the narrowest place would hold
/// back, only what it has to be smaller than is known.
fn ball(at: &At<'_>) -> Result<Number, String> {
    let narrowest = narrowest(at);
    let row = at.line.carrier.row().filter(|(kind, _)| *kind == "hose").map(|(_, row)| row);
    let ball = row.and_then(|row| ball_of(at.tables, &row.table, &row.size));
    match (ball, narrowest) {
        (Some(Ball::Of(ball)), Some(bore)) if ball.value >= bore.value => Err(format!(
            "the ball of {:.2} mm ({}) does not pass a bore of {:.2} mm ({}): one of them is not for this hose",
            ball.value, ball.cite, bore.value, bore.cite
        )),
        (Some(Ball::Of(ball)), _) => Ok(millimetres(Some(ball.value), ball.cite)),
        (Some(Ball::Under(by)), Some(bore)) => {
            let [under_least, under_most] = by.value;
            let (least, most) = (bore.value - under_most, bore.value - under_least);
            let cite = bore.cite.and(&by.cite);
            Ok(Number { least: Some(least), most: Some(most), ..millimetres(None, cite) })
        }
        (None, Some(bore)) => Ok(Number { most: Some(bore.value), ..millimetres(None, bore.cite) }),
        (_, None) => Err("no table gives a ball, and no bore is known".into()),
    }
}

/// The least bore that a ball meets: of the carrier, of its fittings, of what the table says of fittings.
fn narrowest(at: &At<'_>) -> Option<Sourced<f64>> {
    let mm = |l: &Sourced<Length>| l.clone().map(|l| l.si() * 1e3);
    let ends = at.line.ends.iter().flatten().filter_map(|e| e.bore.as_ref()).map(mm);
    let of_carrier = match &at.line.carrier {
        Carrier::Hose(hose) => {
            hose.end_bore.as_ref().filter(|_| at.line.ends.iter().any(Option::is_some))
        }
        Carrier::Tube(tube) => tube.end_bore.as_ref(),
    };
    let all = bore(at).cloned().into_iter().chain(ends).chain(of_carrier.map(mm));
    all.reduce(|a, b| if b.value < a.value { b } else { a })
}

fn insertion(at: &At<'_>, end: Option<usize>) -> Result<Number, String> {
    let port = if end == Some(0) { at.line.from } else { at.line.to };
    let (component, port) = at.plan.port(&port);
    if !port.end.is_spigot() {
        return Err("no table gives the depth of the fitting: measure it".into());
    }
    let depth = port.end.insertion.ok_or("the port does not say how far the hose goes on")?;
    let what = format!("insertion of {}.{}", component.id, port.name);
    Ok(millimetres(Some(depth.si() * 1e3), Cite::plan(&what)))
}

fn beyond_bead(at: &At<'_>) -> Result<Number, String> {
    let bore = bore(at).ok_or("the bore is not known")?;
    let table = at.tables.get("limit", "spigot");
    let bores = table.and_then(|t| t.number(t.row(&[("what", "push-on-bores")])?, "least"));
    let bores = bores.ok_or("no table says how many bores")?;
    let cite = bore.cite.and(&bores.cite);
    Ok(Number { least: Some(bores.value * bore.value), ..millimetres(None, cite) })
}

fn clock(at: &At<'_>) -> Result<Number, String> {
    let makeup = at.facts.makeup.as_ref()?;
    let clock = makeup.clock.as_ref()?.as_ref().ok_or("the line has no clock angle")?;
    let aim = clock.angle_rad.to_degrees();
    let off = clock.tolerance.as_ref().map(|t| t.clone().map(f64::to_degrees));
    let route = Cite::plan("route and ends");
    let cite = off.as_ref().map_or(route.clone(), |off| route.and(&off.cite));
    Ok(Number {
        unit: Unit::Degree,
        least: off.as_ref().map(|off| aim - off.value),
        most: off.as_ref().map(|off| aim + off.value),
        ..millimetres(Some(aim), cite)
    })
}
