//! The order list.

use std::collections::BTreeMap;

use super::LineFacts;
use super::makeup::StockFacts;
use crate::makeup::stock::{CuttingPlan, WantedPiece};
use crate::plan::Plan;
use crate::table::end::End;
use crate::units::Quantity;

/// One thing to order.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderItem {
    /// What kind of thing.
    pub kind: &'static str,
    /// What it is.
    pub what: String,
    /// Hose, tube or end as the plan names it; none for what has no name of its own.
    pub part: Option<String>,
    /// Of an end: its size, its angle and what touches the fluid, where that is known.
    pub end: Option<EndItem>,
    /// How many, in the unit.
    pub count: f64,
    /// Unit of the count.
    pub unit: &'static str,
    /// Spares within the count.
    pub spares: u32,
    /// Lines it is for.
    pub lines: Vec<String>,
}

/// What tells one end from another.
#[derive(Clone, Debug, PartialEq, PartialOrd)]
pub struct EndItem {
    /// Dash size, or size as the family counts it.
    pub size: String,
    /// Angle, deg.
    pub angle_deg: f64,
    /// Material that touches the fluid.
    pub material: Option<String>,
}

/// The order list: hose and tube by stock length, ends, clips, sleeves.
pub fn order(plan: &Plan, lines: &[LineFacts], cutting: &[StockFacts]) -> Vec<OrderItem> {
    let mut list = stock_items(cutting);
    list.extend(end_items(plan));
    list.extend(clip_items(plan, lines));
    list.extend(sleeve_items(plan));
    list
}

fn stock_items(cutting: &[StockFacts]) -> Vec<OrderItem> {
    let mut items = Vec::new();
    for facts in cutting {
        match &facts.plan {
            Ok(plan) => {
                let mut by_length: BTreeMap<usize, (f64, u32, Vec<String>)> = BTreeMap::new();
                for bar in &plan.bars {
                    let entry =
                        by_length.entry(bar.stock).or_insert((bar.length_mm, 0, Vec::new()));
                    entry.1 += 1;
                    entry.2.extend(bar.cuts.iter().map(|c| c.label.clone()));
                }
                items.extend(uncut_item(facts, plan));
                for (length_mm, count, labels) in by_length.into_values() {
                    items.push(OrderItem {
                        kind: "stock",
                        what: format!("{}, {length_mm:.0} mm pieces", facts.of),
                        part: Some(facts.of.clone()),
                        end: None,
                        count: f64::from(count),
                        unit: "pieces",
                        spares: 0,
                        lines: labels,
                    });
                }
            }
            Err(_) => items.push(OrderItem {
                kind: "stock",
                what: format!("{}, cut lengths only, no stock length given", facts.of),
                part: Some(facts.of.clone()),
                end: None,
                count: facts.pieces.iter().map(|p| p.length_mm).sum::<f64>() / 1e3,
                unit: "m",
                spares: 0,
                lines: facts.pieces.iter().map(|p| p.label.clone()).collect(),
            }),
        }
    }
    items
}

/// What no stock of the plan gives, by its cut length.
fn uncut_item(facts: &StockFacts, plan: &CuttingPlan) -> Option<OrderItem> {
    let indices = plan.too_long.iter().chain(&plan.not_placed);
    let pieces: Vec<&WantedPiece> = indices.filter_map(|i| facts.pieces.get(*i)).collect();
    (!pieces.is_empty()).then(|| OrderItem {
        kind: "stock",
        what: format!("{}, cut lengths that no stock of the plan gives", facts.of),
        part: Some(facts.of.clone()),
        end: None,
        count: pieces.iter().map(|p| p.length_mm).sum::<f64>() / 1e3,
        unit: "m",
        spares: 0,
        lines: pieces.iter().map(|p| p.label.clone()).collect(),
    })
}

/// Ends by size, angle, material and family; what is got at short notice needs no spare.
fn end_items(plan: &Plan) -> Vec<OrderItem> {
    let mut ends: BTreeMap<(i64, String, i64, String, String), EndCount<'_>> = BTreeMap::new();
    for line in &plan.lines {
        for end in line.ends.iter().flatten() {
            let material = end.wetted.as_ref().map(|w| w.value.clone()).unwrap_or_default();
            let tenths = tenths_of_degree(end);
            let key = (dash(&end.size), end.size.clone(), tenths, material, end.label.clone());
            let entry =
                ends.entry(key).or_insert(EndCount { end, all: 0, spared: 0, lines: Vec::new() });
            entry.all += 1;
            entry.spared += u32::from(!line.lead_time_short);
            if entry.lines.last() != Some(&line.id) {
                entry.lines.push(line.id.clone());
            }
        }
    }
    ends.into_values().map(|count| end_item(plan, count)).collect()
}

/// Ends of one kind: all of them, and those for which a spare is ordered.
struct EndCount<'a> {
    end: &'a End,
    all: u32,
    spared: u32,
    lines: Vec<String>,
}

fn end_item(plan: &Plan, count: EndCount<'_>) -> OrderItem {
    let end = count.end;
    let angle_deg = end.angle.si().to_degrees();
    let material = end.wetted.as_ref().map(|w| w.value.clone());
    let made_of = material.as_ref().map_or("material not known", |m| m.as_str());
    let spares = spares(plan, count.spared);
    OrderItem {
        kind: "end",
        what: format!("{}, {angle_deg:.0} deg, {}, {made_of}", end.label, end.family),
        part: Some(end.label.clone()),
        end: Some(EndItem { size: end.size.clone(), angle_deg, material }),
        count: f64::from(count.all + spares),
        unit: "pieces",
        spares,
        lines: count.lines,
    }
}

/// The number of a dash size, so that -10 comes after -6; other sizes come first, by their text.
fn dash(size: &str) -> i64 {
    size.strip_prefix('-').and_then(|n| n.parse().ok()).unwrap_or(0)
}

fn tenths_of_degree(end: &End) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "an angle of an end, for sorting")]
    let tenths = (end.angle.si().to_degrees() * 10.0).round() as i64;
    tenths
}

fn spares(plan: &Plan, count: u32) -> u32 {
    let share = plan.order.spares.unwrap_or(0.0);
    let wanted = (f64::from(count) * share - 1e-9).ceil().clamp(0.0, 1e6);
    // Exact: a whole number between 0 and a million.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped above")]
    let whole = wanted as u32;
    whole
}

/// Clips by the outside diameter they hold, and one hose clip for every spigot.
fn clip_items(plan: &Plan, lines: &[LineFacts]) -> Vec<OrderItem> {
    let mut clips: BTreeMap<String, (u32, Vec<String>)> = BTreeMap::new();
    let mut add = |what: String, count: u32, line: &str| {
        if count > 0 {
            let entry = clips.entry(what).or_default();
            entry.0 += count;
            entry.1.push(line.to_owned());
        }
    };
    for (line, facts) in plan.lines.iter().zip(lines) {
        let outside = facts
            .outside
            .as_ref()
            .map_or("outside not known".to_owned(), |o| format!("{:.1} mm outside", o.value));
        let held = line.clips.iter().filter(|c| c.held).count();
        add(format!("support clip, {outside}"), u32::try_from(held).unwrap_or(u32::MAX), &line.id);
        let spigots =
            [&line.from, &line.to].iter().filter(|r| plan.port(r).1.end.is_spigot()).count();
        add(format!("hose clip, {outside}"), u32::try_from(spigots).unwrap_or(0), &line.id);
    }
    clips
        .into_iter()
        .map(|(what, (count, lines))| OrderItem {
            kind: "clip",
            what,
            part: None,
            end: None,
            count: f64::from(count),
            unit: "pieces",
            spares: 0,
            lines,
        })
        .collect()
}

fn sleeve_items(plan: &Plan) -> Vec<OrderItem> {
    let mut sleeves: BTreeMap<String, (f64, Vec<String>)> = BTreeMap::new();
    for line in &plan.lines {
        for sleeve in &line.sleeves {
            let what = format!("{} sleeve over {}", sleeve.kind, line.carrier.label());
            let entry = sleeves.entry(what).or_default();
            entry.0 += (sleeve.end_mm - sleeve.start_mm) / 1e3;
            entry.1.push(line.id.clone());
        }
    }
    sleeves
        .into_iter()
        .map(|(what, (count, lines))| OrderItem {
            kind: "sleeve",
            what,
            part: None,
            end: None,
            count,
            unit: "m",
            spares: 0,
            lines,
        })
        .collect()
}
