//! The one reading, among those not taken, that is expected to tell most.

use super::judge::{Bench, Pair, count};
use super::line::Wanted;
use super::outcome::{Answer, Group, Part, chances, seats};
use super::read::{Errors, Pile, Pipe};
use crate::identify::IdentifyError;
use crate::identify::assignment::Assignment;
use crate::identify::information::expected_bits;
use crate::identify::reading::Reading;
use crate::identify::thread::ThreadForm;

/// Bins that sizes are sorted into, on a scale of ratios.
const BINS: usize = 2000;
/// Chances below this are left out.
const SMALLEST_CHANCE: f64 = 1e-9;
/// Bits below this are no reason to measure.
const LEAST_BITS: f64 = 1e-9;
/// Error of a length or bore, as a share, where the pile does not say how well they are read.
const USUAL_ERROR: f64 = 0.01;

/// A reading to take.
#[derive(Clone, Copy, Debug)]
pub struct Measurement {
    /// Index of the pipe.
    pub pipe: usize,
    /// What to read.
    pub part: Part,
    /// Bits of doubt that it is expected to take away.
    pub bits: f64,
}

/// What a pipe may be: a line with its way round, or a stranger.
#[derive(Clone, Copy)]
enum MayBe<'m> {
    Line(&'m Wanted, bool),
    Stranger(Option<f64>),
}

/// The reading that tells most; none where nothing is in doubt.
pub fn next(
    bench: &Bench<'_>,
    pile: &Pile,
    wanted: &[Wanted],
    pairs: &[Vec<Pair>],
    (groups, answers, assignment): (&[Group], &[Answer], &Assignment),
) -> Result<Option<Measurement>, IdentifyError> {
    let mut best: Option<Measurement> = None;
    for (index, pipe) in pile.pipes.iter().enumerate() {
        let chances = chances(groups, assignment, index);
        let may_be = may_be(bench, pipe, (wanted, &pairs[index]), groups, &chances);
        for part in untaken(pipe, &answers[index]) {
            let bits = bits(bench, &pile.errors, part, &may_be)?;
            if bits > best.map_or(LEAST_BITS, |b| b.bits + LEAST_BITS) {
                best = Some(Measurement { pipe: index, part, bits });
            }
        }
    }
    Ok(best)
}

/// What was not read of a pipe; a seat only where a thread is known to have several.
fn untaken(pipe: &Pipe, answer: &Answer) -> Vec<Part> {
    let mut parts = answer.unread.clone();
    let mut add = |part, taken: bool| {
        if !taken && !parts.contains(&part) {
            parts.push(part);
        }
    };
    add(Part::Length, pipe.length.is_some());
    add(Part::Bore, pipe.bore.is_some());
    for (end, read) in pipe.ends.iter().enumerate() {
        let measured = read.diameter.is_some() && read.pitch.is_some();
        add(Part::Thread(end), read.thread.is_some() || measured);
        add(Part::Angle(end), read.angle.is_some());
        add(Part::Cone(end), read.cone.is_some());
    }
    parts
}

/// What a pipe may be, with chances that sum to one; a stranger by the seats that its thread may have.
fn may_be<'m>(
    bench: &Bench<'_>,
    pipe: &Pipe,
    (wanted, pairs): (&'m [Wanted], &[Pair]),
    groups: &[Group],
    chances: &[f64],
) -> Vec<(MayBe<'m>, f64)> {
    let mut list = Vec::new();
    for (group, chance) in groups.iter().zip(chances) {
        let line = group.lines[0];
        list.push((MayBe::Line(&wanted[line], pairs[line].turned), *chance));
    }
    let seats = stranger_seats(bench, pipe);
    let share = chances.last().map_or(0.0, |c| c / count(seats.len()));
    list.extend(seats.into_iter().map(|seat| (MayBe::Stranger(seat), share)));
    list.retain(|(_, chance)| *chance > SMALLEST_CHANCE);
    let sum: f64 = list.iter().map(|(_, chance)| chance).sum();
    for (_, chance) in &mut list {
        *chance /= sum;
    }
    list
}

fn stranger_seats(bench: &Bench<'_>, pipe: &Pipe) -> Vec<Option<f64>> {
    let named = pipe.ends.iter().find(|e| e.thread.is_some() && e.cone.is_none());
    let thread = named.and_then(|e| e.thread.as_ref()).map(|t| ThreadForm {
        major_mm: t.major_mm,
        pitch_mm: t.pitch_mm,
        whitworth: false,
        cone_deg: None,
    });
    let seats = thread.map_or_else(Vec::new, |t| seats(bench, &t));
    if seats.is_empty() { vec![None] } else { seats }
}

fn bits(
    bench: &Bench<'_>,
    errors: &Errors,
    part: Part,
    may_be: &[(MayBe<'_>, f64)],
) -> Result<f64, IdentifyError> {
    let rules = bench.rules;
    let outcomes = match part {
        Part::Length => sizes(may_be, errors.length, rules.length_span, |w| w.window_mm)?,
        Part::Bore => sizes(may_be, errors.bore, rules.bore_span, |w| w.bore_mm.map(|b| (b, b)))?,
        Part::Thread(end) => kinds(may_be, bench.different.len(), |may| {
            let form = wanted_end(may, end).and_then(|e| e.thread.as_ref()).map(|t| t.form)?;
            bench.different.iter().position(|f| f.same_thread(&form))
        }),
        Part::Cone(end) => kinds(may_be, bench.cones.len(), |may| {
            let cone = match may {
                MayBe::Stranger(cone) => *cone,
                MayBe::Line(..) => wanted_end(may, end)?.thread.as_ref()?.form.cone_deg,
            };
            bench.cones.iter().position(|c| *c == cone)
        }),
        Part::Angle(end) => {
            let angles: Vec<f64> = may_be
                .iter()
                .filter_map(|(m, _)| wanted_end(m, end))
                .map(|e| e.angle_deg)
                .collect();
            kinds(may_be, angles.len() + 1, |may| {
                let angle = wanted_end(may, end)?.angle_deg;
                angles.iter().position(|a| (a - angle).abs() < 1.0)
            })
        }
    };
    let chances: Vec<f64> = may_be.iter().map(|(_, chance)| *chance).collect();
    expected_bits(&chances, &outcomes)
}

fn wanted_end<'w>(may: &MayBe<'w>, end: usize) -> Option<&'w super::WantedEnd> {
    match may {
        MayBe::Line(wanted, turned) => wanted.ends[if *turned { 1 - end } else { end }].as_ref(),
        MayBe::Stranger(_) => None,
    }
}

/// Outcomes that are one of a few kinds; what is not known is any of them alike.
fn kinds(
    may_be: &[(MayBe<'_>, f64)],
    number: usize,
    kind: impl Fn(&MayBe<'_>) -> Option<usize>,
) -> Vec<Vec<f64>> {
    let number = number.max(1);
    let row = |(may, _): &(MayBe<'_>, f64)| match kind(may) {
        Some(own) => (0..number).map(|k| if k == own { 1.0 } else { 0.0 }).collect(),
        None => vec![1.0 / count(number); number],
    };
    may_be.iter().map(row).collect()
}

/// Outcomes that are a size, in bins, with one bin more for whatever lies outside of them.
fn sizes(
    may_be: &[(MayBe<'_>, f64)],
    error: Option<f64>,
    span: f64,
    window: impl Fn(&Wanted) -> Option<(f64, f64)>,
) -> Result<Vec<Vec<f64>>, IdentifyError> {
    let of = |may: &MayBe<'_>| match may {
        MayBe::Line(wanted, _) => window(wanted),
        MayBe::Stranger(_) => None,
    };
    let ends: Vec<(f64, f64)> = may_be.iter().filter_map(|(m, _)| of(m)).collect();
    let low = ends.iter().map(|w| w.0).fold(f64::INFINITY, f64::min) / 1.25;
    let high = ends.iter().map(|w| w.1).fold(0.0, f64::max) * 1.25;
    // Nothing is known of the size of any of them.
    if ends.is_empty() {
        return Ok(vec![vec![1.0]; may_be.len()]);
    }
    let step = libm::log(high / low) / count(BINS);
    let mut rows = Vec::new();
    for (may, _) in may_be {
        let mut row = Vec::with_capacity(BINS + 1);
        for bin in 0..BINS {
            let at = low * libm::exp((count(bin) + 0.5) * step);
            let reading = Reading::new(at, error.unwrap_or(at * USUAL_ERROR))?;
            let density = match of(may) {
                Some((a, b)) if b - a > 1e-9 => reading.in_window(a, b)?,
                Some((a, _)) => reading.at(a)?,
                None => reading.of_a_stranger(span)?,
            };
            row.push(density * at * step);
        }
        let inside: f64 = row.iter().sum();
        row.push((1.0 - inside).max(0.0));
        let sum: f64 = row.iter().sum();
        for chance in &mut row {
            *chance /= sum;
        }
        rows.push(row);
    }
    Ok(rows)
}
