//! The pile file: every reading with its error, every fault with its place.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::rules::Rules;
use super::shape;
use crate::diagnostic::{Diagnostic, SourceText};
use crate::document::{Placed, Reader, Section, shorten};
use crate::identify::reading::Reading;
use crate::identify::thread::Side;
use crate::plan::Plan;
use crate::table::thread::{ThreadSize, designation, pitch_mm};
use crate::units::{Angle, Length, Quantity, Ratio};

/// More pipes than this are no pile that somebody measured.
const MOST_PIPES: usize = 300;

/// Pipes as measured.
#[derive(Clone, Debug)]
pub struct Pile {
    /// What it is called.
    pub name: String,
    /// Anything worth telling.
    pub note: Option<String>,
    /// Share that belongs to no line, where the builder says so.
    pub strangers: Option<f64>,
    /// Errors where a reading does not say its own: length, bore, mm, and angle, cone, degrees.
    pub errors: Errors,
    /// The pipes, in the order of the file.
    pub pipes: Vec<Pipe>,
}

/// Errors of the whole pile; lengths mm, angles degrees.
#[derive(Clone, Copy, Debug, Default)]
pub struct Errors {
    /// Of a length.
    pub length: Option<f64>,
    /// Of a bore.
    pub bore: Option<f64>,
    /// Of an outside diameter.
    pub outside: Option<f64>,
    /// Of the angle of an end.
    pub angle: Option<f64>,
    /// Of the angle of a cone.
    pub cone: Option<f64>,
    /// Of the diameter of a thread.
    pub thread: Option<f64>,
    /// Of a pitch.
    pub pitch: Option<f64>,
}

impl Errors {
    /// Stands where the file's own errors could not be read; such a pile is refused.
    const NOT_UNDERSTOOD: Self = Self {
        length: Some(1.0),
        bore: Some(1.0),
        outside: Some(1.0),
        angle: Some(1.0),
        cone: Some(1.0),
        thread: Some(1.0),
        pitch: Some(1.0),
    };
}

/// A pipe as measured; lengths mm.
#[derive(Clone, Debug)]
pub struct Pipe {
    /// What it is called.
    pub id: String,
    /// Index of the line that a tag on it names.
    pub label: Option<usize>,
    /// Length.
    pub length: Option<Reading>,
    /// Bore.
    pub bore: Option<Reading>,
    /// Outside.
    pub outside: Option<Reading>,
    /// What touches the fluid.
    pub material: Option<String>,
    /// Whether there is a sleeve over it.
    pub sleeved: Option<bool>,
    /// Both ends.
    pub ends: [PipeEnd; 2],
}

/// A thread by name.
#[derive(Clone, Debug, PartialEq)]
pub struct ThreadName {
    /// As the builder wrote it.
    pub written: String,
    /// Diameter, mm.
    pub major_mm: f64,
    /// Pitch, mm.
    pub pitch_mm: f64,
}

/// What was read at an end.
#[derive(Clone, Debug, Default)]
pub struct PipeEnd {
    /// The thread by name.
    pub thread: Option<ThreadName>,
    /// Diameter of the thread, mm.
    pub diameter: Option<Reading>,
    /// Pitch, mm.
    pub pitch: Option<Reading>,
    /// Angle of the cone, degrees.
    pub cone: Option<Reading>,
    /// Side.
    pub side: Option<Side>,
    /// Angle between joint and pipe, degrees.
    pub angle: Option<Reading>,
}

/// What a pile is read against.
struct Known<'k> {
    plan: &'k Plan,
    threads: &'k [ThreadSize],
    rules: &'k Rules,
}

impl Pile {
    /// Reads a pile against the lines of a plan.
    ///
    /// # Errors
    /// All problems of the file, in its order.
    pub fn read(
        file: &Arc<SourceText>,
        plan: &Plan,
        threads: &[ThreadSize],
        rules: &Rules,
    ) -> Result<Self, Vec<Diagnostic>> {
        let reader = Reader::new(Arc::clone(file));
        let root = reader.parse(&file.text);
        let section = Section::new(&reader, &shape::ROOT, root.get_ref(), 0..0);
        let pile = pile(&section, &Known { plan, threads, rules });
        match pile {
            Some(pile) if reader.is_clean() => Ok(pile),
            _ => Err(reader.into_diagnostics()),
        }
    }
}

fn pile(root: &Section<'_>, known: &Known<'_>) -> Option<Pile> {
    let head = root.section("pile", &shape::PILE);
    let errors = head.as_ref().and_then(|h| h.section("error", &shape::ERROR));
    let hidden = head.as_ref().is_none_or(|h| h.has("error"));
    let errors = match errors {
        Some(errors) => read_errors(&errors),
        // What is wrong is told already, and not once more for each reading.
        None if hidden => Errors::NOT_UNDERSTOOD,
        None => Errors::default(),
    };
    let pipes = pipes(root, known, &errors);
    let head = head?;
    let (name, note) = (head.words("name"), head.words("note"));
    let strangers = head.quantity::<Ratio>("strangers");
    let inside = |r: &Placed<Ratio>| r.value.si() > 0.0 && r.value.si() < 1.0;
    if let Some(wrong) = strangers.as_ref().filter(|s| !inside(s)) {
        let message = "strangers must be more than 0 % and less than 100 %";
        let help = vec!["for example strangers = \"10 %\"".into()];
        root.reader().problem(&wrong.span, message, "out of range", help);
    }
    Some(Pile {
        name: name?.value,
        note: note.map(|n| n.value),
        strangers: strangers.map(|s| s.value.si()),
        errors,
        pipes,
    })
}

fn read_errors(section: &Section<'_>) -> Errors {
    // One that is there and cannot be read is a fault of its own, and none of the readings'.
    let faulty = |key| section.has(key).then_some(1.0);
    let mm = |key| {
        above_zero::<Length>(section, key).map(|l| l.value.si() * 1e3).or_else(|| faulty(key))
    };
    let deg = |key| {
        above_zero::<Angle>(section, key).map(|a| a.value.si().to_degrees()).or_else(|| faulty(key))
    };
    Errors {
        length: mm("length"),
        bore: mm("bore"),
        outside: mm("outside"),
        angle: deg("angle"),
        cone: deg("cone"),
        thread: mm("thread"),
        pitch: mm("pitch"),
    }
}

fn above_zero<Q: Quantity>(section: &Section<'_>, key: &str) -> Option<Placed<Q>> {
    let read = section.quantity::<Q>(key)?;
    if read.value.si() > 0.0 {
        return Some(read);
    }
    let help = vec![format!("for example {key} = \"{}\"", Q::EXAMPLES.first().unwrap_or(&""))];
    let message = format!("{key} must be greater than zero");
    section.reader().problem(&read.span, message, "not greater than zero", help);
    None
}

fn pipes(root: &Section<'_>, known: &Known<'_>, errors: &Errors) -> Vec<Pipe> {
    let sections = root.sections("pipe", &shape::PIPE);
    if root.has("pipe") && sections.is_empty() {
        let help = vec!["write each under its own [[pipe]]".into()];
        root.reader().problem(&root.place("pipe"), "the pile has no pipe", "nothing here", help);
    }
    if sections.len() > MOST_PIPES {
        let message = format!("{} pipes are more than the {MOST_PIPES} of a pile", sections.len());
        let help = vec!["take them in several piles".into()];
        root.reader().problem(&sections[MOST_PIPES].header(), message, "one too many", help);
        return Vec::new();
    }
    let mut names = BTreeSet::new();
    let mut pipes = Vec::new();
    for section in sections {
        let id = section.id("id");
        if let Some(id) = id.as_ref().filter(|id| !names.insert(id.value.clone())) {
            let message = format!("pipe \"{}\" stands twice", shorten(&id.value));
            let help = vec!["give each pipe its own name".into()];
            section.reader().problem(&id.span, message, "again", help);
        }
        pipes.push(pipe(&section, id, known, errors));
    }
    pipes
}

fn pipe(
    section: &Section<'_>,
    id: Option<Placed<String>>,
    known: &Known<'_>,
    errors: &Errors,
) -> Pipe {
    let mm = |key, error| reading::<Length>(section, key, error, 1e3);
    let end = |key| {
        let inner = section.section(key, &shape::END);
        inner.map_or_else(PipeEnd::default, |e| pipe_end(&e, known, errors))
    };
    Pipe {
        id: id.map_or_else(String::new, |i| i.value),
        label: label(section, known.plan),
        length: mm("length", errors.length),
        bore: mm("bore", errors.bore),
        outside: mm("outside", errors.outside),
        material: section.words("material").map(|m| m.value),
        sleeved: section.flag("sleeved"),
        ends: [end("end_a"), end("end_b")],
    }
}

fn label(section: &Section<'_>, plan: &Plan) -> Option<usize> {
    let name = section.name("label")?;
    let ids = plan.lines.iter().map(|l| l.id.as_str());
    let found = ids.clone().position(|id| id == name.value);
    if found.is_none() {
        section.unknown(&name, "line", ids);
    }
    found
}

/// A reading above zero with its own error, else that of the pile; `per_si` units in one of SI.
fn reading<Q: Quantity>(
    section: &Section<'_>,
    key: &'static str,
    error: Option<f64>,
    per_si: f64,
) -> Option<Reading> {
    let read = above_zero::<Q>(section, key)?;
    with_error(section, key, &read, error, per_si)
}

fn with_error<Q: Quantity>(
    section: &Section<'_>,
    key: &str,
    read: &Placed<Q>,
    error: Option<f64>,
    per_si: f64,
) -> Option<Reading> {
    let reader = section.reader();
    let own = reader.uncertain().into_iter().find(|u| u.span.start == read.span.start);
    let error = own.map(|u| u.amount * per_si).or(error);
    let made = error.map(|error| Reading::new(read.value.si() * per_si, error));
    match made {
        Some(Ok(reading)) => return Some(reading),
        Some(Err(why)) => {
            let help = vec!["nothing is measured without error: write ± and how much".into()];
            reader.problem(&read.span, format!("{key}: {why}"), "no error", help);
        }
        None => {
            let message = format!("it is not said by how much {key} may be wrong");
            let help = vec![
                "write ± behind it, for example \"315 mm ± 3 mm\"".into(),
                format!("or once for the pile: error = {{ {key} = ... }} under [pile]"),
            ];
            reader.problem(&read.span, message, "without an error", help);
        }
    }
    None
}

fn pipe_end(section: &Section<'_>, known: &Known<'_>, errors: &Errors) -> PipeEnd {
    let genders = [("female", Side::Female), ("male", Side::Male)];
    let degrees = 180.0 / std::f64::consts::PI;
    let angle = section.quantity::<Angle>("angle");
    let angle = angle.and_then(|a| angle_of_end(section, &a, errors.angle, degrees));
    let thread = section.words("thread").and_then(|t| named(section, &t, known.threads));
    let diameter = above_zero::<Length>(section, "diameter")
        .and_then(|d| with_error(section, "thread", &d, errors.thread, 1e3));
    PipeEnd {
        thread,
        diameter,
        pitch: pitch(section, errors.pitch, known.rules),
        cone: reading::<Angle>(section, "cone", errors.cone, degrees),
        side: section.choice("gender", &genders).map(|g| g.value),
        angle,
    }
}

/// The angle of an end, which may be none.
fn angle_of_end(
    section: &Section<'_>,
    read: &Placed<Angle>,
    error: Option<f64>,
    per_si: f64,
) -> Option<Reading> {
    if (0.0..=180.0 + 1e-9).contains(&read.value.si().to_degrees()) {
        return with_error(section, "angle", read, error, per_si);
    }
    let help = vec!["0 deg is a straight end, 90 deg an elbow".into()];
    section.reader().problem(&read.span, "angle must be from 0 to 180 deg", "out of range", help);
    None
}

fn named(
    section: &Section<'_>,
    written: &Placed<String>,
    threads: &[ThreadSize],
) -> Option<ThreadName> {
    let same = |t: &&ThreadSize| t.thread.eq_ignore_ascii_case(written.value.trim());
    let listed = threads.iter().find(same).map(|t| (t.major_mm, t.pitch_mm));
    if let Some((major_mm, pitch_mm)) = listed.or_else(|| designation(&written.value)) {
        return Some(ThreadName { written: written.value.trim().to_owned(), major_mm, pitch_mm });
    }
    let message = format!("thread \"{}\" is not one", shorten(&written.value));
    let help = vec!["for example \"3/4-16\", \"1 1/16-12\", \"M22x1.5\" or \"G 1/2\"".into()];
    section.reader().problem(&written.span, message, "not a thread", help);
    None
}

fn pitch(section: &Section<'_>, error: Option<f64>, rules: &Rules) -> Option<Reading> {
    let written = section.words("pitch")?;
    if let Some(mm) = pitch_mm(&written.value) {
        return Reading::new(mm, error.unwrap_or(mm * rules.pitch_gauge)).ok();
    }
    let message = format!("pitch \"{}\" cannot be read", shorten(&written.value));
    let help = vec!["for example \"1.5 mm\" or \"16 tpi\"".into()];
    section.reader().problem(&written.span, message, "not a pitch", help);
    None
}
