//! `connection.swap`: ends that can be exchanged by mistake and would do harm.

use std::collections::BTreeSet;

use super::RULES;
use crate::check::{About, Whole};
use crate::finding::{Finding, Verdict};
use crate::solve::connection::WiringFacts;
use crate::solve::connection::swap::{SwapFacts, SwapsFacts};
use crate::solve::connection::trial::NeedTrial;
use crate::solve::network::wiring::End;
use crate::source::Cite;

/// What the check is about.
pub const ABOUT: About = About {
    code: "connection.swap",
    looks_at: "pairs of ends with the same family, size and gender whose ports lie near each other: what the machine would be with the two exchanged",
    why: "what can be put on wrongly will be, at night and after the third repair",
    number: "distance between the two ports in mm; every exchange that breaks a rule of connection, or leaves a need unmet, is told",
    limit_from: "limit/installation, rules swap-reach and swap-reach-tube: common practice, no document gives them; a hose must also be long enough",
    open_when: "the table of these rules is missing; no flow settles with the two exchanged; pairs beyond the number that is looked at are counted",
    remedy: "give one of the two another size or another thread; a tag or a colour band only warns",
};

/// Judges every exchange that changes something.
pub fn check(whole: &Whole<'_>) -> Vec<Finding> {
    let swaps = &whole.facts.connection.swaps;
    let Some(reach) = &swaps.reach else {
        let draft = whole.draft(&ABOUT, &whole.plan.name);
        return vec![draft.open(
            "how far apart ends can be exchanged is in no table",
            "add the rules to limit/installation",
        )];
    };
    let planned = &whole.facts.connection.wired;
    let faults: BTreeSet<(&str, String)> =
        fails(whole, planned).into_iter().map(|f| (f.code, f.place)).collect();
    let mut findings = Vec::new();
    for swap in &swaps.changes {
        let (harm, unsettled) = (harm(whole, swap, &faults), unsettled(whole, swap));
        if harm.is_empty() && unsettled.is_none() {
            continue;
        }
        let [a, b] = ports(whole, swap);
        let both_fit = format!(
            "{} on {b} and {} on {a}: both fit, the ports are {:.0} mm apart",
            end(whole, swap.ends[0]),
            end(whole, swap.ends[1]),
            swap.apart_mm
        );
        let draft = whole.draft(&ABOUT, &format!("{a} and {b}")).source(reach);
        let draft = draft.value(swap.apart_mm, "mm");
        findings.push(match (harm.as_slice(), unsettled) {
            ([], why) => {
                let why = why.unwrap_or_default();
                draft.open(
                    format!("{both_fit}. What would flow then is not known: {why}"),
                    remedy(whole, swap),
                )
            }
            ([first], _) => {
                draft.caution(format!("{both_fit}. Then: {first}"), remedy(whole, swap))
            }
            ([first, more @ ..], _) => {
                let message = format!("{both_fit}. Then: {first} (and {} more)", more.len());
                draft.caution(message, remedy(whole, swap))
            }
        });
    }
    let harmful = findings.iter().filter(|f| f.verdict == Verdict::Caution).count();
    findings.push(summary(whole, swaps, reach, harmful));
    findings
}

fn summary(whole: &Whole<'_>, swaps: &SwapsFacts, reach: &Cite, harmful: usize) -> Finding {
    let draft = whole.draft(&ABOUT, &whole.plan.name).source(reach);
    let pairs = |n: usize| if n == 1 { "1 pair".to_owned() } else { format!("{n} pairs") };
    let flows = match swaps.solved {
        0 => String::new(),
        solved => format!("; the flows of {solved} were solved as well"),
    };
    let seen = format!(
        "{} of ends could be exchanged, and {harmful} of the {} looked at would do harm{flows}",
        pairs(swaps.there_are),
        swaps.looked_at
    );
    if swaps.looked_at < swaps.there_are {
        let rest = pairs(swaps.there_are - swaps.looked_at);
        return draft.open(
            format!("{seen}; {rest} with ports further apart were not looked at"),
            "use more different sizes, so that fewer ends can be exchanged",
        );
    }
    draft.ok(seen)
}

/// What an exchange would do, in words, that the plan does not do already.
fn harm(whole: &Whole<'_>, swap: &SwapFacts, faults: &BTreeSet<(&str, String)>) -> Vec<String> {
    let mut harm = Vec::new();
    if let Some(fluids) = swap.fluids {
        let [a, b] = fluids.map(|f| whole.plan.fluids[f].id.as_str());
        harm.push(format!("{a} and {b} get into each other"));
    }
    let new = |f: &Finding| !faults.contains(&(f.code, f.place.clone()));
    harm.extend(fails(whole, &swap.wired).into_iter().filter(new).map(|f| f.message));
    if let Some((line, port, case)) = swap.dry {
        let (tank, port) = whole.plan.port(&port);
        harm.push(format!(
            "{} draws air, since {}.{} stands over the liquid in \"{}\"",
            whole.plan.lines[line].id,
            tank.id,
            port.name,
            whole.case_name(case)
        ));
    }
    harm.extend(starved(whole, swap));
    harm
}

/// Needs that are met as planned and get less.
fn met(swap: &SwapFacts) -> impl Iterator<Item = &NeedTrial> {
    swap.needs.iter().flatten().filter(|n| n.planned_m3_s >= n.wanted_m3_s)
}

/// The first need that would not be met, in words.
fn starved(whole: &Whole<'_>, swap: &SwapFacts) -> Option<String> {
    met(swap).find_map(|need| {
        let then = need.then_m3_s.as_ref().ok().filter(|then| **then < need.wanted_m3_s)?;
        Some(format!(
            "{} gets {:.2} of the {:.2} L/min it uses in \"{}\"",
            whole.plan.components[need.component].id,
            60e3 * then.max(0.0),
            60e3 * need.wanted_m3_s,
            whole.case_name(need.case)
        ))
    })
}

/// Why it is not known what a need would get, in words.
fn unsettled(whole: &Whole<'_>, swap: &SwapFacts) -> Option<String> {
    met(swap).find_map(|need| {
        let why = need.then_m3_s.as_ref().err()?;
        Some(format!("in \"{}\", {why}", whole.case_name(need.case)))
    })
}

fn fails(whole: &Whole<'_>, wired: &WiringFacts) -> Vec<Finding> {
    let findings = RULES.iter().flat_map(|rule| rule(whole, wired));
    findings.filter(|f| f.verdict == Verdict::Fail).collect()
}

fn ports(whole: &Whole<'_>, swap: &SwapFacts) -> [String; 2] {
    swap.ports.map(|reference| whole.plan.port_name(&reference))
}

fn end(whole: &Whole<'_>, end: End) -> String {
    match end {
        End::Line(line, _) => format!("line {}", whole.plan.lines[line].id),
        // What is screwed on there is told by its own port.
        End::Join(join, side) => {
            let (component, port) = whole.plan.port(&whole.plan.joins[join].ports[1 - side]);
            format!("port {}.{}", component.id, port.name)
        }
    }
}

fn remedy(whole: &Whole<'_>, swap: &SwapFacts) -> String {
    let only = "a tag or a colour band only warns and stops nobody";
    match &swap.other_size {
        Some(other) => {
            let (component, port) = whole.plan.port(&other.port);
            format!(
                "make {}.{} and its end of {} another size, such as {} {}: then the two no longer fit; {only}",
                component.id, port.name, whole.plan.lines[other.line].id, other.table, other.size
            )
        }
        None => format!(
            "no table has another size of these ends: fit a keyed coupling to one of the two ports, or else mark ends and ports in pairs; {only}"
        ),
    }
}
