//! Views: lengths in their plane are true, the scale is the one that is printed, names keep off each other.

use std::f64::consts::{FRAC_PI_2, PI};

use hosewright::book::Look;
use hosewright::book::canvas::Step;
use hosewright::book::view::label::Room;
use hosewright::book::view::projection::{Aspect, Placed, Projection};
use hosewright::book::view::scale::{SERIES, bar_mm, fitting, step_mm, words};
use hosewright::book::view::table::heights;
use hosewright::geometry::{Attitude, Path, Piece};
use hosewright::plan::Axes;
use hosewright::units::System;
use nalgebra::{Point3, Vector3};
use proptest::prelude::*;

use super::{EXAMPLES, figures, number, plan_text, section};

/// X aft, Y to the right, Z up.
const AFT: Axes = Axes { forward: [-1.0, 0.0, 0.0], right: [0.0, 1.0, 0.0], up: [0.0, 0.0, 1.0] };
/// X to the right, Y forward, Z up.
const PRESS: Axes = Axes { forward: [0.0, 1.0, 0.0], right: [1.0, 0.0, 0.0], up: [0.0, 0.0, 1.0] };

fn same(a: [f64; 2], b: [f64; 2]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-12)
}

fn upward(axes: &Axes, nose: f64, roll: f64) -> [f64; 3] {
    let [forward, right, up] = [axes.forward, axes.right, axes.up].map(Vector3::from);
    let attitude = Attitude::new(forward, right, up).and_then(|a| a.up_when(nose, roll));
    attitude.unwrap_or_else(|error| panic!("{error}")).into()
}

proptest! {
    #[test]
    fn what_lies_in_the_plane_of_a_view_keeps_its_length_in_every_attitude(
        a in prop::array::uniform3(-5e3_f64..5e3),
        b in prop::array::uniform3(-5e3_f64..5e3),
        nose in -1.2_f64..1.2,
        roll in -1.2_f64..1.2,
        aspect in 0_usize..3,
        press in any::<bool>(),
    ) {
        let axes = if press { PRESS } else { AFT };
        let up = upward(&axes, nose, roll);
        let view = Projection::new(&axes, Aspect::ALL[aspect]).turned(up);
        let flat = |p: [f64; 3]| view.flat(p);
        let off = [flat(b)[0] - flat(a)[0], flat(b)[1] - flat(a)[1]];
        let depth = view.depth(b) - view.depth(a);
        let whole: f64 = (0..3).map(|i| (b[i] - a[i]) * (b[i] - a[i])).sum();
        // Pythagoras: the view and the depth together lose nothing, so that without depth nothing is lost.
        prop_assert!((off[0] * off[0] + off[1] * off[1] + depth * depth - whole).abs() < 1e-6 * whole.max(1.0));
        // Up is up.
        prop_assert!(view.lean_rad(up).abs() < 1e-9);
    }

    #[test]
    fn names_cover_no_other_and_stay_inside(
        places in prop::collection::vec((0.0_f64..100.0, 0.0_f64..60.0, 2.0_f64..20.0), 1..40),
    ) {
        let mut room = Room::new([0.0, 0.0], [100.0, 60.0]);
        let mut found: Vec<([f64; 2], f64)> = Vec::new();
        for (x, y, width) in places {
            room.stroke([x, y], [100.0 - x, y]);
            let Some(place) = room.place(&[[x, y]], [width, 3.0], &[1.0, 4.0]) else { continue };
            let [u, v] = place.centre;
            prop_assert!(u - 0.5 * width >= 0.0 && u + 0.5 * width <= 100.0);
            prop_assert!((1.5..=58.5).contains(&v));
            for ([s, t], other) in &found {
                let apart = (u - s).abs() >= 0.5 * (width + other) || (v - t).abs() >= 3.0;
                prop_assert!(apart, "{u} {v} {width} covers {s} {t} {other}");
            }
            found.push((place.centre, width));
        }
    }
}

#[test]
fn forward_is_to_the_right_seen_from_the_right_side_and_right_is_to_the_right_looking_forward() {
    for axes in [AFT, PRESS] {
        let of = |aspect, v| Projection::new(&axes, aspect).flat(v);
        assert!(same(of(Aspect::Side, axes.forward), [1.0, 0.0]));
        assert!(same(of(Aspect::Side, axes.up), [0.0, 1.0]));
        assert!(same(of(Aspect::Front, axes.right), [1.0, 0.0]));
        assert!(same(of(Aspect::Front, axes.up), [0.0, 1.0]));
        assert!(same(of(Aspect::Top, axes.forward), [1.0, 0.0]));
        // Seen from above with forward to the right, the right side lies below.
        assert!(same(of(Aspect::Top, axes.right), [0.0, -1.0]));
        // The eye is over the machine, to its right, behind it.
        let near = |aspect, v| Projection::new(&axes, aspect).depth(v);
        assert!((near(Aspect::Top, axes.up) - 1.0).abs() < 1e-12);
        assert!((near(Aspect::Side, axes.right) - 1.0).abs() < 1e-12);
        assert!((near(Aspect::Front, axes.forward) + 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_raised_nose_turns_the_side_view_by_its_angle_and_leaves_the_front_view() {
    let up = upward(&AFT, 12.0_f64.to_radians(), 0.0);
    let side = Projection::new(&AFT, Aspect::Side);
    // Up leans to the right, where forward is: the nose goes up once up is up again.
    assert!((side.lean_rad(up) - 12.0_f64.to_radians()).abs() < 1e-12);
    let [along, risen] = side.turned(up).flat(AFT.forward);
    assert!((risen - libm::sin(12.0_f64.to_radians())).abs() < 1e-12 && along > 0.97);
    assert!(Projection::new(&AFT, Aspect::Front).lean_rad(up).abs() < 1e-12);
}

#[test]
fn the_largest_scale_of_the_series_that_fits_is_taken() {
    assert_eq!(fitting([239.0, 90.0], [239.0, 100.0]), Some(1.0));
    assert_eq!(fitting([239.1, 90.0], [239.0, 100.0]), Some(2.0));
    assert_eq!(fitting([0.0, 1201.0], [239.0, 100.0]), Some(12.5));
    assert_eq!(fitting([24_000.0, 0.0], [239.0, 100.0]), None);
    assert!(SERIES.windows(2).all(|w| w[0] < w[1]));
    assert_eq!([words(12.5), words(20.0)], ["1 : 12.5", "1 : 20"]);
    assert_eq!(bar_mm(12.5, 50.0, System::Metric), Some(500.0));
    assert_eq!(bar_mm(12.5, 50.0, System::Inch), Some(24.0 * 25.4));
    assert_eq!(step_mm(12.5, 16.0, System::Metric), Some(200.0));
}

#[test]
fn an_arc_on_paper_stays_on_its_circle() {
    let arc = Piece::Arc {
        start: Point3::new(100.0, 0.0, 0.0),
        centre: Point3::origin(),
        axis: -Vector3::y(),
        radius_mm: 100.0,
        angle_rad: 0.75 * PI,
    };
    let path = Path::new(vec![arc]).unwrap();
    let projection = Projection::new(&AFT, Aspect::Side);
    let placed = Placed { projection, scale: 2.0, zero: [50.0, 50.0] };
    let (from, steps) = placed.stretch(&path, [0.0, path.length_mm()]).unwrap();
    assert_eq!(steps.len(), 2);
    let mut begin = from;
    for step in &steps {
        let Step::Curve([a, b, end]) = *step else { panic!("an arc is no straight") };
        for share in [0.0_f64, 0.2, 0.5, 0.8, 1.0] {
            let rest = 1.0 - share;
            let weights = [
                rest * rest * rest,
                3.0 * rest * rest * share,
                3.0 * rest * share * share,
                share * share * share,
            ];
            let at = [0, 1].map(|i| {
                let points = [begin[i], a[i], b[i], end[i]];
                points.iter().zip(weights).map(|(p, w)| p * w).sum::<f64>()
            });
            let radius = libm::hypot(at[0] - 50.0, at[1] - 50.0);
            assert!((radius - 50.0).abs() < 3e-4 * 50.0, "{radius}");
        }
        begin = end;
    }
    // Part of it begins and ends on it.
    let (from, steps) = placed.stretch(&path, [50.0 * PI, 62.5 * PI]).unwrap();
    assert!((from[0] - 50.0).abs() < 1e-9 && (from[1] - 0.0).abs() < 1e-9, "{from:?}");
    let end = steps.last().unwrap().end();
    let turned = 0.625 * PI;
    assert!((end[0] - (50.0 - 50.0 * libm::cos(turned))).abs() < 1e-9, "{end:?}");
}

#[test]
fn the_highest_place_of_a_bend_is_inside_it() {
    // Up, over a half circle of 40 mm, and down again.
    let pieces = vec![
        Piece::Straight { from: Point3::new(0.0, 0.0, 0.0), to: Point3::new(0.0, 0.0, 100.0) },
        Piece::Arc {
            start: Point3::new(0.0, 0.0, 100.0),
            centre: Point3::new(40.0, 0.0, 100.0),
            axis: Vector3::y(),
            radius_mm: 40.0,
            angle_rad: PI,
        },
        Piece::Straight { from: Point3::new(80.0, 0.0, 100.0), to: Point3::new(80.0, 0.0, 50.0) },
    ];
    let path = Path::new(pieces).unwrap();
    let [high, low] = heights(&path, [0.0, 0.0, 1.0]);
    assert!((high[0] - 140.0).abs() < 1e-9 && (high[1] - (100.0 + 40.0 * FRAC_PI_2)).abs() < 1e-9);
    assert!(same(low, [0.0, 0.0]));
}

/// The dots of the ports in a figure, mm of paper.
fn dots(figure: &str) -> Vec<[f64; 2]> {
    let paths = figure.split("<path d=\"").skip(1);
    let data = paths.filter(|p| p.contains("class=\"port\"")).filter_map(|p| p.split('"').next());
    let point = |run: &str| {
        let mut numbers = run.split('L').next()?.split(' ');
        Some([numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?])
    };
    data.take(1).flat_map(|d| d.split('M').skip(1).filter_map(point).collect::<Vec<_>>()).collect()
}

#[test]
fn ports_lie_as_far_from_each_other_as_the_printed_scale_says() {
    let views = section(&plan_text("01-amphibian"), "views", Look::default());
    let side = figures(&views)[1];
    assert!(side.contains("Coolant, side view") && side.contains("at 1 : 5."), "{side}");
    let dots = dots(side);
    // C1 from TH.MAIN at x 2440, z 1930 to RAD.IN at x 2180, z 1640.
    let off = [(2440.0 - 2180.0) / 5.0, (1930.0 - 1640.0) / 5.0];
    let apart = |a: &[f64; 2], b: &[f64; 2]| {
        (b[0] - a[0] - off[0]).abs() < 0.011 && (b[1] - a[1] - off[1]).abs() < 0.011
    };
    assert!(dots.iter().any(|a| dots.iter().any(|b| apart(a, b))), "{dots:?}");
}

#[test]
fn every_line_of_the_examples_has_its_bubble_in_every_view() {
    for example in EXAMPLES {
        let text = plan_text(example);
        let views = section(&text, "views", Look::default());
        let plan: toml::Table = toml::from_str(&text).unwrap();
        for figure in figures(&views) {
            let caption = figure.split("<figcaption>").nth(1).unwrap_or("").to_lowercase();
            for line in plan["line"].as_array().unwrap() {
                let (id, system) = (line["id"].as_str().unwrap(), line["system"].as_str().unwrap());
                if caption.starts_with(&format!("{system}, ")) {
                    let bubble = format!(">{id}</text>");
                    assert!(figure.contains(&bubble), "{example}, {caption}: {id}");
                }
            }
        }
    }
}

#[test]
fn nothing_is_drawn_outside_its_sheet() {
    for example in EXAMPLES {
        for id in ["views", "plots"] {
            let part = section(&plan_text(example), id, Look::default());
            for figure in figures(&part) {
                let svg = figure.split("<svg").nth(1).unwrap();
                let (width, height) =
                    (number(svg, "width").unwrap(), number(svg, "height").unwrap());
                for element in svg.split("<text").skip(1) {
                    let (x, y) = (number(element, "x").unwrap(), number(element, "y").unwrap());
                    assert!((0.0..=width).contains(&x) && (0.0..=height).contains(&y), "{element}");
                }
                for data in svg.split(" d=\"").skip(1).filter_map(|d| d.split('"').next()) {
                    let mut numbers =
                        data.split(['M', 'L', 'C', 'A', 'Z', ' ']).filter(|n| !n.is_empty());
                    while let (Some(x), Some(y)) = (numbers.next(), numbers.next()) {
                        let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
                        assert!((-3.0..=width + 3.0).contains(&x), "{example} {id} {data}");
                        assert!((-3.0..=height + 3.0).contains(&y), "{example} {id} {data}");
                    }
                }
            }
        }
    }
}

#[test]
fn an_attitude_turns_only_the_views_that_it_changes() {
    let views = section(&plan_text("02-river-launch"), "views", Look::default());
    let of = |words: &str| figures(&views).into_iter().filter(|f| f.contains(words)).count();
    let systems = 6;
    assert_eq!(of(", level, at"), 3 * systems);
    assert_eq!(of("side view, seen from the right, nose up 4 degrees"), systems);
    assert_eq!(of("front view, looking forward, nose up 4 degrees"), 0);
    assert_eq!(of("front view, looking forward, right side down 10 degrees"), systems);
    assert!(views.find(", level, at") < views.find("nose up 4 degrees"));
}

#[test]
fn what_a_plan_calls_things_is_text_and_never_markup() {
    let evil = "</text><script>alert(1)</script>";
    let text = plan_text("01-amphibian")
        .replace("\"Floor of the hull\"", "\"<b>&'floor\"")
        .replace("\"climb, 3000 m, hot\"", &format!("\"{evil}\""))
        .replace("\"coolant\"\nfluid ", &format!("\"{evil}\"\nfluid "));
    for id in ["views", "plots"] {
        let part = section(&text, id, Look::default());
        assert!(!part.contains("<script") && part.contains("&lt;script&gt;"), "{id}");
        assert!(!part.contains("<b>"), "{id}");
    }
}

#[test]
fn views_are_drawn_in_inches_and_on_letter_paper_too() {
    use hosewright::report::drawing::sheet::Paper;
    let look = Look { system: System::Inch, paper: Paper::Letter, ..Look::default() };
    let views = section(&plan_text("03-press"), "views", look);
    for figure in figures(&views) {
        let width = number(figure.split("<svg").nth(1).unwrap(), "width").unwrap();
        // 279.4 x 215.9 mm less two margins of 13 mm.
        assert!(width <= 253.4, "{width}");
        assert!(figure.contains(" in</text>"), "the bar is one of inches");
    }
}
