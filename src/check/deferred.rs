//! Work that the program stops at: which lines it meets, whom to ask, and what to bring. A test, a card or a book that
//! gives figures to work to asks here first.

use super::rating::highest_of;
use crate::plan::{Carrier, Line, Plan, Service, Zone};
use crate::rating::mating::Mating;
use crate::solve::fitting::Joint;
use crate::solve::{Facts, LineFacts};
use crate::source::Cite;
use crate::table::Tables;
use crate::table::limit::{self, DeferredWork};

/// A line that is left to others, and why.
#[derive(Clone, Debug)]
pub struct Deferred {
    /// Index of the line.
    pub line: usize,
    /// Row of limit/deferred.
    pub what: String,
    /// What in the plan it was seen by.
    pub seen: String,
    /// Why it is left to others.
    pub why: String,
    /// Whom to ask.
    pub ask: String,
    /// What to bring.
    pub bring: String,
    /// Where that comes from.
    pub cite: Cite,
}

/// Every line that the program stops at, in the order of the plan, each once for every row that means it.
///
/// ```
/// use hosewright::check::deferred::deferred;
/// use hosewright::{diagnostic::SourceText, plan::Plan, solve::solve, table::Tables};
/// let text = hosewright::plan::starter::STARTER.replace("system  = \"fuel\"", "system  = \"brakes\"");
/// let tables = Tables::builtin();
/// let plan = Plan::read(&SourceText::new("plan.toml", text), &tables).unwrap();
/// let found = deferred(&plan, &solve(&plan, &tables), &tables);
/// assert!(found.iter().any(|d| d.what == "brakes"));
/// ```
pub fn deferred(plan: &Plan, facts: &Facts, tables: &Tables) -> Vec<Deferred> {
    let rows = limit::deferred(tables);
    (0..plan.lines.len()).flat_map(|index| of_line(plan, facts, &rows, index)).collect()
}

/// Why the line of this index is left to others; none where it is not.
pub fn deferred_line(plan: &Plan, facts: &Facts, tables: &Tables, index: usize) -> Vec<Deferred> {
    of_line(plan, facts, &limit::deferred(tables), index)
}

fn of_line(plan: &Plan, facts: &Facts, rows: &[DeferredWork], index: usize) -> Vec<Deferred> {
    let (line, own) = (&plan.lines[index], &facts.lines[index]);
    let texts = texts(plan, line);
    let found = rows.iter().filter_map(|row| {
        let seen = if row.words.is_empty() {
            by_calculation(plan, facts, line, own, &row.what)
        } else {
            by_word(&texts, row)
        };
        Some(entry(index, row, seen?))
    });
    found.collect()
}

fn entry(line: usize, row: &DeferredWork, seen: String) -> Deferred {
    Deferred {
        line,
        what: row.what.clone(),
        seen,
        why: row.why.clone(),
        ask: row.ask.clone(),
        bring: row.bring.clone(),
        cite: row.cite.clone(),
    }
}

/// What a plan says in words about a line: of what, and the words.
fn texts(plan: &Plan, line: &Line) -> Vec<(String, String)> {
    let fluid = &plan.fluids[line.fluid];
    let mut texts = vec![
        ("its system".to_owned(), line.system.clone()),
        ("its name".to_owned(), line.name.clone().unwrap_or_default()),
        ("its fluid".to_owned(), format!("{}; {}", fluid.id, fluid.fluid.label)),
        ("what its fluid is for".to_owned(), fluid.fluid.use_.clone()),
        ("the class of its fluid".to_owned(), fluid.fluid.class.clone().unwrap_or_default()),
    ];
    for port in [&line.from, &line.to] {
        let (component, _) = plan.port(port);
        let name = component.name.as_deref().unwrap_or_default();
        texts.push((component.id.clone(), format!("{}; {name}", component.kind)));
    }
    texts
}

fn by_word(texts: &[(String, String)], row: &DeferredWork) -> Option<String> {
    texts.iter().find_map(|(of, text)| {
        let word = row.words.iter().find(|w| says(text, w))?;
        Some(format!("\"{word}\" in {of}"))
    })
}

/// Whether a text holds words, whole and in a row.
fn says(text: &str, words: &str) -> bool {
    let split = |text: &str| -> Vec<String> {
        let parts = text.split(|c: char| !c.is_alphanumeric()).filter(|p| !p.is_empty());
        parts.map(str::to_lowercase).collect()
    };
    let (text, words) = (split(text), split(words));
    !words.is_empty() && text.windows(words.len()).any(|w| w == words)
}

/// What a row without words stands for, by its key.
fn by_calculation(
    plan: &Plan,
    facts: &Facts,
    line: &Line,
    own: &LineFacts,
    what: &str,
) -> Option<String> {
    match what {
        "fuel-with-people" => {
            let fuel = plan.fluids[line.fluid].fluid.is_fuel();
            let seen = fuel && line.zone == Some(Zone::Cabin) && plan.rules.is_empty();
            seen.then(|| "its zone is the cabin, and rules of [plan] is empty".to_owned())
        }
        "beyond-pressure" => beyond_pressure(facts, own),
        "beyond-temperature" => beyond_temperature(own),
        "unmarked-hose" => unmarked(plan, line, own),
        "mixed-threads" => own.fitting.iter().find_map(|joint| {
            let mixed = matches!(
                joint.joint,
                Joint::Threaded(Mating::SameThreadOtherSeat | Mating::WrongThread)
            );
            mixed.then(|| format!("{} at {}, which wants {}", joint.end, joint.port, joint.wants))
        }),
        _ => None,
    }
}

fn beyond_pressure(facts: &Facts, own: &LineFacts) -> Option<String> {
    let highest = highest_of(own, facts)?;
    let rated = own.rating.derated_pa().or_else(|| own.rating.rated_pa.clone())?;
    let case = facts.cases.get(highest.case).map_or("", |c| c.name.as_str());
    (highest.pa > rated.value).then(|| {
        let [highest, rated] = [highest.pa, rated.value].map(|p| p / 1e5);
        format!("{highest:.2} bar in \"{case}\", rated {rated:.2} bar")
    })
}

fn beyond_temperature(own: &LineFacts) -> Option<String> {
    let rating = &own.rating;
    let celsius = |k: f64| k - 273.15;
    let over = rating.hottest_k.zip(rating.temperature_max.as_ref());
    let under = rating.coldest_k.zip(rating.temperature_min.as_ref());
    let hot = over.filter(|(hottest, most)| *hottest > most.value + 1e-9);
    let cold = under.filter(|(coldest, least)| *coldest < least.value - 1e-9);
    hot.or(cold).map(|(has, stands)| {
        format!("{:.0} degC, rated {:.0} degC", celsius(has), celsius(stands.value))
    })
}

/// A hose that burns or feeds an engine, and of which no working pressure is known.
fn unmarked(plan: &Plan, line: &Line, own: &LineFacts) -> Option<String> {
    let fluid = &plan.fluids[line.fluid].fluid;
    let open = matches!(line.service, Service::Vent | Service::Drain | Service::Overflow);
    let vital = fluid.is_fuel() || fluid.use_ == "engine oil";
    let hose = matches!(line.carrier, Carrier::Hose(_));
    let seen = hose && vital && !open && own.rating.rated_pa.is_none();
    seen.then(|| format!("no working pressure is known of {}", own.carrier))
}
