//! Paths that were laid are found again, and single roots in few steps.

use std::cell::Cell;
use std::f64::consts::TAU;

use super::super::arc_straight_arc::same;
use super::super::tests::{end_of, stood, three};
use super::super::{length, searched};
use super::{Link, Sample, Shape, all, crossing, edge, lowest, parabola, part, samples};
use crate::geometry::tests::drawn;

fn known(index: u32) -> [Link; 3] {
    let arc = |axis| drawn(index, axis, (0.01, TAU - 0.01));
    three(arc(0), arc(1), drawn(index, 2, (0.0, 6.0)), arc(3), arc(4))
}

#[test]
fn laid_paths_are_found_however_close_to_where_branches_end() {
    for index in 0..4000 {
        let known = known(index);
        let goal = end_of(&known);
        assert!(all(&goal).iter().any(|chain| same(chain, &known)), "{index}: {known:?}");
    }
}

/// Laid paths that no sample tells of, two roots being hidden between: so many, and none of them shorter by more than
/// this share than the path that is given instead.
const HIDDEN: (u32, f64) = (16, 1e-4);

#[test]
fn a_path_that_is_missed_is_not_much_shorter_than_the_one_given() {
    let mut hidden = 0;
    for index in 4000..20_000 {
        let known = known(index);
        let goal = end_of(&known);
        if !all(&goal).iter().any(|chain| same(chain, &known)) {
            let found = length(&searched(&stood(&goal)).unwrap().links);
            assert!(found <= length(&known) * (1.0 + HIDDEN.1), "{index}: {known:?}");
            hidden += 1;
        }
    }
    assert!(hidden <= HIDDEN.0, "{hidden}");
}

#[test]
fn no_path_is_found_twice_or_runs_backwards() {
    for index in 0..500 {
        let found = all(&end_of(&known(index)));
        for (at, chain) in found.iter().enumerate() {
            assert!(!found[..at].iter().any(|other| same(other, chain)), "{index}");
            assert!(chain.iter().all(|link| link.run >= 0.0 && (!link.bent || link.run < TAU)));
        }
    }
}

#[test]
fn the_equation_vanishes_at_a_laid_path_and_gives_its_second_arc_and_straight() {
    for index in 0..2000 {
        let known = known(index);
        let shape = Shape::new(&end_of(&known));
        let tau = libm::tan(0.5 * known[2].run);
        let reach = known[1].run + tau;
        let off = |branch: usize| {
            let fit = shape.one(known[0].run, branch)?;
            let size = 1.0 + tau * tau + reach * reach;
            let alike = (fit.tau - tau).abs().max((fit.reach - reach).abs()) < 1e-6 * size;
            alike.then_some(fit.off)
        };
        let off = (0..2).filter_map(off).fold(f64::INFINITY, |least, off| least.min(off.abs()));
        assert!(off < 1e-9, "{index}: {off:e}");
    }
}

#[test]
fn branches_end_where_what_is_under_the_root_does() {
    let mut checked = 0;
    for index in 1..300 {
        let shape = Shape::new(&end_of(&known(index)));
        let at = |alpha: f64| Sample::at(&shape, alpha);
        for cell in 0..60_u32 {
            let [low, high] = [cell, cell + 1].map(|knot| at(0.1 * f64::from(knot)));
            let (inner, outer) = match (low.fits, high.fits) {
                (Some(_), None) => (low, high),
                (None, Some(_)) => (high, low),
                _ => continue,
            };
            let last = edge(&shape, inner, outer);
            let out = (outer.alpha - inner.alpha).signum();
            assert!(last.fits.is_some() && at(last.alpha + out * 1e-8).fits.is_none(), "{index}");
            checked += 1;
        }
    }
    assert!(checked > 300, "{checked}");
}

#[test]
fn the_least_under_the_root_is_found_or_that_it_falls_below_nothing() {
    let (mut apart, mut whole) = (0, 0);
    let (mut most_asked, mut all_asked) = (0, 0);
    for index in 1..300 {
        let shape = Shape::new(&end_of(&known(index)));
        let at = |alpha: f64| Sample::at(&shape, alpha);
        for cell in 0..60_u32 {
            let [left, middle, right] = [0, 1, 2].map(|knot| at(0.1 * f64::from(cell + knot)));
            let reach = [left, middle, right].iter().all(|sample| sample.fits.is_some());
            if !reach || middle.inside >= left.inside.min(right.inside) {
                continue;
            }
            let (step, most) = ((right.alpha - left.alpha) / 2000.0, left.inside.max(right.inside));
            let scanned = (0..=2000_u32).map(|at| left.alpha + f64::from(at) * step);
            let least = scanned.map(|alpha| at(alpha).inside).fold(f64::INFINITY, f64::min);
            let asked = Cell::new(0_u32);
            let counted = |alpha: f64| {
                asked.set(asked.get() + 1);
                at(alpha)
            };
            let found = lowest(counted, left, middle, right);
            (most_asked, all_asked) = (most_asked.max(asked.get()), all_asked + asked.get());
            if least < -1e-9 * most {
                assert!(found.fits.is_none(), "{index}: {least:e} is below nothing");
                apart += 1;
            } else {
                assert!(found.inside <= least + 1e-7 * most, "{index}: {} {least}", found.inside);
                whole += 1;
            }
        }
    }
    assert!(apart > 10 && whole > 50, "{apart} {whole}");
    // Dividing by the golden section would take 28 each.
    assert!(most_asked <= 22 && all_asked <= 1700, "{most_asked} {all_asked}");
}

#[test]
fn a_parabola_through_three_places_is_met_exactly() {
    // The place as a quadratic of the height, so that it vanishes where the height is none.
    let place = |height: f64| 0.3 + height * (0.7 + 0.1 * height);
    let [low, high, third] = [-0.4, 0.5, -0.9].map(|height| (place(height), height));
    let share = parabola(low, high, third);
    assert!((low.0 + share * (high.0 - low.0) - 0.3).abs() < 1e-14);
    // A place that the three say nothing certain of is halved instead.
    let [low, high, third] = [(0.0, -1.0), (1.0, 1.0), (2.0, 1.000_001)];
    assert!((parabola(low, high, third) - 0.5).abs() < 1e-15);
}

#[test]
fn a_change_of_sign_is_enclosed_side_by_side_in_few_steps() {
    type Function = fn(f64) -> f64;
    let functions: [(Function, f64, f64, f64); 5] = [
        (|x| x * x * x - 2.0 * x - 5.0, 2.0, 3.0, 2.094_551_481_542_326_5),
        (|x| libm::cos(x) - x, 0.0, 1.0, 0.739_085_133_215_160_6),
        (|x| 1.0 - 1.0 / (x * x), 0.5, 1.51, 1.0),
        (|x| 2.0 - x * x, 0.0, 2.0, std::f64::consts::SQRT_2),
        (|x| libm::exp(x) - 1.5, -1.0, 1.0, 0.405_465_108_108_164_4),
    ];
    for (number, (value, low, high, root)) in functions.into_iter().enumerate() {
        let asked = Cell::new(0_u32);
        let counted = |x: f64| {
            asked.set(asked.get() + 1);
            Some(value(x))
        };
        let [one, other] = crossing(counted, (low, value(low)), (high, value(high)));
        assert!((one.0 - root).abs() < 3e-14 && (other.0 - root).abs() < 3e-14, "{number}");
        // The one first has the sign of the low end.
        assert!(value(low) * one.1 >= 0.0 && value(low) * other.1 <= 0.0, "{number}");
        // Halving alone takes 46.
        assert!(asked.get() <= 13, "{number}: {} values", asked.get());
    }
}

#[test]
fn the_equation_is_looked_at_where_it_changes_and_no_oftener() {
    let all: usize = (1..500)
        .map(|index| {
            let shape = Shape::new(&end_of(&known(index)));
            let mut samples = samples(&shape);
            part(&shape, &mut samples);
            assert!(samples.windows(2).all(|pair| pair[0].alpha <= pair[1].alpha));
            samples.len()
        })
        .sum();
    assert!((119_600..119_900).contains(&all), "{all}");
}
