//! Every value of a plan is changed in turn: exactly those signatures are void of which the printed page says something
//! else. What the page says is read off the page itself, not off the words that are digested.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use hosewright::book::card::{cards, subjects, told};
use hosewright::book::{Look, html, test_sheet as sheet};
use hosewright::diagnostic::SourceText;
use hosewright::plan::Plan;
use hosewright::signed::{Bond, Read, Subject, Void, signed};
use hosewright::solve::{LineFacts, lines};
use hosewright::table::Tables;
use hosewright::trial::flow::{FlowTrial, flow};
use hosewright::units::System;
use rayon::prelude::*;

use super::{Machine, all_signed, asked, example, full};

/// Places of all values in a plan: what stands in quotes, and bare numbers; comments and keys are none.
fn values(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let (mut found, mut at) = (Vec::new(), 0);
    let mut is_value = false;
    while at < bytes.len() {
        match bytes[at] {
            b'#' => at += text[at..].find('\n').unwrap_or(text.len() - at),
            b'"' => {
                let end = at + 1 + text[at + 1..].find('"').unwrap();
                if is_value {
                    found.push(at + 1..end);
                }
                at = end + 1;
            }
            b'=' => (is_value, at) = (true, at + 1),
            // Behind a comma of an inline table there is a key, of a list a value: a bare number is never a key.
            b'0'..=b'9' | b'-' if is_value && !word_before(bytes, at) => {
                let number = |b: &u8| b.is_ascii_digit() || matches!(b, b'-' | b'.' | b'_');
                let end = at + bytes[at..].iter().take_while(|b| number(b)).count();
                found.push(at..end);
                at = end;
            }
            _ => at += 1,
        }
    }
    found
}

fn word_before(bytes: &[u8], at: usize) -> bool {
    at > 0 && (bytes[at - 1].is_ascii_alphanumeric() || matches!(bytes[at - 1], b'_' | b'-'))
}

/// A value changed: its first number by a little, or where it has none the word with a letter more; a word that has
/// to be another of a list is exchanged for the next that the plan uses.
fn changed(value: &str, words: &[&str]) -> Vec<String> {
    let start = value.find(|c: char| c.is_ascii_digit());
    let Some(start) = start else {
        if value == "true" || value.trim().is_empty() {
            return Vec::new();
        }
        let next = words.iter().position(|w| *w == value).map(|at| words[(at + 1) % words.len()]);
        return [Some(format!("{value}x")), next.map(str::to_owned)]
            .into_iter()
            .flatten()
            .collect();
    };
    let length = value[start..].find(|c: char| !c.is_ascii_digit() && c != '.');
    let end = length.map_or(value.len(), |l| start + l);
    let digits = &value[start..end];
    let places = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let Ok(number) = digits.parse::<f64>() else { return Vec::new() };
    let step = 10.0_f64.powi(-i32::try_from(places).unwrap());
    let more = number + (0.03 * number).max(step);
    vec![format!("{}{more:.places$}{}", &value[..start], &value[end..])]
}

/// The words that a plan uses for services: one is put in the place of another.
const SERVICES: [&str; 4] = ["suction", "pressure", "return", "gravity"];

/// The page without what lies between two marks, wherever they come.
fn without(page: &str, from: &str, to: &str) -> String {
    let mut kept = String::new();
    let mut rest = page;
    while let Some((before, behind)) = rest.split_once(from) {
        kept.push_str(before);
        rest = behind.split_once(to).map_or("", |(_, after)| after);
    }
    kept + rest
}

/// The text that a reader sees.
fn seen(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in page.chars() {
        match c {
            '<' => {
                inside = true;
                text.push(' ');
            }
            '>' => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a card tells its reader to do: all of it but number, edition, code, what was found, and where figures come from.
fn instructions(article: &str) -> String {
    let parts = [
        ("<p class=\"number\">card", "</p>"),
        ("<footer>", "</footer>"),
        ("<figure class=\"code\">", "</figure>"),
        ("<ul class=\"found\">", "</ul>"),
        ("<p class=\"stop\">", "</p>"),
        ("<p class=\"source\">", "</p>"),
        ("<div class=\"signs\">", "</div>"),
        ("<li class=\"proof\">", "</li>"),
    ];
    seen(&parts.iter().fold(article.to_owned(), |page, (from, to)| without(&page, from, to)))
}

/// A plan as far as its words need it.
struct Drawn {
    text: String,
    plan: Plan,
    lines: Vec<LineFacts>,
    trial: FlowTrial,
}

impl Drawn {
    /// None where the plan is refused.
    fn of(text: String, tables: &Tables) -> Option<Self> {
        let plan = Plan::read(&SourceText::new("plan.toml", &*text), tables).ok()?;
        let trial = flow(&plan, tables, &asked()).ok()?;
        Some(Self { lines: lines(&plan, tables), text, plan, trial })
    }

    fn subjects(&self, tables: &Tables) -> Vec<Subject> {
        subjects(&self.plan, tables, &self.lines, Some(&self.trial))
    }

    fn bonds(&self, tables: &Tables, read: &Read) -> Vec<Bond> {
        let subjects = self.subjects(tables);
        signed(&self.plan, tables, &self.lines, &self.text, &subjects, read.clone()).bonds
    }

    /// What is printed of everything that can be signed, under the names of the record.
    fn printed(&self, tables: &Tables) -> BTreeMap<String, String> {
        let cards = cards(&self.plan, tables, &self.lines);
        let said: Vec<String> =
            cards.map(|card| instructions(&told(&card).into_string())).collect();
        let sheet = sheet::flow(&self.plan, &self.trial, System::default()).into_string();
        printed(&self.plan, said, &sheet)
    }
}

/// What the whole book of a plan says, every part of it made, after everything was calculated.
fn printed_in_book(machine: &Machine, tables: &Tables) -> BTreeMap<String, String> {
    let page = html(&machine.book(tables, Look { pocket: true, ..Look::default() }));
    let articles = page.split("<article class=\"card\"").skip(1);
    let said = articles.map(|article| {
        let article = article.split_once("</article>").unwrap().0;
        instructions(article.split_once('>').unwrap().1)
    });
    let said = said.collect();
    let book = html(&machine.book(tables, Look::default()));
    let sheet = book.split("<section class=\"part\" id=\"tests\"").nth(1).unwrap();
    printed(&machine.assessment.plan, said, sheet)
}

/// What is printed, by what is signed: the cards in the order of the plan, the sheet of the tests.
fn printed(plan: &Plan, said: Vec<String>, sheet: &str) -> BTreeMap<String, String> {
    assert_eq!(said.len(), plan.lines.len());
    let mut all = BTreeMap::new();
    for (line, said) in plan.lines.iter().zip(said) {
        assert!(said.len() > 100, "{said}");
        for (letter, at) in [("A", line.from), ("B", line.to)] {
            let (name, seat) = port(plan, at.component, at.port);
            all.insert(format!("joint {name}"), format!("{letter} {} {seat} {said}", line.id));
        }
        all.insert(format!("line {}", line.id), said);
    }
    for join in &plan.joins {
        let ports = join.ports.map(|p| port(plan, p.component, p.port));
        let both = format!("{ports:?}");
        all.extend(ports.map(|(name, _)| (format!("joint {name}"), both.clone())));
    }
    for (index, component) in plan.components.iter().enumerate() {
        for at in 0..component.ports.len() {
            let (name, seat) = port(plan, index, at);
            all.entry(format!("joint {name}")).or_insert(seat);
        }
    }
    all.extend(tests(sheet));
    all
}

/// Name and seat of a port.
fn port(plan: &Plan, component: usize, port: usize) -> (String, String) {
    let component = &plan.components[component];
    let end = &component.ports[port].end;
    let seat = format!("{:?} {:?} {:?}", end.family, end.size, end.gender);
    (format!("{}.{}", component.id, component.ports[port].name), seat)
}

/// The tests on a sheet.
fn tests(sheet: &str) -> Vec<(String, String)> {
    let propped = sheet.split("Propped to ").nth(1).and_then(|p| p.split(';').next());
    let propped = propped.unwrap_or_default();
    let all = sheet.split("<section class=\"test\">").skip(1);
    all.map(|part| {
        let part = part.split("</section>").next().unwrap();
        let name = part.split("<h4>").nth(1).and_then(|h| h.split("</h4>").next()).unwrap();
        let list = part.split("<ul>").nth(1).and_then(|l| l.split("</ul>").next()).unwrap();
        (format!("test {}", seen(name)), format!("{propped} {}", seen(list)))
    })
    .collect()
}

/// What became of all mutations of a plan.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    refused: usize,
    nothing: usize,
    some: usize,
    gone: usize,
    in_book: usize,
}

impl Tally {
    fn and(self, other: Self) -> Self {
        Self {
            refused: self.refused + other.refused,
            nothing: self.nothing + other.nothing,
            some: self.some + other.some,
            gone: self.gone + other.gone,
            in_book: self.in_book + other.in_book,
        }
    }
}

/// A plan, all of which is signed.
struct Before<'b> {
    tables: &'b Tables,
    page: BTreeMap<String, String>,
    subjects: Vec<Subject>,
    read: Read,
}

impl<'b> Before<'b> {
    fn of(text: &str, tables: &'b Tables) -> Self {
        let drawn = Drawn::of(text.to_owned(), tables).unwrap();
        let (page, subjects) = (drawn.printed(tables), drawn.subjects(tables));
        let keys: BTreeSet<&str> = subjects.iter().map(|s| s.key.as_str()).collect();
        assert!(page.keys().map(String::as_str).eq(keys), "{page:?}");
        let read = all_signed(&subjects);
        assert!(drawn.bonds(tables, &read).iter().all(|bond| *bond == Bond::Holds));
        Self { tables, page, subjects, read }
    }

    /// What another plan does to the signatures, and what is wrong about it.
    fn after(&self, text: String, in_book: bool) -> (Tally, Option<String>) {
        let mut tally = Tally::default();
        let Some(after) = Drawn::of(text, self.tables) else {
            return (Tally { refused: 1, ..tally }, None);
        };
        let now = after.printed(self.tables);
        if in_book {
            let machine = Machine::of(&after.text, self.tables, true).unwrap();
            assert_eq!(printed_in_book(&machine, self.tables), now);
            assert_eq!(machine.subjects(self.tables), after.subjects(self.tables));
            tally.in_book = 1;
        }
        let says_other = |(key, words): &(&String, &String)| now.get(*key) != Some(*words);
        let expected: BTreeSet<&str> =
            self.page.iter().filter(says_other).map(|(k, _)| &**k).collect();
        let bonds = after.bonds(self.tables, &self.read);
        let void = self.subjects.iter().zip(&bonds).filter(|(_, b)| **b != Bond::Holds);
        let void: BTreeSet<&str> = void.map(|(s, _)| s.key.as_str()).collect();
        let is_gone = |b: &Bond| matches!(b, Bond::Void(Void::Gone(_)));
        tally.gone = usize::from(bonds.iter().any(is_gone));
        *if void.is_empty() { &mut tally.nothing } else { &mut tally.some } = 1;
        let wrong = void.symmetric_difference(&expected).next();
        let wrong =
            wrong.map(|key| format!("{key}\n{:?}\n{:?}", self.page.get(*key), now.get(*key)));
        (tally, wrong)
    }
}

/// Every so many values are changed; of the changed plans a few are calculated and printed whole.
fn mutate(folder: &str, every: usize) -> Tally {
    let tables = Tables::builtin();
    let text = example(folder);
    let before = Before::of(&text, &tables);
    let changes: Vec<(Range<usize>, String)> = values(&text)
        .into_iter()
        .step_by(every)
        .flat_map(|place| {
            let values = changed(&text[place.clone()], &SERVICES);
            values.into_iter().map(move |value| (place.clone(), value))
        })
        .collect();
    let (apart, first) = (changes.len().div_ceil(IN_BOOK), changes.len() / IN_BOOK / 2);
    let one = |(index, (place, value)): (usize, &(Range<usize>, String))| {
        let mut other = text.clone();
        other.replace_range(place.clone(), value);
        let (tally, wrong) = before.after(other, index % apart == first);
        let line = text[..place.start].matches('\n').count() + 1;
        let said = |w| format!("{folder}:{line}: {} -> {value}: {w}", &text[place.clone()]);
        (tally, wrong.map(said))
    };
    let (tallies, wrong): (Vec<Tally>, Vec<Option<String>>) =
        changes.par_iter().enumerate().map(one).unzip();
    let tally = tallies.into_iter().fold(Tally::default(), Tally::and);
    let wrong: Vec<String> = wrong.into_iter().flatten().collect();
    assert!(wrong.is_empty(), "{} of {tally:?}: {}", wrong.len(), wrong.join("\n"));
    tally
}

/// So many changed plans of an example, about, are calculated and printed whole.
const IN_BOOK: usize = 5;

#[test]
fn a_changed_value_of_every_example_voids_what_says_something_else_and_nothing_more() {
    // One value in some, and every value where there is time.
    let every = if full() { 1 } else { 5 };
    for folder in ["01-amphibian", "02-river-launch", "03-press"] {
        let tally = mutate(folder, every);
        let least = 100 / every;
        assert!(tally.some >= least && tally.nothing >= least, "{folder}: {tally:?}");
        assert!(tally.refused >= least / 4 && tally.in_book > 1, "{folder}: {tally:?}");
        assert!(tally.gone > 0 || !full(), "{folder}: {tally:?}");
    }
}
