//! Pressure along the way of the fluid, in each named case, against vapour pressure and limits.

use maud::{Markup, html};

use super::axes::{Axes, Axis, Kind, Name, STYLES, names, spread};
use super::chain::{Passage, is_pump};
use super::in_numbers;
use super::way::{Profile, Span, Way, flow, labels, marks, spans, ways};
use crate::book::Book;
use crate::book::canvas::{Anchor, Canvas, Point, SMALL_MM, width_mm};
use crate::report::units::{Column, pressure};
use crate::solve::network::facts::CircuitFacts;

/// Size of a plot, mm.
const SIZE_MM: Point = [182.0, 108.0];
/// What is inside its axes: left, right, top, bottom, mm.
const LEFT_MM: f64 = 20.0;
const RIGHT_MM: f64 = 120.0;
const TOP_MM: f64 = 32.0;
const BOTTOM_MM: f64 = 97.0;
/// Over the axes: room for the names of lines, mm.
const BAND_MM: f64 = 4.5;
/// Cases whose pressures differ by less than this share of the axis share a curve.
const SAME: f64 = 0.01;
/// A limit farther above the pressures than this is only named.
const NEAR_LIMIT: f64 = 1.6;
/// Pressures that reach over so many times the air before the pump hide what is before it.
const HIDES: f64 = 8.0;
/// Ways that are shown of one circuit.
const MOST_WAYS: usize = 4;

/// What the plots show, once for all.
pub const KEY: &str = "Absolute pressure at the ends of the lines with the fluid at rest there, in each \
named case; the straights between are drawn, not computed. Cases that differ by less than 1 % of the axis share \
a curve. Short dotted strokes: the lowest pressure anywhere in that line, of all cases of the plot, while the \
fluid moves. Thick dots: vapour pressure. Thick lines: what the line is rated for at its hottest, over the \
thinnest air of the plot.";

/// The plots of a circuit.
pub fn circuit(book: &Book<'_>, circuit: &CircuitFacts) -> Markup {
    let mut ways = ways(book, circuit);
    let left_out = ways.len().saturating_sub(MOST_WAYS);
    ways.sort_by_key(|w| core::cmp::Reverse(w.profiles.len()));
    ways.truncate(MOST_WAYS);
    html! {
        @for way in &ways { (plots(book, circuit, way)) }
        @if left_out > 0 {
            @let ways = if left_out == 1 { "way, of fewer cases, is" } else { "ways, each of fewer cases, are" };
            p { (left_out) " further " (ways) " not drawn; the command flow lists them." }
        }
    }
}

/// The plot of a way; where what is before the pump is hidden by what is behind it, that once more.
fn plots(book: &Book<'_>, circuit: &CircuitFacts, way: &Way) -> Markup {
    let first = &way.profiles[0].way;
    let pump = first.iter().position(|s| is_pump(&book.assessment.plan, s));
    let before = pump.map(|pump| spans(book, &first[..pump]).last().map_or(0.0, |s| s.to_m));
    let all = || way.profiles.iter().flat_map(|p| &p.points);
    let highest = all().map(|p| p[1]).fold(0.0, f64::max);
    let air = way.profiles.iter().map(|p| book.assessment.facts.cases[p.case].ambient_pa);
    let hidden = before.filter(|b| *b > 0.0 && highest > HIDES * air.fold(0.0, f64::max));
    let places = marks(book, first);
    let ends = [places.first(), places.last()].map(|m| m.map_or("", |m| m.1.as_str()));
    let lines = &book.assessment.plan.lines;
    // Two ways between the same places differ by their lines.
    let by: Vec<&str> = spans(book, first).iter().map(|s| lines[s.line].id.as_str()).collect();
    let title = format!("{}: from {} to {} by {}", circuit.name, ends[0], ends[1], by.join(", "));
    html! {
        h4 { (title) }
        @if let Some(plot) = (Plot { book, way, until_m: None, title: &title }).draw() { (plot) }
        @if hidden.is_some() {
            @if let Some(plot) = (Plot { book, way, until_m: hidden, title: &title }).draw() { (plot) }
        }
        (table(book, way))
    }
}

/// One plot.
struct Plot<'p> {
    book: &'p Book<'p>,
    way: &'p Way,
    /// Only what lies before this distance, m.
    until_m: Option<f64>,
    title: &'p str,
}

impl Plot<'_> {
    fn draw(&self) -> Option<Markup> {
        let axes = self.axes()?;
        let mut canvas = Canvas::new(SIZE_MM, format!("Pressure along the way, {}", self.title));
        axes.draw(&mut canvas);
        self.marks(&mut canvas, &axes);
        let mut written = self.curves(&mut canvas, &axes);
        written.extend(self.limits(&mut canvas, &axes));
        names(&mut canvas, written, RIGHT_MM, [TOP_MM - 4.0, BOTTOM_MM + 4.0]);
        let what = if self.until_m.is_some() { "Before the pump." } else { "" };
        let caption = format!("{what}{}", self.beyond(&axes));
        Some(canvas.figure(caption.trim_start()))
    }

    /// The points that are shown, of a profile.
    fn shown<'a>(&self, profile: &'a Profile) -> &'a [[f64; 2]] {
        let until = self.until_m.unwrap_or(f64::INFINITY) + 1e-9;
        let pump = profile.way.iter().position(|s| is_pump(&self.book.assessment.plan, s));
        let count = match (self.until_m, pump) {
            // Two points a step, where both are known; what the pump adds lies at the same place.
            (Some(_), Some(pump)) => {
                let known = profile.way[..pump].iter().flat_map(|s| s.ends_pa).flatten();
                known.count()
            }
            _ => profile.points.iter().filter(|p| p[0] <= until).count(),
        };
        &profile.points[..count]
    }

    fn spans(&self) -> Vec<Span> {
        let until = self.until_m.unwrap_or(f64::INFINITY) + 1e-9;
        let all = spans(self.book, &self.way.profiles[0].way);
        all.into_iter().filter(|s| s.to_m <= until).collect()
    }

    fn axes(&self) -> Option<Axes> {
        let points = || self.way.profiles.iter().flat_map(|p| self.shown(p));
        let long = points().map(|p| p[0]).fold(0.0, f64::max);
        let lowest = self.lowest().map(|l| l.1);
        let vapour = self.vapour().into_iter().map(|v| v.1);
        let wanted = self.least_inlet().map(|i| i.1);
        let below = points()
            .map(|p| p[1])
            .chain(lowest)
            .chain(vapour)
            .chain(wanted)
            .fold(f64::INFINITY, f64::min);
        let above = points().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max);
        let rated = self.rated().into_iter().map(|r| r.1).filter(|r| *r < NEAR_LIMIT * above);
        let above = rated.chain([above]).fold(f64::NEG_INFINITY, f64::max);
        let low = if below < 0.4 * above { below.min(0.0) } else { below };
        let system = self.book.look.system;
        let x = Axis::new(
            "distance along the lines",
            Kind::Distance,
            system,
            [0.0, long],
            [LEFT_MM, RIGHT_MM],
        )?;
        let y = Axis::new(
            "absolute pressure",
            Kind::Pressure,
            system,
            [low, above],
            [BOTTOM_MM, TOP_MM],
        )?;
        Some(Axes { x, y })
    }

    /// Components as uprights with their names on top, lines by their names between them.
    fn marks(&self, canvas: &mut Canvas, axes: &Axes) {
        let until = self.until_m.unwrap_or(f64::INFINITY) + 1e-9;
        let marks: Vec<(f64, String)> = marks(self.book, &self.way.profiles[0].way)
            .into_iter()
            .filter(|m| m.0 <= until)
            .collect();
        let wanted: Vec<f64> = marks.iter().map(|m| axes.x.at(m.0)).collect();
        let places = spread(&wanted, &vec![3.2; marks.len()], [LEFT_MM - 4.0, RIGHT_MM + 4.0]);
        for ((_, words), (at, place)) in marks.iter().zip(wanted.iter().zip(places)) {
            let top = TOP_MM - BAND_MM;
            canvas.polyline(&[[*at, BOTTOM_MM], [*at, top], [place, top - 2.5]], "faint");
            canvas.text_turned([place + 0.9, top - 3.2], words, Anchor::Start, "small", -90.0);
        }
        for span in self.spans() {
            let id = &self.book.assessment.plan.lines[span.line].id;
            let [from, to] = [axes.x.at(span.from_m), axes.x.at(span.to_m)];
            if width_mm(id, SMALL_MM) < to - from {
                canvas.text([0.5 * (from + to), TOP_MM - 1.5], id, Anchor::Middle, "small");
            }
        }
    }

    fn curves(&self, canvas: &mut Canvas, axes: &Axes) -> Vec<Name> {
        let mut written = Vec::new();
        let shared = self.shared(axes.y.span());
        for (profiles, class) in shared.iter().zip(STYLES.iter().cycle()) {
            let points: Vec<Point> =
                self.shown(profiles[0]).iter().map(|p| axes.point(*p)).collect();
            canvas.polyline(&points, class);
            let cases = &self.book.assessment.facts.cases;
            let cases: Vec<&str> = profiles.iter().map(|p| cases[p.case].name.as_str()).collect();
            let words = cases.join("; ");
            written.extend(points.last().map(|at| Name { at: *at, words, class }));
        }
        for (span, lowest) in self.lowest() {
            let [from, to] = [span.from_m, span.to_m].map(|m| axes.x.at(m));
            let at = axes.y.at(lowest);
            let middle = 0.5 * (from + to);
            let half = (0.5 * (to - from)).min(3.0);
            canvas.line([middle - half, at], [middle + half, at], "dots");
        }
        written
    }

    /// The profiles, those that nearly agree together.
    fn shared(&self, span_pa: f64) -> Vec<Vec<&Profile>> {
        let mut groups: Vec<Vec<&Profile>> = Vec::new();
        for profile in &self.way.profiles {
            let agrees = |other: &Profile| {
                let (a, b) = (self.shown(other), self.shown(profile));
                let close = |(a, b): (&[f64; 2], &[f64; 2])| (a[1] - b[1]).abs() < SAME * span_pa;
                a.len() == b.len() && a.iter().zip(b).all(close)
            };
            match groups.iter_mut().find(|g| agrees(g[0])) {
                Some(group) => group.push(profile),
                None => groups.push(vec![profile]),
            }
        }
        groups
    }

    /// The lowest pressure in each line, of all cases shown.
    fn lowest(&self) -> impl Iterator<Item = (Span, f64)> + '_ {
        self.spans().into_iter().filter_map(|span| {
            let of = |p: &Profile| {
                Some(flow(self.book, span.line, p.case)?.pressures.as_ref()?.lowest_pa)
            };
            let lowest = self.way.profiles.iter().filter_map(of).reduce(f64::min)?;
            Some((span, lowest))
        })
    }

    /// The highest vapour pressure in each line, of all cases shown.
    fn vapour(&self) -> Vec<(Span, f64)> {
        let of = |span: Span| {
            let one = |p: &Profile| flow(self.book, span.line, p.case)?.vapour_pa;
            Some((span, self.way.profiles.iter().filter_map(one).reduce(f64::max)?))
        };
        self.spans().into_iter().filter_map(of).collect()
    }

    /// The pressure that each line is rated for at its hottest duty, over the thinnest air of the cases shown.
    fn rated(&self) -> Vec<(Span, f64)> {
        let air =
            self.way.profiles.iter().map(|p| self.book.assessment.facts.cases[p.case].ambient_pa);
        let Some(air) = air.reduce(f64::min) else { return Vec::new() };
        let of = |span: Span| {
            let rated = self.book.assessment.facts.lines[span.line].rating.derated_pa()?;
            Some((span, rated.value + air))
        };
        self.spans().into_iter().filter_map(of).collect()
    }

    fn limits(&self, canvas: &mut Canvas, axes: &Axes) -> Vec<Name> {
        let mut written = Vec::new();
        let mut stairs = |steps: &[(Span, f64)], class: &'static str, words: &str| {
            for (span, pa) in steps {
                let at = axes.y.at(*pa);
                canvas.line([axes.x.at(span.from_m), at], [axes.x.at(span.to_m), at], class);
            }
            if let Some((span, pa)) = steps.last() {
                let at = axes.point([span.to_m, *pa]);
                written.push(Name { at, words: words.into(), class });
            }
        };
        stairs(&self.vapour(), "thick dots", "vapour pressure, highest of these cases");
        let rated: Vec<(Span, f64)> =
            self.rated().into_iter().filter(|r| r.1 <= axes.y.high()).collect();
        stairs(&rated, "thick", "rated pressure of the line, hot");
        if let Some((at_m, pa)) = self.least_inlet().filter(|i| i.1 <= axes.y.high()) {
            let [x, y] = axes.point([at_m, pa]);
            canvas.line([x - 4.0, y], [x + 4.0, y], "thick");
            let words = "least at the inlet";
            if x + 6.0 + width_mm(words, SMALL_MM) < RIGHT_MM {
                canvas.text([x + 1.5, y - 1.0], words, Anchor::Start, "small clear");
            } else {
                canvas.text([x - 1.5, y - 1.0], words, Anchor::End, "small clear");
            }
        }
        written
    }

    /// Where the first pump is and what it wants at its inlet, Pa absolute, in the cases shown.
    fn least_inlet(&self) -> Option<(f64, f64)> {
        let plan = &self.book.assessment.plan;
        let way = &self.way.profiles[0].way;
        let index = way.iter().position(|s| is_pump(plan, s))?;
        let Passage::Path(component, path) = way[index].what else { return None };
        let before = spans(self.book, &way[..index]);
        let last = before.last()?;
        let owner = &plan.components[component];
        let place = format!("{} {}", owner.id, owner.paths[path].name);
        let findings = &self.book.assessment.findings;
        let finding =
            findings.iter().find(|f| f.code == "network.pump-inlet" && f.place == place)?;
        let limit_pa = finding.limit? * 1e3;
        let inlets = &self.book.assessment.facts.network.inlets;
        let inlet = inlets.iter().find(|i| (i.component, i.path) == (component, path))?;
        if inlet.margin.is_none() {
            return Some((last.to_m, limit_pa));
        }
        // A margin stands over the vapour pressure, which the line before the pump has.
        let (_, vapour) = self.vapour().into_iter().find(|v| v.0.line == last.line)?;
        Some((last.to_m, vapour + limit_pa))
    }

    /// What is said of limits that lie outside the plot, or are not known.
    fn beyond(&self, axes: &Axes) -> String {
        let mut words = String::new();
        let rated = self.rated();
        let over = rated.iter().filter(|r| r.1 > axes.y.high());
        if let Some((span, pa)) = over.min_by(|a, b| a.1.total_cmp(&b.1)) {
            let id = &self.book.assessment.plan.lines[span.line].id;
            let shown = pressure(*pa, self.book.look.system);
            words = format!(" Rated pressures above the plot begin at {shown} absolute ({id}).");
        }
        if rated.len() < self.spans().len() {
            words += " Where no rated pressure is drawn or named, none is known for that heat.";
        }
        if self.vapour().is_empty() {
            words += " The vapour pressure of this fluid is not known.";
        }
        words
    }
}

/// The same in numbers: a row for each end of a step.
fn table(book: &Book<'_>, way: &Way) -> Markup {
    let system = book.look.system;
    let first = &way.profiles[0];
    let names: Vec<String> = labels(book, first);
    in_numbers(&html! {
        caption { (Column::Pressure.head("absolute pressure,", system)) }
        tr {
            th { "place" }
            @for profile in &way.profiles {
                th { (book.assessment.facts.cases[profile.case].name) }
            }
        }
        @for (index, name) in names.iter().enumerate() {
            tr {
                th { (name) }
                @for profile in &way.profiles {
                    td .number {
                        @match profile.points.get(index) {
                            Some(point) => (Column::Pressure.number(point[1], system)),
                            None => "-"
                        }
                    }
                }
            }
        }
    })
}
