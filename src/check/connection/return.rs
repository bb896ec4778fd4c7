//! `connection.return`: whether the return follows the supply when a selector picks the tank.

use std::collections::BTreeSet;

use super::{list, names};
use crate::check::{About, Whole};
use crate::finding::Finding;
use crate::solve::connection::WiringFacts;
use crate::solve::connection::returns::{ReturnFacts, ReturnWay};

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.return",
    looks_at: "for every state of what selects, the tanks that feed each pump and the tanks that its return ends in",
    why: "a return that ends in another tank empties the one in use and makes the other run over",
    number: "the number of tanks that take the return without feeding the pump; none may be left",
    limit_from: "the plan itself: what a pump does not deliver has to go back where it came from",
    open_when: "the states of all selectors make more combinations than can be looked at",
    remedy: "let one selector switch supply and return together, or lead the return to the tank in use",
};

/// Judges the returns of the plan.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    judge(whole, &whole.facts.connection.wired)
}

/// Judges the returns of a wiring; pumps that behave alike are judged together.
pub fn judge(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let mut alike: Vec<(&ReturnFacts, Vec<usize>)> = Vec::new();
    for facts in &wired.returns {
        let same = |(other, _): &&mut (&ReturnFacts, Vec<usize>)| {
            other.by == facts.by && other.ways == facts.ways
        };
        match alike.iter_mut().find(same) {
            Some((_, pumps)) => pumps.push(facts.pump),
            None => alike.push((facts, vec![facts.pump])),
        }
    }
    alike.iter().flat_map(|(facts, pumps)| group(whole, facts, pumps)).collect()
}

fn group(whole: &Whole<'_>, facts: &ReturnFacts, pumps: &[usize]) -> Vec<Finding> {
    let (is, its) = if pumps.len() == 1 { ("is", "its") } else { ("are", "their") };
    let feeds = if pumps.len() == 1 { "it" } else { "them" };
    let pumps = names(whole, pumps.iter().copied());
    let place =
        if facts.by.is_empty() { pumps.clone() } else { names(whole, facts.by.iter().copied()) };
    let draft = whole.draft(&ABOUT, &place);
    let Some(ways) = &facts.ways else {
        return vec![draft.open(
            format!("{place} have too many combinations of states to follow the return of {pumps}"),
            "take out states that do not shut a path",
        )];
    };
    let wrong: Vec<&ReturnWay> = ways.iter().filter(|w| !w.wrong.is_empty()).collect();
    if wrong.is_empty() {
        return vec![draft.ok(format!(
            "the return of {pumps} ends in a tank that feeds {feeds}, in every state"
        ))];
    }
    let fail = |way: &&ReturnWay| {
        let tanks = |set: &BTreeSet<usize>| names(whole, set.iter().copied());
        let (from, into) = (tanks(&way.from), tanks(&way.wrong));
        let message = format!(
            "with {}, {pumps} {is} fed by {from} and {its} return ends in {into}: {from} runs empty and {into} runs over",
            states(whole, &facts.by, &way.states)
        );
        draft.clone().fail(message, ABOUT.remedy)
    };
    wrong.iter().map(fail).collect()
}

/// Components with the states they are in.
fn states(whole: &Whole<'_>, by: &[usize], states: &[usize]) -> String {
    let each = by.iter().zip(states).map(|(component, state)| {
        let component = &whole.plan.components[*component];
        format!("{} at \"{}\"", component.id, component.states[*state].name)
    });
    let each: Vec<String> = each.collect();
    list(&each.iter().map(String::as_str).collect::<Vec<_>>())
}
