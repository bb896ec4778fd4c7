//! Every value of a plan is changed in turn: exactly those signatures are void of which the printed page says something
//! else. What the page says is read off the page itself, not off the words that are digested.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use hosewright::book::{Look, html};
use hosewright::plan::Plan;
use hosewright::signed::{Bond, Void};
use hosewright::table::Tables;

use super::{Machine, all_signed, example, full};

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

/// What a card tells its reader to do: all of it but number, edition, code, and what was found.
fn instructions(article: &str) -> String {
    let parts = [
        ("<p class=\"number\">card", "</p>"),
        ("<footer>", "</footer>"),
        ("<figure class=\"code\">", "</figure>"),
        ("<ul class=\"found\">", "</ul>"),
        ("<p class=\"stop\">", "</p>"),
        ("<div class=\"signs\">", "</div>"),
    ];
    seen(&parts.iter().fold(article.to_owned(), |page, (from, to)| without(&page, from, to)))
}

/// What the page says of everything that can be signed, under the names of the record.
fn printed(machine: &Machine, tables: &Tables) -> BTreeMap<String, String> {
    let plan = &machine.assessment.plan;
    let page = html(&machine.book(tables, Look { pocket: true, ..Look::default() }));
    let articles: Vec<&str> = page.split("<article class=\"card\"").skip(1).collect();
    assert_eq!(articles.len(), plan.lines.len());
    let mut all = BTreeMap::new();
    for (line, article) in plan.lines.iter().zip(articles) {
        let article = article.split("</article>").next().unwrap();
        let said = instructions(article);
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
    if machine.trial.is_some() {
        all.extend(tests(&html(&machine.book(tables, Look::default()))));
    }
    all
}

/// Name and seat of a port.
fn port(plan: &Plan, component: usize, port: usize) -> (String, String) {
    let component = &plan.components[component];
    let end = &component.ports[port].end;
    let seat = format!("{:?} {:?} {:?}", end.family, end.size, end.gender);
    (format!("{}.{}", component.id, component.ports[port].name), seat)
}

/// The tests on the sheet of a book.
fn tests(page: &str) -> Vec<(String, String)> {
    let sheet = page.split("<section class=\"part\" id=\"tests\"").nth(1).unwrap();
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
#[derive(Debug, Default)]
struct Tally {
    refused: usize,
    nothing: usize,
    some: usize,
    gone: usize,
}

fn mutate(folder: &str, with_tests: bool, every: usize) -> Tally {
    let tables = Tables::builtin();
    let text = example(folder);
    let before = Machine::of(&text, &tables, with_tests).unwrap();
    let (page, subjects) = (printed(&before, &tables), before.subjects(&tables));
    let keys: BTreeSet<&str> = subjects.iter().map(|s| s.key.as_str()).collect();
    assert!(page.keys().all(|k| keys.contains(k.as_str())), "{folder}: {keys:?}");
    assert_eq!(keys.len(), page.len(), "{folder}");
    let read = all_signed(&subjects);
    let unchanged = before.signed(&tables, read.clone());
    assert!(unchanged.bonds.iter().all(|bond| *bond == Bond::Holds), "{folder}");
    let (mut tally, mut wrong) = (Tally::default(), Vec::new());
    for place in values(&text).into_iter().step_by(every) {
        for value in changed(&text[place.clone()], &SERVICES) {
            let mut other = text.clone();
            other.replace_range(place.clone(), &value);
            let Some(after) = Machine::of(&other, &tables, with_tests) else {
                tally.refused += 1;
                continue;
            };
            let now = printed(&after, &tables);
            let expected: BTreeSet<&str> =
                page.iter().filter(|(k, w)| now.get(*k) != Some(w)).map(|(k, _)| &**k).collect();
            let held = after.signed(&tables, read.clone());
            let void = subjects.iter().zip(&held.bonds).filter(|(_, b)| **b != Bond::Holds);
            let void: BTreeSet<&str> = void.map(|(s, _)| s.key.as_str()).collect();
            let line = text[..place.start].matches('\n').count() + 1;
            let said = || format!("{folder}:{line}: {} -> {value}", &text[place.clone()]);
            if void != expected {
                let key = void.symmetric_difference(&expected).next().unwrap();
                wrong.push(format!("{}: {key}\n{:?}\n{:?}", said(), page.get(*key), now.get(*key)));
            }
            let is_gone = |b: &&Bond| matches!(b, Bond::Void(Void::Gone(_)));
            tally.gone += usize::from(held.bonds.iter().any(|b| is_gone(&b)));
            *if void.is_empty() { &mut tally.nothing } else { &mut tally.some } += 1;
        }
    }
    assert!(wrong.is_empty(), "{} of {tally:?}: {}", wrong.len(), wrong.join("\n"));
    tally
}

#[test]
fn a_changed_value_of_the_press_voids_what_says_something_else_and_nothing_more() {
    let tally = mutate("03-press", false, if full() { 1 } else { 5 });
    assert!(tally.some > 20 && tally.nothing > 20 && tally.refused > 5, "{tally:?}");
}

#[test]
fn a_changed_value_of_every_example_voids_what_says_something_else_and_nothing_more() {
    // One value in many, and every value where there is time.
    let (every, least) = if full() { (1, 100) } else { (67, 3) };
    for folder in ["01-amphibian", "02-river-launch", "03-press"] {
        let tally = mutate(folder, true, every);
        assert!(tally.some >= least && tally.nothing >= least, "{folder}: {tally:?}");
        assert!(tally.gone > 0 || !full(), "{folder}: {tally:?}");
    }
}
