//! The order of work on one tube, from the stock to the cap on its finished ends.

use crate::plan::{Bender, Line};
use crate::table::end::End;

use super::{Side, TubeFacts};

/// What to do, one step after the other.
pub fn operations(line: &Line, bender: Option<&Bender>, facts: &TubeFacts) -> Vec<String> {
    let side = facts.side();
    let mut steps = vec![format!(
        "square the end of the stock, cut the tube, take the burr off inside and outside, and \
             mark {} on it",
        side.end
    )];
    let ends = ends(line, bender, facts);
    steps.extend(ends.iter().filter(|e| e.before).map(Formed::early));
    if !side.rows.is_empty() {
        steps.push(format!(
            "draw a line along the whole tube and mark every bend from {}; make all marks before the \
             first bend, with a soft pen and never with a scriber",
            side.end
        ));
        steps.extend(bends(side));
        steps.push(
            "lay the tube in its place, or on a drawing in full size, before any end is formed: a bend \
             can still be corrected a little, a flare cannot"
                .to_owned(),
        );
    }
    steps.push("clean the bore, and look through it".to_owned());
    let sleeves: Vec<&str> = line.sleeves.iter().map(|s| s.kind).collect();
    if !sleeves.is_empty() {
        let late = "over the tube now: once both ends are formed it does not go on any more";
        steps.push(format!("push the {} sleeve {late}", sleeves.join(" and the ")));
    }
    steps.extend(formed(&ends, side.rows.is_empty()));
    steps.push("cap both ends until the tube is fitted; test it before use".to_owned());
    steps
}

fn bends(side: &Side) -> impl Iterator<Item = String> {
    side.rows.iter().enumerate().map(|(index, row)| {
        let set = row.set.as_ref().map_or("open".to_owned(), |s| format!("{:.1} deg", s.angle_deg));
        let dial = if index == 0 {
            "the drawn line to the inside of the bend".to_owned()
        } else {
            format!("dial {:.0} to the inside of the bend", whole_turn(row.dial_deg))
        };
        let check = row.bend.angle_rad.to_degrees();
        format!("bend {} ({}): {dial}, set {set}, measure {check:.1} deg", index + 1, row.place)
    })
}

/// A dial shows 0 where it would show 360.
fn whole_turn(dial_deg: f64) -> f64 {
    let whole = dial_deg.round();
    if whole >= 360.0 { 0.0 } else { whole }
}

/// An end of the tube that is formed.
struct Formed<'l> {
    end: &'static str,
    fitting: &'l End,
    /// Its straight is too short to form it on the bent tube.
    before: bool,
}

impl Formed<'_> {
    fn flared(&self) -> bool {
        self.fitting.family.contains("flare")
    }

    fn early(&self) -> String {
        format!(
            "{}: too little straight to form it on the bent tube. Put nut and sleeve on and form this end \
             now, if the bender lets the nut pass",
            self.end
        )
    }
}

fn ends<'l>(line: &'l Line, bender: Option<&Bender>, facts: &TubeFacts) -> Vec<Formed<'l>> {
    let straights = facts.straights_mm();
    let at = [straights.first(), straights.last()];
    let needed_mm = bender.and_then(|b| b.end_straight_mm);
    let bent = straights.len() > 1;
    ["end A", "end B"]
        .into_iter()
        .zip(&line.ends)
        .zip(at)
        .filter_map(|((end, fitting), has_mm)| {
            let short = needed_mm.zip(has_mm).is_some_and(|(needed, has)| *has < needed - 1e-6);
            Some(Formed { end, fitting: fitting.as_ref()?, before: bent && short })
        })
        .collect()
}

/// The ends that are formed last, with the parts that must be on the tube before.
fn formed(ends: &[Formed<'_>], straight: bool) -> Vec<String> {
    let late: Vec<&Formed<'_>> = ends.iter().filter(|e| !e.before).collect();
    let mut steps = Vec::new();
    for (index, formed) in late.iter().enumerate() {
        let (end, label) = (formed.end, &formed.fitting.label);
        let last = index + 1 == late.len();
        if !formed.flared() {
            steps.push(format!("{end}: fit {label} as its maker says"));
            continue;
        }
        let passes = if straight { "" } else { ", since neither passes a bend" };
        let trap = if last { " Nothing goes on after this flare" } else { "" };
        steps.push(format!(
            "{end}: put on the nut of {label}, its thread to the end, then the sleeve, its cone to the \
             end{passes}; then flare.{trap}"
        ));
    }
    steps
}
