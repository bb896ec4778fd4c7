//! How far a joint is tightened: what one table says, or why none does.

use crate::plan::Plan;
use crate::source::Sourced;
use crate::table::torque::{Asked, Gap, Turn, covering, turn};
use crate::table::{TableFile, Tables};

/// What is held by the nut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fastened<'a> {
    /// A hose.
    Hose,
    /// A tube of this metal.
    Tube(&'a str),
    /// Neither: two ports meet.
    Ports,
}

impl<'a> Fastened<'a> {
    /// The word of the rules.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hose => "hose",
            Self::Tube(_) => "tube",
            Self::Ports => "none",
        }
    }

    /// The words of torque tables, the closest first.
    fn asked(self, steel: bool) -> Vec<&'a str> {
        let mut words = match self {
            Self::Hose => vec!["hose"],
            Self::Tube("aluminium") => vec!["aluminium-tube", "tube"],
            Self::Tube("steel" | "stainless 304/316") => vec!["steel-tube", "tube"],
            Self::Tube(_) => vec!["tube"],
            Self::Ports => vec!["ports"],
        };
        // A soft tube gives way before steel fittings are tight.
        let hard = !matches!(self, Self::Tube(metal) if metal != "steel");
        words.extend((steel && hard).then_some("steel-fittings"));
        words
    }

    fn in_words(self) -> String {
        match self {
            Self::Hose => "a hose".into(),
            Self::Tube("") => "a tube of this material".into(),
            Self::Tube(metal) => format!("a tube of {metal}"),
            Self::Ports => "two ports without hose or tube".into(),
        }
    }
}

/// What one table says of a joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The table.
    pub table: String,
    /// How far.
    pub turn: Sourced<Turn>,
    /// The state of the threads that this holds for, where the table says.
    pub threads: Option<Sourced<String>>,
}

/// How far a joint is tightened.
#[derive(Clone, Debug, PartialEq)]
pub enum Turning {
    /// As one table says.
    Set(Setting),
    /// Not known.
    Open {
        /// Why.
        why: String,
        /// What each table would say where several could, by name; never to be mixed.
        tables: Vec<(String, Result<Setting, String>)>,
    },
    /// Not at all, and why.
    Never(String),
}

/// How far a joint of a family and size is tightened; `steel` where all its fittings are.
pub(super) fn turning(
    plan: &Plan,
    tables: &Tables,
    (family, size): (&str, &str),
    held: Fastened<'_>,
    steel: bool,
) -> Turning {
    let open = |why: String| Turning::Open { why, tables: Vec::new() };
    if family == "spigot" {
        return open("no table has the torque of a hose clip: its maker states it".into());
    }
    let words = held.asked(steel);
    let asked = Asked { family, size, what: &words };
    let covering = covering(tables, family);
    let chosen = covering.iter().find(|t| plan.torque.contains(&t.name));
    match (chosen, covering.as_slice()) {
        (Some(table), _) | (None, [table]) => match setting(table, asked, held) {
            Ok(setting) => Turning::Set(setting),
            Err(why) => open(format!("{}: {why}", table.name)),
        },
        (None, []) => open(format!("no torque table covers {family}")),
        (None, several) => Turning::Open {
            why: format!("{} tables cover {family}, and the plan chooses none", several.len()),
            tables: several.iter().map(|t| (t.name.clone(), setting(t, asked, held))).collect(),
        },
    }
}

fn setting(table: &TableFile, asked: Asked<'_>, held: Fastened<'_>) -> Result<Setting, String> {
    let found = turn(table, asked).map_err(|gap| match gap {
        Gap::NoColumn => format!("nothing for {}", held.in_words()),
        Gap::NoSize => format!("no size {}", asked.size),
        Gap::NoCell => format!("nothing for {} in size {}", held.in_words(), asked.size),
    })?;
    let threads = table.fact_words("threads");
    Ok(Setting { table: table.name.clone(), turn: found, threads })
}
