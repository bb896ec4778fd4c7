//! What an entry is about: a line, an end or a clip of a line, a port or a component of the plan.

use std::borrow::Cow;

use super::Trouble;
use crate::diagnostic::{nearest, visible};
use crate::plan::{Plan, PortRef, clip_name};
use crate::record::Draft;

/// So many names are listed where none is near.
const MOST_LISTED: usize = 20;

/// A thing of the plan by its name.
#[derive(Clone, Debug, PartialEq)]
enum Thing {
    Line(String),
    /// A joint, and the line of which it is an end.
    Joint(String, Option<String>),
    /// A clip of a line, counted from 1.
    Clip(String, u32),
    Component(String),
}

impl Thing {
    fn word(&self) -> &'static str {
        match self {
            Self::Line(_) => "line",
            Self::Joint(..) => "joint",
            Self::Clip(..) => "clip",
            Self::Component(_) => "component",
        }
    }
}

/// Puts what a text names into a draft.
pub fn put(draft: &mut Draft, plan: &Plan, text: &str) -> Result<(), Trouble> {
    match named(plan, text)? {
        Thing::Line(id) => draft.line = Some(id),
        Thing::Joint(port, line) => (draft.joint, draft.line) = (Some(port), line),
        Thing::Clip(line, number) => (draft.line, draft.clip) = (Some(line), Some(number)),
        Thing::Component(id) => draft.component = Some(id),
    }
    Ok(())
}

fn named(plan: &Plan, text: &str) -> Result<Thing, Trouble> {
    let all = things(plan);
    let (word, name) = match text.split_once(':') {
        Some((word @ ("line" | "joint" | "clip" | "component"), name)) => (Some(word), name.trim()),
        _ => (None, text.trim()),
    };
    let name = &as_clip(name);
    let of_kind = |thing: &Thing| word.is_none_or(|w| thing.word() == w);
    let called = all.iter().filter(|(n, thing)| *n == **name && of_kind(thing));
    let found: Vec<&Thing> = called.map(|(_, thing)| thing).collect();
    match found.as_slice() {
        [one] => Ok((*one).clone()),
        [] => {
            // A clip has a comma in its name, and lines have many of them.
            let listed = |t: &Thing| word == Some("clip") || !matches!(t, Thing::Clip(..));
            let of_kind = |(_, t): &&(String, Thing)| of_kind(t) && listed(t);
            Err(unknown(all.iter().filter(of_kind).map(|(n, _)| n), word, name))
        }
        several => {
            let forms: Vec<String> =
                several.iter().map(|t| format!("\"{}:{}\"", t.word(), visible(name))).collect();
            let message = format!("\"{}\" names more than one thing of the plan", visible(name));
            Err(Trouble::hint(message, format!("write {}", forms.join(" or "))))
        }
    }
}

/// `F1 clip 2`, `F1.clip2` and the like as `F1, clip 2`; whatever is no clip as it stands.
fn as_clip(name: &str) -> Cow<'_, str> {
    let parts = name.rsplit_once("clip").and_then(|(line, number)| {
        let number = number.trim().parse().ok()?;
        let line = line.trim_end_matches([' ', ',', '.']);
        (!line.is_empty()).then(|| clip_name(line, number))
    });
    parts.map_or(Cow::Borrowed(name), Cow::Owned)
}

/// Every name there is, with what it names.
fn things(plan: &Plan) -> Vec<(String, Thing)> {
    let mut all = Vec::new();
    for line in &plan.lines {
        all.push((line.id.clone(), Thing::Line(line.id.clone())));
        for (end, port) in [("A", line.from), ("B", line.to)] {
            if let Some(port) = port_name(plan, port) {
                let joint = Thing::Joint(port, Some(line.id.clone()));
                all.push((format!("{}.{end}", line.id), joint));
            }
        }
    }
    for line in &plan.lines {
        for (number, name) in (1..).zip((1..=line.clips.len()).map(|n| clip_name(&line.id, n))) {
            all.push((name, Thing::Clip(line.id.clone(), number)));
        }
    }
    for component in &plan.components {
        all.push((component.id.clone(), Thing::Component(component.id.clone())));
        for port in &component.ports {
            let name = format!("{}.{}", component.id, port.name);
            all.push((name.clone(), Thing::Joint(name, None)));
        }
    }
    all
}

/// A port as `COMPONENT.PORT`.
pub fn port_name(plan: &Plan, at: PortRef) -> Option<String> {
    let component = plan.components.get(at.component)?;
    Some(format!("{}.{}", component.id, component.ports.get(at.port)?.name))
}

fn unknown<'a>(
    names: impl Iterator<Item = &'a String> + Clone,
    word: Option<&str>,
    name: &str,
) -> Trouble {
    let what = word.unwrap_or("line, joint, clip or component");
    let message = format!("the plan has no {what} \"{}\"", visible(name));
    let help = match nearest(name, names.clone().map(String::as_str)) {
        Some(near) => format!("did you mean \"{}\"?", visible(near)),
        None if word == Some("clip") => {
            format!("known: {}", list(names).replace(", clip", " clip"))
        }
        None => format!("known: {}", list(names)),
    };
    Trouble::hint(message, help)
}

/// The first names of a list.
pub fn list<'a>(names: impl Iterator<Item = &'a String>) -> String {
    let names: Vec<String> = names.take(MOST_LISTED + 1).map(|n| visible(n)).collect();
    match names.get(..MOST_LISTED) {
        Some(first) if names.len() > MOST_LISTED => format!("{} ...", first.join(", ")),
        _ => names.join(", "),
    }
}
