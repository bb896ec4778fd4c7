//! Symbols of what the fluid meets, after ISO 1219-1:2012 and ISO 14617 (from memory), in our own measures.
//!
//! A symbol is drawn about a centre, its fluid going to the right or to the left.

use core::f64::consts::PI;

use crate::book::canvas::{Anchor, Canvas, Point};
use crate::plan::{Component, ExchangerSide, Holds, Path, PathLaw};

/// A symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symbol {
    /// Nothing in the way.
    Wire,
    /// A circle with a triangle that points to where it pushes.
    Pump {
        /// For gas, the triangle is hollow.
        gas: bool,
    },
    /// A ball in a seat.
    Check {
        /// Held by a spring.
        spring: bool,
    },
    /// Opens when the pressure before it is too high; or holds that pressure.
    Relief,
    /// Throttles when the pressure behind it is too high.
    Reducer,
    /// Two triangles, black where it is shut.
    Valve {
        /// Whether the usual state shuts it.
        shut: bool,
    },
    /// A valve moved by what its sensor feels.
    Thermostat,
    /// A narrow place.
    Restrictor,
    /// A diamond with a dashed line across.
    Filter,
    /// A diamond with heads pointing out.
    Cooler {
        /// Another fluid passes on the other side.
        fluid: bool,
    },
    /// A diamond with heads pointing in.
    Heater {
        /// Another fluid passes on the other side.
        fluid: bool,
    },
    /// A diamond with one head in and one out: heat goes either way, or it is not known which.
    Exchanger {
        /// Another fluid passes on the other side.
        fluid: bool,
    },
    /// A cylinder with piston and rod.
    Cylinder,
    /// A dial with a hand.
    Gauge,
    /// Open to the air.
    Vent,
    /// A plain box, for what has no symbol.
    Plain,
}

/// Which way heat goes in a path: to the fluid, from it, or unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heat {
    /// The fluid gets warmer.
    In,
    /// The fluid gets colder.
    Out,
    /// Not known.
    Either,
}

impl Symbol {
    /// The symbol of a path.
    pub fn of_path(
        component: &Component,
        path: &Path,
        index: usize,
        gas: bool,
        heat: Heat,
    ) -> Self {
        let shut = component.states.first().is_some_and(|s| s.shut.contains(&index));
        let other = |p: &Path| match p.exchanger.as_ref().map(|e| &e.other) {
            Some(ExchangerSide::Path(other)) => Some(*other),
            _ => None,
        };
        let fluid =
            other(path).is_some() || component.paths.iter().any(|p| other(p) == Some(index));
        let told = component.paths.iter().any(|p| p.exchanger.is_some());
        let by_kind = matches!(component.kind.as_str(), "exchanger" | "radiator") && !told;
        let exchanges = path.exchanger.is_some() || fluid || by_kind;
        let single = component.paths.len() == 1;
        match (&path.law, path.holds, path.opens_at) {
            (law, ..) if law.is_pump() => Self::Pump { gas },
            _ if path.thermostat.is_some() => Self::Thermostat,
            (_, Some(Holds::After(_)), _) => Self::Reducer,
            (_, Some(Holds::Before(_)), _) => Self::Relief,
            _ if component.kind == "cylinder" => {
                if single {
                    Self::Cylinder
                } else {
                    Self::Plain
                }
            }
            (_, None, Some(_)) if called_check(component, path) => Self::Check { spring: true },
            (_, None, Some(_)) => Self::Relief,
            _ if path.one_way => Self::Check { spring: false },
            _ if exchanges => match heat {
                Heat::In => Self::Heater { fluid },
                Heat::Out => Self::Cooler { fluid },
                Heat::Either => Self::Exchanger { fluid },
            },
            (PathLaw::Orifice { .. }, ..) => Self::Restrictor,
            (law, ..) => match component.kind.as_str() {
                "filter" | "strainer" => Self::Filter,
                "valve" => Self::Valve { shut },
                _ if shut => Self::Valve { shut },
                _ if !single && matches!(law, PathLaw::Free) => Self::Wire,
                _ => Self::Plain,
            },
        }
    }

    /// The symbol of a component of which no path is known.
    pub fn of_kind(kind: &str) -> Option<Self> {
        Some(match kind {
            "pump" => Self::Pump { gas: false },
            "filter" | "strainer" => Self::Filter,
            "valve" => Self::Valve { shut: false },
            "thermostat" => Self::Thermostat,
            "radiator" => Self::Cooler { fluid: false },
            "exchanger" => Self::Exchanger { fluid: true },
            "cylinder" => Self::Cylinder,
            "gauge" => Self::Gauge,
            "vent" => Self::Vent,
            _ => return None,
        })
    }

    /// How far it reaches to either side of its centre, mm.
    pub fn reach(self) -> f64 {
        match self {
            Self::Cylinder => 12.0,
            _ => 5.0,
        }
    }

    /// Whether it needs the height of two rows.
    pub fn is_tall(self) -> bool {
        !matches!(
            self,
            Self::Wire | Self::Check { .. } | Self::Valve { .. } | Self::Restrictor | Self::Plain
        )
    }

    /// A cylinder without leads, standing on a point.
    pub fn cylinder(canvas: &mut Canvas, foot: Point) {
        cylinder(&mut Pen { canvas, centre: foot, sign: 1.0 });
    }

    /// Draws it with leads as long as it reaches.
    pub fn draw(self, canvas: &mut Canvas, centre: Point, forward: bool) {
        let sign = if forward { 1.0 } else { -1.0 };
        let mut pen = Pen { canvas, centre, sign };
        match self {
            Self::Wire => pen.lines(&[[-5.0, 0.0], [5.0, 0.0]], ""),
            Self::Pump { gas } => pump(&mut pen, gas),
            Self::Check { spring } => check(&mut pen, spring),
            Self::Relief => pressure_valve(&mut pen, true),
            Self::Reducer => pressure_valve(&mut pen, false),
            Self::Valve { shut } => valve(&mut pen, 2.6, shut),
            Self::Thermostat => thermostat(&mut pen),
            Self::Restrictor => restrictor(&mut pen),
            Self::Filter => {
                diamond(&mut pen);
                pen.lines(&[[0.0, -4.2], [0.0, 4.2]], "dash");
            }
            Self::Cooler { fluid } => exchanger(&mut pen, [false, false], fluid),
            Self::Heater { fluid } => exchanger(&mut pen, [true, true], fluid),
            Self::Exchanger { fluid } => exchanger(&mut pen, [true, false], fluid),
            Self::Cylinder => {
                cylinder(&mut pen);
                pen.lines(&[[-12.0, 0.0], [-7.5, 0.0], [-7.5, -1.2]], "");
                pen.lines(&[[12.0, 0.0], [4.5, 0.0], [4.5, -1.2]], "");
            }
            Self::Gauge => gauge(&mut pen),
            Self::Vent => vent(&mut pen),
            Self::Plain => {
                pen.leads(4.5);
                pen.shape(&[[-4.5, -3.0], [4.5, -3.0], [4.5, 3.0], [-4.5, 3.0]], "");
            }
        }
    }
}

/// Whether a spring holds a check valve and not a relief valve: only its name tells.
fn called_check(component: &Component, path: &Path) -> bool {
    let component = component.name.as_deref().unwrap_or(&component.id);
    let names = [component, &path.name].map(str::to_lowercase);
    names.iter().any(|n| n.contains("check") || n.contains("non-return"))
}

/// Draws along the flow: the first number to where the fluid goes, the second down.
struct Pen<'c> {
    canvas: &'c mut Canvas,
    centre: Point,
    sign: f64,
}

impl Pen<'_> {
    fn at(&self, [u, v]: Point) -> Point {
        [self.centre[0] + self.sign * u, self.centre[1] + v]
    }

    fn lines(&mut self, points: &[Point], class: &str) {
        let points: Vec<Point> = points.iter().map(|p| self.at(*p)).collect();
        self.canvas.polyline(&points, class);
    }

    fn shape(&mut self, points: &[Point], class: &str) {
        let points: Vec<Point> = points.iter().map(|p| self.at(*p)).collect();
        self.canvas.polygon(&points, class);
    }

    fn circle(&mut self, centre: Point, radius: f64, class: &str) {
        self.canvas.circle(self.at(centre), radius, class);
    }

    fn head(&mut self, tip: Point, along: Point, size: f64) {
        let along = [self.sign * along[0], along[1]];
        self.canvas.arrow_head(self.at(tip), along, size, "filled");
    }

    /// Leads up to a symbol that is so far from its centre on both sides.
    fn leads(&mut self, reach: f64) {
        self.lines(&[[-5.0, 0.0], [-reach, 0.0]], "");
        self.lines(&[[reach, 0.0], [5.0, 0.0]], "");
    }
}

fn pump(pen: &mut Pen<'_>, gas: bool) {
    pen.leads(4.5);
    pen.circle([0.0, 0.0], 4.5, "");
    pen.shape(&[[4.5, 0.0], [1.3, -2.2], [1.3, 2.2]], if gas { "" } else { "filled" });
}

fn check(pen: &mut Pen<'_>, spring: bool) {
    pen.lines(&[[-5.0, 0.0], [-2.6, 0.0]], "");
    pen.lines(&[[0.4, -3.0], [-2.6, 0.0], [0.4, 3.0]], "");
    pen.circle([-0.2, 0.0], 1.7, "");
    if spring {
        let coil = [[1.5, 0.0], [1.9, -1.2], [2.5, 1.2], [3.1, -1.2], [3.7, 1.2], [4.1, 0.0]];
        pen.lines(&coil, "");
        pen.lines(&[[4.1, 0.0], [5.0, 0.0]], "");
    } else {
        pen.lines(&[[1.5, 0.0], [5.0, 0.0]], "");
    }
}

/// A square with an arrow, a spring over it, and a dashed pilot line from where the pressure is felt.
fn pressure_valve(pen: &mut Pen<'_>, before: bool) {
    pen.leads(2.6);
    pen.shape(&[[-2.6, -2.0], [2.6, -2.0], [2.6, 2.6], [-2.6, 2.6]], "");
    // At rest it is shut, drawn beside the passage; what throttles from behind is open, drawn in it.
    let level = if before { 1.3 } else { 0.0 };
    pen.lines(&[[-2.6, level], [2.0, level]], "");
    pen.head([2.6, level], [1.0, 0.0], 1.8);
    pen.lines(&[[-0.9, -2.0], [0.9, -2.6], [-0.9, -3.2], [0.9, -3.8], [-0.9, -4.4]], "");
    let felt = if before { -3.8 } else { 3.8 };
    pen.lines(&[[felt, 0.0], [felt, 4.4], [0.0, 4.4], [0.0, 2.6]], "dots");
}

fn valve(pen: &mut Pen<'_>, half: f64, shut: bool) {
    pen.leads(4.2);
    let class = if shut { "filled" } else { "" };
    pen.shape(&[[-4.2, -half], [0.0, 0.0], [-4.2, half]], class);
    pen.shape(&[[4.2, -half], [0.0, 0.0], [4.2, half]], class);
}

fn thermostat(pen: &mut Pen<'_>) {
    valve(pen, 2.0, false);
    pen.lines(&[[0.0, 0.0], [0.0, -1.5]], "");
    pen.circle([0.0, -3.2], 1.7, "");
    let at = pen.at([0.0, -2.3]);
    pen.canvas.text(at, "T", Anchor::Middle, "small");
}

fn restrictor(pen: &mut Pen<'_>) {
    pen.lines(&[[-5.0, 0.0], [5.0, 0.0]], "");
    let [above, below] = [pen.at([0.0, -4.0]), pen.at([0.0, 4.0])];
    pen.canvas.arc(above, 3.2, 0.15 * PI, 0.7 * PI, "");
    pen.canvas.arc(below, 3.2, -0.15 * PI, -0.7 * PI, "");
}

fn diamond(pen: &mut Pen<'_>) {
    pen.leads(4.2);
    pen.shape(&[[-4.2, 0.0], [0.0, -4.2], [4.2, 0.0], [0.0, 4.2]], "");
}

/// A diamond whose upper and lower heads point in or out.
fn exchanger(pen: &mut Pen<'_>, inwards: [bool; 2], fluid: bool) {
    diamond(pen);
    for (inwards, sign) in inwards.into_iter().zip([-1.0, 1.0]) {
        let (tip, along) = if inwards { (0.9, -sign) } else { (3.9, sign) };
        pen.head([0.0, sign * tip], [0.0, along], 2.0);
        pen.lines(&[[0.0, sign * 0.9], [0.0, sign * 4.2]], "thin");
        if fluid {
            pen.lines(&[[-2.2, sign * 4.7], [2.2, sign * 4.7]], "");
        }
    }
}

fn cylinder(pen: &mut Pen<'_>) {
    pen.shape(&[[-9.0, -5.0], [6.0, -5.0], [6.0, -1.2], [-9.0, -1.2]], "");
    pen.shape(&[[-3.0, -5.0], [-1.8, -5.0], [-1.8, -1.2], [-3.0, -1.2]], "");
    pen.shape(&[[-1.8, -3.7], [9.5, -3.7], [9.5, -2.5], [-1.8, -2.5]], "");
}

fn gauge(pen: &mut Pen<'_>) {
    pen.lines(&[[-5.0, 0.0], [-3.6, 0.0]], "");
    pen.circle([0.0, 0.0], 3.6, "");
    pen.lines(&[[-1.8, 1.8], [1.2, -1.2]], "");
    pen.head([2.1, -2.1], [1.0, -1.0], 1.8);
}

fn vent(pen: &mut Pen<'_>) {
    pen.lines(&[[-5.0, 0.0], [-2.0, 0.0]], "");
    pen.shape(&[[-2.0, -2.2], [2.4, 0.0], [-2.0, 2.2]], "");
}
