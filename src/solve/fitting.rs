//! How the ends of a line go with their ports: thread, seat, size, gender, and hose over spigot.

use crate::plan::{Carrier, Line, Plan, PortEnd};
use crate::rating::mating::{EndForm, Gender as FormGender, Mating, SpigotFit, mating, spigot_fit};
use crate::source::Sourced;
use crate::table::Tables;
use crate::table::end::{End, Gender, thread};
use crate::units::{Quantity, Ratio};

/// What a joint is.
#[derive(Clone, Debug)]
pub enum Joint {
    /// A threaded end on a port.
    Threaded(Mating),
    /// A hose pushed over a spigot, and the limits it was held against.
    Spigot(SpigotFit),
    /// A rigid tube cannot be pushed over a spigot.
    TubeOnSpigot,
    /// Not known, and why.
    Unknown(String),
}

/// One end of a line on its port.
#[derive(Clone, Debug)]
pub struct JointFacts {
    /// `COMPONENT.PORT`.
    pub port: String,
    /// What the line brings, in words.
    pub end: String,
    /// What the port wants, in words.
    pub wants: String,
    /// How they go together.
    pub joint: Joint,
    /// Whether a spigot has a bead; none for threaded ports.
    pub bead: Option<bool>,
    /// The source of threads or of the spigot limits.
    pub cite: crate::source::Cite,
}

/// Both joints of a line.
pub fn solve(plan: &Plan, tables: &Tables, line: &Line) -> [JointFacts; 2] {
    [0, 1].map(|end| joint(plan, tables, line, end))
}

fn joint(plan: &Plan, tables: &Tables, line: &Line, end: usize) -> JointFacts {
    let (component, port) = plan.port(if end == 0 { &line.from } else { &line.to });
    let name = format!("{}.{}", component.id, port.name);
    if port.end.is_spigot() {
        return on_spigot(tables, line, &port.end, name);
    }
    let wants = words(&port.end.family, port.end.size.as_deref(), port.end.gender);
    let cite = crate::source::Cite::plan("thread families as typed");
    let Some(fitting) = &line.ends[end] else {
        let joint = Joint::Unknown("the line has no end fitting here".into());
        return JointFacts { port: name, end: "none".into(), wants, joint, bead: None, cite };
    };
    let brings = words(&fitting.family, Some(&fitting.size), fitting.gender);
    let port_size = port.end.size.clone().unwrap_or_default();
    let ours = family_thread(tables, &fitting.family, &fitting.size);
    let theirs = family_thread(tables, &port.end.family, &port_size);
    let cite = ours.as_ref().map_or(cite, |t| t.cite.clone());
    let joint = threaded(&Form::of_end(fitting), &Form::of_port(&port.end), ours, theirs);
    JointFacts { port: name, end: brings, wants, joint, bead: None, cite }
}

fn words(family: &str, size: Option<&str>, gender: Option<Gender>) -> String {
    let gender = gender.map_or("", Gender::word);
    format!("{family} {} {gender}", size.unwrap_or("")).trim().to_owned()
}

/// The thread of a family and size; a family without a table is its own thread.
fn family_thread(tables: &Tables, family: &str, size: &str) -> Option<Sourced<String>> {
    thread(tables, family, size)
}

/// What makes an end fit another, of a fitting or of a port.
struct Form<'a> {
    family: &'a str,
    size: &'a str,
    gender: Option<Gender>,
}

impl<'a> Form<'a> {
    fn of_end(end: &'a End) -> Self {
        Self { family: &end.family, size: &end.size, gender: end.gender }
    }

    fn of_port(port: &'a PortEnd) -> Self {
        let size = port.size.as_deref().unwrap_or_default();
        Self { family: &port.family, size, gender: port.gender }
    }

    fn with<'f>(&'f self, thread: &'f str) -> EndForm<'f> {
        let gender = match self.gender {
            Some(Gender::Female) => FormGender::Female,
            Some(Gender::Male) => FormGender::Male,
            None => FormGender::Alike,
        };
        EndForm { seat: self.family, thread, size: self.size, gender }
    }
}

/// How two ports go together that are joined without a line.
pub fn joined(tables: &Tables, a: &PortEnd, b: &PortEnd) -> Joint {
    let (a, b) = (Form::of_port(a), Form::of_port(b));
    let of = |form: &Form<'_>| family_thread(tables, form.family, form.size);
    threaded(&a, &b, of(&a), of(&b))
}

fn threaded(
    a: &Form<'_>,
    b: &Form<'_>,
    ours: Option<Sourced<String>>,
    theirs: Option<Sourced<String>>,
) -> Joint {
    // Without a thread table, family and size together stand for the thread.
    let named = |form: &Form<'_>| format!("{} {}", form.family, form.size);
    let (ours, theirs) = match (ours, theirs) {
        (Some(a), Some(b)) => (a.value, b.value),
        _ => (named(a), named(b)),
    };
    match mating(&a.with(&ours), &b.with(&theirs)) {
        Ok(result) => Joint::Threaded(result),
        Err(error) => Joint::Unknown(error.to_string()),
    }
}

fn on_spigot(tables: &Tables, line: &Line, port: &PortEnd, name: String) -> JointFacts {
    let outside_mm = port.outside.map(|o| o.si() * 1e3);
    let wants = format!("spigot {:.1} mm outside", outside_mm.unwrap_or(0.0));
    let stretch = spigot_limit(tables, "spigot-over-bore");
    let cite =
        stretch.as_ref().map_or_else(|| crate::source::Cite::plan("spigot"), |s| s.cite.clone());
    let (end, joint) = match &line.carrier {
        Carrier::Tube(_) => ("rigid tube".to_owned(), Joint::TubeOnSpigot),
        Carrier::Hose(hose) => {
            let bore_mm = hose.bore.as_ref().map(|b| b.value.si() * 1e3);
            let fit = hose_on_spigot(tables, line, port);
            let joint = fit.map_or_else(
                || Joint::Unknown("bore, spigot or limit is not known".into()),
                Joint::Spigot,
            );
            (format!("hose bore {:.1} mm", bore_mm.unwrap_or(0.0)), joint)
        }
    };
    JointFacts { port: name, end, wants, joint, bead: port.bead, cite }
}

/// How the hose of a line sits on a spigot; none for a tube, or where a diameter or a limit is not known.
pub fn hose_on_spigot(tables: &Tables, line: &Line, port: &PortEnd) -> Option<SpigotFit> {
    let Carrier::Hose(hose) = &line.carrier else { return None };
    let bore_mm = hose.bore.as_ref()?.value.si() * 1e3;
    let outside_mm = port.outside?.si() * 1e3;
    let stretch = spigot_limit(tables, "spigot-over-bore")?;
    let loose = spigot_limit(tables, "spigot-under-bore")?;
    spigot_fit(bore_mm, outside_mm, stretch.value, loose.value * bore_mm).ok()
}

/// A share of the spigot table.
fn spigot_limit(tables: &Tables, what: &str) -> Option<Sourced<f64>> {
    let table = tables.get("limit", "spigot")?;
    let row = table.row(&[("what", what)])?;
    table.quantity::<Ratio>(row, "most").map(|r| r.map(Quantity::si))
}
