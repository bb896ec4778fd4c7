//! Series of stretches against small steps along the rod's own equations of tangent and moment.

use nalgebra::Vector3;

use super::super::clamped::Clamped;
use super::super::shooting::Joints;
use super::{ORDER, Series, State};
use crate::geometry::tests::{direction, drawn};

/// Joints at uneven places, with drawn tangents, rates square to them and a force.
pub(in crate::geometry::free_hose) fn joints(index: u32, stretches: u32) -> (Clamped, Joints) {
    let weight = direction(index, 0) * drawn(index, 2, (0.0, 30.0));
    let clamped = Clamped::new(Vector3::x(), Vector3::y(), direction(index, 3) * 0.7, weight);
    let last = f64::from(stretches);
    let place = |joint: u32| libm::pow(f64::from(joint) / last, 1.2);
    let tangent = |joint: u32| direction(7 * index + joint, 1);
    let rate = |joint: u32| {
        let wish = direction(11 * index + joint, 4) * 5.0;
        wish - tangent(joint) * wish.dot(&tangent(joint))
    };
    let joints = Joints {
        places: (0..=stretches).map(place).collect(),
        tangents: (0..=stretches).map(tangent).collect(),
        rates: (0..=stretches).map(rate).collect(),
        force: direction(index, 5) * drawn(index, 4, (0.0, 40.0)),
    };
    (clamped, joints)
}

/// Tangent, moment and way along a stretch.
type Rod = [Vector3<f64>; 3];

/// `t' = m x t`, `m' = t x (w (1 - s) - F)` by steps of Runge and Kutta from a joint on.
fn stepped(clamped: &Clamped, joints: &Joints, at: usize, share: f64) -> State {
    let (begin, steps) = (joints.places[at], 400_u32);
    let step = (joints.places[at + 1] - begin) * share / f64::from(steps);
    let slope = |place: f64, [tangent, moment, _]: Rod| -> Rod {
        let pull = clamped.weight * (1.0 - place) - joints.force;
        [moment.cross(&tangent), tangent.cross(&pull), tangent]
    };
    let ahead = |rod: Rod, slope: Rod, by: f64| -> Rod {
        core::array::from_fn(|part| rod[part] + slope[part] * by)
    };
    let tangent = joints.tangents[at];
    let mut rod: Rod = [tangent, tangent.cross(&joints.rates[at]), Vector3::zeros()];
    for number in 0..steps {
        let place = begin + f64::from(number) * step;
        let one = slope(place, rod);
        let two = slope(place + 0.5 * step, ahead(rod, one, 0.5 * step));
        let three = slope(place + 0.5 * step, ahead(rod, two, 0.5 * step));
        let four = slope(place + step, ahead(rod, three, step));
        rod = core::array::from_fn(|part| {
            rod[part] + (one[part] + (two[part] + three[part]) * 2.0 + four[part]) * (step / 6.0)
        });
    }
    let [tangent, moment, way] = rod;
    State { tangent, rate: moment.cross(&tangent), way }
}

#[test]
fn every_stretch_follows_the_equations_of_the_rod() {
    // Of four side by side the last ones are one, two, three and all.
    for (index, stretches) in (0..24).zip([21, 22, 23, 24].into_iter().cycle()) {
        let (clamped, joints) = joints(index, stretches);
        let all = Series::all(&clamped, &joints);
        assert_eq!(all.len() + 1, joints.places.len());
        for (at, series) in all.iter().enumerate() {
            for share in [0.0, 0.4, 1.0] {
                let (found, stepped) = (series.at(share), stepped(&clamped, &joints, at, share));
                assert!((found.tangent - stepped.tangent).norm() < 1e-10, "{index} {at} {share}");
                assert!((found.rate - stepped.rate).norm() < 1e-8, "{index} {at} {share}");
                assert!((found.way - stepped.way).norm() < 1e-10, "{index} {at} {share}");
                assert_eq!(series.rate(share), found.rate);
            }
        }
    }
}

#[test]
fn the_last_term_is_what_is_missing_without_it() {
    let (clamped, joints) = joints(5, 12);
    for series in Series::all(&clamped, &joints) {
        let mut shorter = series;
        shorter.tangent[ORDER] = Vector3::zeros();
        let (whole, short, last) = (series.at(1.0), shorter.at(1.0), series.last_term());
        assert!((whole.tangent - short.tangent - last.tangent).norm() < 1e-14);
        assert!((whole.rate - short.rate - last.rate).norm() < 1e-12);
        assert!((whole.way - short.way - last.way).norm() < 1e-14);
        assert!(last.tangent.norm() > 0.0 && last.tangent.norm() < 1e-8);
    }
}
