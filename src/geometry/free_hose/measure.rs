//! What is read off a settled shape: points, the tightest bend, the bow, the lowest point.

use nalgebra::Vector3;

use super::clamped::Clamped;
use super::shooting::Settled;

/// Looks at each stretch before an extreme is closed in on.
const LOOKS: u32 = 4;
/// Secants of an extreme.
const MOST_STEPS: u32 = 60;
/// Measures closer than this, as a share, are alike.
const ALIKE: f64 = 1e-9;
/// Closer than this, as a share, is rounding.
const CLOSE: f64 = 1e-12;

/// A place of the hose, from 0 to 1, with its point counted from the first end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub(super) place: f64,
    pub(super) point: Vector3<f64>,
    pub(super) tangent: Vector3<f64>,
    pub(super) rate: Vector3<f64>,
}

/// The largest of a measure, and where it is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Most {
    pub(super) value: f64,
    pub(super) place: f64,
}

/// A settled shape with the points at which its stretches begin.
pub(super) struct Measured<'a> {
    clamped: &'a Clamped,
    settled: &'a Settled,
    begins: Vec<Vector3<f64>>,
    looks: Vec<(usize, Spot)>,
}

impl<'a> Measured<'a> {
    pub(super) fn new(clamped: &'a Clamped, settled: &'a Settled) -> Self {
        let begin = |point: &mut Vector3<f64>, way: Vector3<f64>| {
            let begins = *point;
            *point += way;
            Some(begins)
        };
        let ways = settled.stretches.iter().map(|stretch| stretch.at(1.0).way);
        let begins = ways.scan(Vector3::zeros(), begin).collect();
        let mut measured = Self { clamped, settled, begins, looks: Vec::new() };
        let mut looks = Vec::with_capacity(settled.stretches.len() * LOOKS as usize + 1);
        for at in 0..settled.stretches.len() {
            for look in 0..LOOKS {
                looks.push((at, measured.spot(at, f64::from(look) / f64::from(LOOKS))));
            }
        }
        let last = settled.stretches.len() - 1;
        looks.push((last, measured.spot(last, 1.0)));
        measured.looks = looks;
        measured
    }

    fn spot(&self, at: usize, share: f64) -> Spot {
        let series = &self.settled.stretches[at];
        let state = series.at(share);
        Spot {
            place: self.settled.joints.places[at] + share * series.length,
            point: self.begins[at] + state.way,
            tangent: state.tangent,
            rate: state.rate,
        }
    }

    /// The spots at even places, both ends included.
    pub(super) fn evenly(&self, segments: u32) -> Vec<Spot> {
        let places = &self.settled.joints.places;
        let mut at = 0;
        let spot = |station: u32| {
            let place = f64::from(station) / f64::from(segments);
            while at + 2 < places.len() && places[at + 1] <= place {
                at += 1;
            }
            self.spot(at, (place - places[at]) / self.settled.stretches[at].length)
        };
        (0..=segments).map(spot).collect()
    }

    /// The largest of a measure whose slope along the hose has the sign of `slope`; the first of those that are alike.
    fn most(&self, value: impl Fn(&Spot) -> f64, slope: impl Fn(&Spot) -> f64) -> Most {
        let mut most = Most { value: f64::NEG_INFINITY, place: 0.0 };
        let mut take = |spot: &Spot| {
            let value = value(spot);
            if value - ALIKE * value.abs() > most.value {
                most = Most { value, place: spot.place };
            }
        };
        let mut before: Option<f64> = None;
        for (at, spot) in &self.looks {
            let after = slope(spot);
            take(spot);
            if before.is_some_and(|before| before > 0.0 && after < 0.0) {
                take(&self.turn_before(*at, spot, &slope));
            }
            before = Some(after);
        }
        most
    }

    /// Where the slope vanishes between a look and the one before it.
    fn turn_before(&self, at: usize, spot: &Spot, slope: impl Fn(&Spot) -> f64) -> Spot {
        let share =
            (spot.place - self.settled.joints.places[at]) / self.settled.stretches[at].length;
        let (at, share) = if share <= 0.0 && at > 0 { (at - 1, 1.0) } else { (at, share) };
        let (mut low, mut high) = (share - 1.0 / f64::from(LOOKS), share);
        let mut found = self.spot(at, high);
        let (mut rising, mut falling) = (slope(&self.spot(at, low)), slope(&found));
        let rounding = CLOSE * (rising - falling);
        for _ in 0..MOST_STEPS {
            let middle = low + (high - low) * (rising / (rising - falling)).clamp(0.0, 1.0);
            found = self.spot(at, middle);
            let here = slope(&found);
            // Illinois: a bound that stays counts half, or it would stay for ever.
            if here > 0.0 {
                (low, rising, falling) = (middle, here, 0.5 * falling);
            } else {
                (high, falling, rising) = (middle, here, 0.5 * rising);
            }
            if here.abs() <= rounding || high - low < CLOSE {
                break;
            }
        }
        found
    }

    /// The greatest curvature.
    pub(super) fn curvature(&self) -> Most {
        let force = self.settled.joints.force;
        let squared = self.most(
            |spot| spot.rate.norm_squared(),
            |spot| spot.rate.dot(&self.clamped.pull(spot.place, &force)),
        );
        Most { value: squared.value.max(0.0).sqrt(), ..squared }
    }

    /// The greatest distance from the straight between the ends.
    pub(super) fn bow(&self) -> f64 {
        let chord = self.clamped.chord;
        let size = chord.norm_squared();
        let aside = |spot: &Spot| {
            let along =
                if size > 0.0 { (spot.point.dot(&chord) / size).clamp(0.0, 1.0) } else { 0.0 };
            spot.point - chord * along
        };
        self.most(|spot| aside(spot).norm_squared(), |spot| aside(spot).dot(&spot.tangent))
            .value
            .sqrt()
    }

    /// How far the lowest point lies below the lower end.
    pub(super) fn sag(&self, up: &Vector3<f64>) -> f64 {
        let deepest = self.most(|spot| -up.dot(&spot.point), |spot| -up.dot(&spot.tangent)).value;
        let lower_end = up.dot(&self.clamped.chord).min(0.0);
        (deepest + lower_end).max(0.0)
    }
}
