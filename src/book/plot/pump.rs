//! The curve of each pump against that of what it pumps through, with the points at which it works.

use std::collections::BTreeSet;

use maud::{Markup, html};
use rayon::prelude::*;

use super::axes::{Axes, Axis, Kind, Name, STYLES, names};
use super::in_numbers;
use crate::book::Book;
use crate::book::canvas::{Canvas, Point};
use crate::hydraulics::network::PumpCurve;
use crate::plan::PathLaw;
use crate::report::units::Column;
use crate::solve::ask;
use crate::solve::network::circuit::LinkKind;
use crate::solve::network::machine::Machine;
use crate::solve::network::settle::{CircuitSolution, NO_FLOW_M3_S, Scratch};
use crate::solve::network::setup::Tweaks;
use crate::units::Quantity;

/// Size of a plot, mm.
const SIZE_MM: Point = [182.0, 84.0];
const LEFT_MM: f64 = 20.0;
const RIGHT_MM: f64 = 116.0;
const TOP_MM: f64 = 6.0;
const BOTTOM_MM: f64 = 72.0;
/// Speeds of the pump that the network is asked for, besides the one that it has.
const SPEEDS: [f64; 3] = [1.12, 0.8, 0.6];
/// Points of a curve.
const POINTS: u32 = 24;
/// Working points that differ by less than this share are one.
const SAME: f64 = 0.01;

/// Of two working points whose flows differ by less than this share the network is asked for one.
const ALIKE: f64 = 0.05;

/// A pump, by its component and path.
type Pump = (usize, usize);

/// Where a pump works.
struct Work {
    /// Flow, m3/s, and rise, Pa.
    at: [f64; 2],
    /// Share of the speed of its curve.
    speed: f64,
    /// The cases that share the point, by index.
    cases: Vec<usize>,
    /// Flow and rise at other speeds, in the first of the cases.
    system: Vec<[f64; 2]>,
}

/// The plots of all pumps that run in a named case.
pub fn plots(book: &Book<'_>) -> Markup {
    let mut pumps = works(book);
    if pumps.is_empty() {
        return html! {};
    }
    ask(&book.assessment.plan, book.tables, |machine| {
        // Each pump begins afresh, so that the answer does not depend on how many are worked on at a time.
        pumps.par_iter_mut().for_each(|(pump, works)| {
            let mut scratch = Scratch::default();
            for index in outermost(works) {
                works[index].system = system(book, machine, (*pump, &works[index]), &mut scratch);
            }
        });
    });
    html! {
        h3 { "Pumps and what they pump through" }
        p { (KEY) }
        @for (pump, works) in &pumps { (plot(book, *pump, works)) }
    }
}

/// The pumps with their working points.
fn works(book: &Book<'_>) -> Vec<(Pump, Vec<Work>)> {
    let plan = &book.assessment.plan;
    let facts = &book.assessment.facts;
    let mut pumps: Vec<(Pump, Vec<Work>)> = Vec::new();
    let answers = facts.network.circuits.iter().flat_map(|c| &c.answers);
    for (case, answer) in answers {
        let Some(Ok(answer)) = facts.cases.get(*case).filter(|c| !c.combined).map(|_| answer)
        else {
            continue;
        };
        for path in &answer.paths {
            let pump = (path.component, path.path);
            let is_pump = plan.components[pump.0].paths[pump.1].law.is_pump();
            let Some(drop) = path.drop_pa.filter(|_| is_pump && path.flow_m3_s > NO_FLOW_M3_S)
            else {
                continue;
            };
            let speed = speed(book, pump.0, *case);
            let at = [path.flow_m3_s, -drop];
            let index = pumps.iter().position(|p| p.0 == pump).unwrap_or_else(|| {
                pumps.push((pump, Vec::new()));
                pumps.len() - 1
            });
            let works = &mut pumps[index].1;
            let near = |a: f64, b: f64| (a - b).abs() <= SAME * a.abs().max(b.abs());
            let same = |w: &&mut Work| {
                near(w.speed, speed) && near(w.at[0], at[0]) && near(w.at[1], at[1])
            };
            match works.iter_mut().find(same) {
                Some(work) => work.cases.push(*case),
                None => works.push(Work { at, speed, cases: vec![*case], system: Vec::new() }),
            }
        }
    }
    pumps
}

fn speed(book: &Book<'_>, component: usize, case: usize) -> f64 {
    let state = book.assessment.facts.cases[case].states[component];
    let state = book.assessment.plan.components[component].states.get(state);
    state.and_then(|s| s.speed).map_or(1.0, Quantity::si)
}

/// The working points with the least and with the most flow, by index; one of them where these are much alike.
fn outermost(works: &[Work]) -> BTreeSet<usize> {
    let flow = |i: &usize| works[*i].at[0];
    let order = |i: &usize, j: &usize| flow(i).total_cmp(&flow(j));
    let least = (0..works.len()).min_by(order);
    let most = (0..works.len()).max_by(order);
    let differs = |most: &usize| least.is_none_or(|l| flow(most) > (1.0 + ALIKE) * flow(&l));
    least.into_iter().chain(most.filter(differs)).collect()
}

/// What the network gives at other speeds of the pump, with all else as in the case.
fn system(
    book: &Book<'_>,
    machine: &Machine<'_>,
    (pump, work): (Pump, &Work),
    scratch: &mut Scratch,
) -> Vec<[f64; 2]> {
    let case = &book.assessment.facts.cases[work.cases[0]];
    let holds = |c: &usize| machine.circuits[*c].paths().any(|p| p == pump);
    let Some(group) = machine.groups.iter().find(|g| g.circuits.iter().any(holds)) else {
        return Vec::new();
    };
    let mut points = vec![work.at];
    for speed in SPEEDS {
        let tweaks = Tweaks { paced: Some((pump.0, speed)), ..Tweaks::default() };
        let Ok(solved) = machine.solve(group, case, &tweaks, scratch) else { continue };
        points.extend(machine_point(machine, &solved.circuits, pump));
    }
    points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    points
}

fn machine_point(
    machine: &Machine<'_>,
    circuits: &[CircuitSolution],
    pump: Pump,
) -> Option<[f64; 2]> {
    circuits.iter().find_map(|solved| {
        let circuit = &machine.circuits[solved.circuit];
        let wanted = LinkKind::Path { component: pump.0, path: pump.1 };
        let link = circuit.links.iter().position(|l| l.kind == wanted)?;
        let flow = solved.flow_m3_s(link);
        Some([flow, -solved.solution.drops_pa[link]?]).filter(|_| flow > NO_FLOW_M3_S)
    })
}

/// Points of the pump's own law at a speed, up to a rise; none beyond what the plan gives.
fn law(law: &PathLaw, speed: f64, most_pa: f64) -> Vec<[f64; 2]> {
    let square = speed * speed;
    let along = |most: f64| (0..=POINTS).map(move |i| most * f64::from(i) / f64::from(POINTS));
    match law {
        PathLaw::PumpCurve(points) => {
            let all = points.iter().map(|(q, p)| (q.si() * speed, p.si() * square)).collect();
            let Ok(curve) = PumpCurve::new(all) else { return Vec::new() };
            let (low, high) = curve.range_m3_s();
            let flows = along(high - low).map(|q| (low + q).min(high));
            flows.filter_map(|q| Some([q, curve.rise_pa(q).ok()?])).collect()
        }
        PathLaw::PumpSquare { rest, rise, at } => {
            let fall = (rest.si() - rise.si()) / (at.si() * at.si());
            along(speed * (rest.si() / fall).sqrt())
                .map(|q| [q, rest.si() * square - fall * q * q])
                .collect()
        }
        PathLaw::Displacement { flow, slip, at } => {
            let slips = slip.si() / at.si();
            [0.0, most_pa].map(|rise| [flow.si() * speed - slips * rise, rise]).to_vec()
        }
        _ => Vec::new(),
    }
}

fn plot(book: &Book<'_>, pump: Pump, works: &[Work]) -> Markup {
    let owner = &book.assessment.plan.components[pump.0];
    let path = &owner.paths[pump.1];
    let title = format!("{} {}", owner.id, path.name);
    let reaches = |i: usize| {
        let all = works.iter().flat_map(|w| w.system.iter().chain([&w.at]));
        all.map(|p| p[i]).fold(0.0, f64::max)
    };
    let own: Vec<(f64, Vec<[f64; 2]>)> =
        speeds(works).into_iter().map(|s| (s, law(&path.law, s, 1.1 * reaches(1)))).collect();
    let most = |i: usize| own.iter().flat_map(|o| &o.1).map(|p| p[i]).fold(reaches(i), f64::max);
    let system = book.look.system;
    let x = Axis::new("flow", Kind::Flow, system, [0.0, most(0)], [LEFT_MM, RIGHT_MM]);
    let y = Axis::new("pressure rise", Kind::Pressure, system, [0.0, most(1)], [BOTTOM_MM, TOP_MM]);
    let Some((x, y)) = x.zip(y) else { return html! {} };
    let axes = Axes { x, y };
    let mut canvas = Canvas::new(SIZE_MM, format!("Pump {title}"));
    axes.draw(&mut canvas);
    let mut written = Vec::new();
    for (speed, points) in &own {
        let points: Vec<Point> = points.iter().map(|p| axes.point(*p)).collect();
        canvas.polyline(&points, "thick");
        let words = if (speed - 1.0).abs() < 1e-9 {
            "the pump".to_owned()
        } else {
            format!("the pump at {:.0} % of its speed", 100.0 * speed)
        };
        written.extend(points.last().map(|at| Name { at: *at, words, class: "thick" }));
    }
    for (work, class) in works.iter().zip(STYLES[1..].iter().cycle()) {
        let points: Vec<Point> = work.system.iter().map(|p| axes.point(*p)).collect();
        canvas.polyline(&points, class);
        let at = axes.point(work.at);
        canvas.circle(at, 1.0, "paper");
        let words = case_names(book, work);
        let end = points.last().copied().unwrap_or(at);
        written.push(Name { at: end, words, class });
    }
    names(&mut canvas, written, RIGHT_MM, [TOP_MM - 4.0, BOTTOM_MM + 8.0]);
    html! {
        h4 { (title) @if let Some(name) = &owner.name { ", " (name) } }
        (canvas.figure(""))
        (table(book, works))
    }
}

/// What the plots show, once for all.
const KEY: &str = "Thick: the pump by its law in the plan. Circles: where it works, as solved. Thin: what \
the network asks for at the least of these flows, and at the most where that is 5 % more, solved at 60, 80 and \
112 % of the speed in that case, with the states of the case and with temperatures and thermostats settled anew; \
straights join the solved points. Cases within 1 % share a point.";

/// The speeds of the working points, each once.
fn speeds(works: &[Work]) -> Vec<f64> {
    let mut all: Vec<f64> = works.iter().map(|w| w.speed).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

fn case_names(book: &Book<'_>, work: &Work) -> String {
    let cases = &book.assessment.facts.cases;
    let names: Vec<&str> = work.cases.iter().map(|c| cases[*c].name.as_str()).collect();
    names.join("; ")
}

fn table(book: &Book<'_>, works: &[Work]) -> Markup {
    let system = book.look.system;
    in_numbers(&html! {
        tr {
            th { "case" }
            th { (Column::Flow.head("flow", system)) }
            th { (Column::Pressure.head("rise", system)) }
            th { "at other speeds" }
        }
        @for work in works {
            tr {
                th { (case_names(book, work)) }
                td .number { (Column::Flow.number(work.at[0], system)) }
                td .number { (Column::Pressure.number(work.at[1], system)) }
                td { (elsewhere(book, work)) }
            }
        }
    })
}

fn elsewhere(book: &Book<'_>, work: &Work) -> String {
    let system = book.look.system;
    let point = |p: &[f64; 2]| {
        format!(
            "{} at {}",
            Column::Pressure.number(p[1], system),
            Column::Flow.number(p[0], system)
        )
    };
    // The working point is one of them, to the last bit.
    let own = |p: &[f64; 2]| (0..2).all(|i| p[i].to_bits() == work.at[i].to_bits());
    let others = work.system.iter().filter(|p| !own(p));
    let all: Vec<String> = others.map(point).collect();
    if all.is_empty() { "not asked, or no answer".to_owned() } else { all.join("; ") }
}

#[cfg(test)]
mod tests {
    use super::{law, works};
    use crate::assess::read_and_assess;
    use crate::book::{Book, Look};
    use crate::diagnostic::SourceText;
    use crate::table::Tables;

    #[test]
    fn pumps_work_on_the_curves_that_are_drawn_for_them() {
        let tables = Tables::builtin();
        for text in [
            include_str!("../../../examples/01-amphibian/plan.toml"),
            include_str!("../../../examples/02-river-launch/plan.toml"),
        ] {
            let file = SourceText::new("plan.toml", text);
            let assessment = read_and_assess(&file, &tables).unwrap();
            let look = Look::default();
            let book = Book::of(&assessment, &tables, text, look);
            let pumps = works(&book);
            assert!(pumps.len() > 3);
            for ((component, path), works) in pumps {
                let path = &assessment.plan.components[component].paths[path];
                for work in works {
                    let curve = law(&path.law, work.speed, 1.5 * work.at[1].max(1.0));
                    let pairs = curve.windows(2);
                    let between = |a: f64, b: f64, x: f64| a.min(b) <= x && x <= a.max(b);
                    let mut here = pairs.filter(|w| between(w[0][1], w[1][1], work.at[1]));
                    let [a, b] = here.next().map(|w| [w[0], w[1]]).unwrap();
                    let flow = a[0] + (work.at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                    assert!((flow / work.at[0] - 1.0).abs() < 0.01, "{} {flow:e}", path.name);
                }
            }
        }
    }
}
