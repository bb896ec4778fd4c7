//! Helicoidal arcs: curves of curvature 1 whose torsion makes them shortest among their neighbours.
//!
//! With `p` the constant multiplier of the position, `rho` the length of the multiplier of the direction and `c`
//! a constant, a shortest curve without a straight and without an inflection fulfils (radius 1)
//!
//! `torsion = c / rho^2`, `rho'' = 1 - rho + c^2 / rho^3`, `p = (1 - rho) t - rho' n - (c / rho) b`.
//!
//! `rho` swings between two turning values, and `rho = mean + swing cos(phase)` makes length, way along `p` and
//! angle about `p` integrals of smooth functions of the phase.

use std::f64::consts::PI;

use nalgebra::Vector3;

/// One helicoidal arc, from how it begins; the plane in which it begins is given apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Helicoid {
    /// Length of the multiplier of the direction where it begins.
    pub(super) rho: f64,
    /// Its change along the arc there.
    pub(super) slope: f64,
    /// Torsion times `rho` squared: its sign is the hand of the arc.
    pub(super) hand: f64,
    /// How far the phase runs.
    pub(super) phase: f64,
}

/// Where the arc ends, in the axes tangent, normal, binormal of its beginning.
#[derive(Debug, Clone, Copy)]
pub(super) struct End {
    pub(super) at: Vector3<f64>,
    pub(super) tangent: Vector3<f64>,
    pub(super) normal: Vector3<f64>,
    pub(super) length: f64,
    /// Length of arc per unit of phase.
    pub(super) rate: f64,
}

/// What stays the same along the arc.
#[derive(Debug, Clone, Copy)]
struct Swing {
    /// Length of `p`.
    pull: f64,
    hand: f64,
    mean: f64,
    half_width: f64,
    /// The other two turning values, as sum and product with the sign of a quadratic.
    linear: f64,
    constant: f64,
    least: f64,
    most: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    length: f64,
    along: f64,
    about: f64,
}

impl Sums {
    fn plus(self, other: Self) -> Self {
        Self {
            length: self.length + other.length,
            along: self.along + other.along,
            about: self.about + other.about,
        }
    }
}

impl Swing {
    fn new(helicoid: &Helicoid) -> Option<Self> {
        let Helicoid { rho, slope, hand, .. } = *helicoid;
        let square = (1.0 - rho) * (1.0 - rho) + slope * slope + hand * hand / (rho * rho);
        let pull = square.sqrt();
        // The largest root of the quartic of the turning values, from above, where it is convex.
        let mut most = 1.0 + pull;
        for _ in 0..MOST_STEPS {
            let value = most * most * (square - (1.0 - most) * (1.0 - most)) - hand * hand;
            let rise = most * (2.0 * square - 2.0 + most * (6.0 - 4.0 * most));
            let step = value / rise;
            most -= step;
            if step.abs() <= 1e-15 * most {
                break;
            }
        }
        // The sum s of both turning values: (most (s - most))^2 (s - 2) = hand^2 s, with `s - 2` as unknown.
        let least = Self::least(most, square, hand)?;
        let sum = most + least;
        let linear = sum - 2.0;
        let product = most * least;
        Some(Self {
            pull,
            hand,
            mean: 0.5 * sum,
            half_width: 0.5 * (most - least),
            linear,
            constant: product * linear / sum,
            least,
            most,
        })
    }

    /// The smaller turning value: the positive root of what is left of the quartic,
    /// `y^3 + (m - 2) y^2 - (h^2 / m^2)(y + m) ... = 0`, written with `h^2 / m = m (square - (1 - m)^2)`.
    fn least(most: f64, square: f64, hand: f64) -> Option<f64> {
        // Quartic over (rho - most): -(y^3 + (most - 2) y^2 - q y - q most) with q = hand^2 / most^2.
        let q = hand * hand / (most * most);
        let a = most - 2.0;
        let cubic = |y: f64| ((y + a) * y - q) * y - q * most;
        let (mut low, mut high) = (0.0, most);
        if !square.is_finite() {
            return None;
        }
        // From the estimate of a small root; Newton's steps are kept between the bounds.
        let mut y = if a > 0.0 { (q * most / a).sqrt().min(most) } else { 0.5 * most };
        for _ in 0..MOST_STEPS {
            let value = cubic(y);
            if value > 0.0 {
                high = y;
            } else {
                low = y;
            }
            let rise = (3.0 * y + 2.0 * a) * y - q;
            let mut next = y - value / rise;
            if !(next > low && next < high) {
                next = 0.5 * (low + high);
            }
            if (next - y).abs() <= 1e-15 * most {
                y = next;
                break;
            }
            y = next;
        }
        Some(y.clamp(0.0, most))
    }

    fn rho(&self, phase: f64) -> f64 {
        // Counted from the smaller turning value, so that nothing is lost near it.
        let half = libm::cos(0.5 * phase);
        self.least + 2.0 * self.half_width * half * half
    }

    fn root(&self, rho: f64) -> f64 {
        (rho * (rho + self.linear) + self.constant).sqrt()
    }

    /// Integrals over a stretch of the phase, given as its nearest and farthest distance from where `rho` is least,
    /// both within 0 to pi.
    fn sums(&self, near: f64, far: f64) -> Sums {
        // Near the least value the root has the width `narrow`; the sinh of the new variable resolves it.
        let scale = self.least + self.constant / self.linear.max(1e-300);
        let narrow =
            (2.0 * scale.min(self.bottom()) / self.half_width.max(1e-300)).sqrt().clamp(1e-9, 2.0);
        let (first, last) = (libm::asinh(near / narrow), libm::asinh(far / narrow));
        let span = last - first;
        // Angle about `p` at the largest value: there the tangent passes close by the axis.
        let (pole, pole_root) = self.pole();
        let mut sums = Sums::default();
        for (node, weight) in NODES {
            let variable = first + 0.5 * span * (1.0 + node);
            let from = narrow * libm::sinh(variable);
            let change = (narrow * narrow + from * from).sqrt();
            let half = libm::sin(0.5 * from);
            let other = libm::cos(0.5 * from);
            let rho = self.least + 2.0 * self.half_width * half * half;
            let root = self.root(rho);
            let step = 0.5 * span * weight * change / root;
            sums.length += step * rho;
            sums.along += step * rho * (1.0 - rho);
            let near_top = pole + 2.0 * self.half_width * other * other;
            let near_bottom = self.bottom() + 2.0 * self.half_width * half * half;
            sums.about +=
                step * (1.0 / near_bottom + (1.0 - root / self.root(self.most)) / near_top);
        }
        let closed = self.closed_top(far, pole, pole_root) - self.closed_top(near, pole, pole_root);
        let closed = closed / self.root(self.most);
        Sums {
            length: sums.length,
            along: sums.along / self.pull,
            about: -0.5 * self.hand * (sums.about + closed),
        }
    }

    /// `pull - 1 + least`: how far the tangent stays from the axis at the least value.
    fn bottom(&self) -> f64 {
        let far = self.pull + 1.0 - self.least;
        self.hand * self.hand / (self.least * self.least).max(1e-300) / far
    }

    /// `pull + 1 - most` without cancellation, and the root of its product with the far side.
    fn pole(&self) -> (f64, f64) {
        let pole = self.hand * self.hand / (self.most * self.most * (self.pull + self.most - 1.0));
        (pole, (pole * (pole + 2.0 * self.half_width)).sqrt())
    }

    /// Integral of `1 / (pole + swing (1 - cos phase))` over the phase from pi back by `back`.
    fn closed_top(&self, back: f64, pole: f64, pole_root: f64) -> f64 {
        let whole = PI / pole_root;
        let (sin, cos) = libm::sincos(0.5 * (PI - back));
        let part = 2.0 / pole_root
            * libm::atan2((pole + 2.0 * self.half_width).sqrt() * sin, pole.sqrt() * cos);
        whole - part
    }

    /// Integrals over the phase from `begin` to `last`, one half swing after the other.
    fn over(&self, begin: f64, last: f64) -> Sums {
        let mut sums = Sums::default();
        let mut half = (begin / PI).floor();
        while half * PI < last {
            let from = (begin - half * PI).max(0.0);
            let to = (last - half * PI).min(PI);
            // Even halves begin where `rho` is largest, odd ones where it is least.
            let even = (0.5 * half).fract() == 0.0;
            let part = if even { self.sums(PI - to, PI - from) } else { self.sums(from, to) };
            sums = sums.plus(part);
            half += 1.0;
        }
        sums
    }
}

impl Helicoid {
    /// Where the arc ends; `None` where the numbers are no arc.
    pub(super) fn end(&self) -> Option<End> {
        let swing = Swing::new(self)?;
        let begin = self.first_phase(&swing);
        let last = begin + self.phase;
        let sums = swing.over(begin, last);
        let rho = swing.rho(last);
        let root = swing.root(rho);
        let slope = -swing.half_width * libm::sin(last) * root / rho;
        let axis = Vector3::new(1.0 - self.rho, -self.slope, -self.hand / self.rho) / swing.pull;
        let frame = turned(&axis, &swing, rho, slope, sums.about)?;
        let (tangent, normal) = frame;
        let aside = |rho: f64, slope: f64, tangent: &Vector3<f64>, normal: &Vector3<f64>| {
            (normal * (1.0 - rho) + tangent * slope) * (rho / (swing.pull * swing.pull))
        };
        let at = axis * sums.along + aside(rho, slope, &tangent, &normal)
            - aside(self.rho, self.slope, &Vector3::x(), &Vector3::y());
        let end = End { at, tangent, normal, length: sums.length, rate: rho / root };
        (at.norm().is_finite() && tangent.norm().is_finite()).then_some(end)
    }

    fn first_phase(&self, swing: &Swing) -> f64 {
        let cos = self.rho - swing.mean;
        let sin = -self.slope * self.rho / swing.root(self.rho);
        libm::atan2(sin, cos)
    }
}

/// Tangent and normal at the end: fixed against the axis by `rho` and its slope, and turned about it.
fn turned(
    axis: &Vector3<f64>,
    swing: &Swing,
    rho: f64,
    slope: f64,
    about: f64,
) -> Option<(Vector3<f64>, Vector3<f64>)> {
    let along = (1.0 - rho) / swing.pull;
    let away = (1.0 - along * along).max(0.0).sqrt();
    let outwards = (Vector3::x() - axis * axis.x).try_normalize(1e-12)?;
    let sideways = axis.cross(&outwards);
    let (sin, cos) = libm::sincos(about);
    let out = outwards * cos + sideways * sin;
    let tangent = axis * along + out * away;
    // The axis as seen square to the tangent, and the normal against it.
    let rising = axis * away - out * along;
    let (cos, sin) = (-slope / (swing.pull * away), swing.hand / (rho * swing.pull * away));
    let size = (cos * cos + sin * sin).sqrt();
    let normal = (rising * cos + tangent.cross(&rising) * sin) / size;
    Some((tangent, normal))
}

const MOST_STEPS: u32 = 60;
/// Places and weights of the rule of Gauss and Legendre with 16 points.
const NODES: [(f64, f64); 16] = [
    (-0.989_400_934_991_649_9, 0.027_152_459_411_754_2),
    (-0.944_575_023_073_232_6, 0.062_253_523_938_647_5),
    (-0.865_631_202_387_831_8, 0.095_158_511_682_492_6),
    (-0.755_404_408_355_003, 0.124_628_971_255_534_1),
    (-0.617_876_244_402_643_8, 0.149_595_988_816_576_7),
    (-0.458_016_777_657_227_4, 0.169_156_519_395_002_6),
    (-0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (-0.095_012_509_837_637_4, 0.189_450_610_455_068_6),
    (0.095_012_509_837_637_4, 0.189_450_610_455_068_6),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_4, 0.169_156_519_395_002_6),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_7),
    (0.755_404_408_355_003, 0.124_628_971_255_534_1),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_6),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_5),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_2),
];

/// A length of arc and the twist that is put at its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    pub(super) run: f64,
    pub(super) twist: f64,
}

/// Running sums along the arc: length, twist, what is shared evenly among the parts, and the moment of the twist.
#[derive(Debug, Clone, Copy, Default)]
struct Walk {
    length: f64,
    twist: f64,
    share: f64,
    moment: f64,
}

impl Helicoid {
    /// The arc as plane arcs with its twist gathered between them, in `parts` places.
    ///
    /// A place stands for a stretch of the arc, with the stretch's twist at the centre of that twist. The error
    /// of a stretch grows with its torsion and the cube of its length, so stretches share the cube root evenly.
    pub(super) fn parts(&self, parts: u32) -> Option<Vec<Part>> {
        let swing = Swing::new(self)?;
        let walk = self.walk(&swing);
        let whole = *walk.last()?;
        let mut places = Vec::new();
        let (mut before, mut stretch_begin) = (0.0, Walk::default());
        for stretch in 1..=parts {
            let upto = whole.share * f64::from(stretch) / f64::from(parts);
            let end = if stretch == parts { whole } else { at_share(&walk, upto) };
            let twist = end.twist - stretch_begin.twist;
            let centre = if twist.abs() > 1e-12 {
                (end.moment - stretch_begin.moment) / twist
            } else {
                0.5 * (end.length + stretch_begin.length)
            };
            places.push(Part { run: centre - before, twist });
            (before, stretch_begin) = (centre, end);
        }
        places.push(Part { run: whole.length - before, twist: 0.0 });
        Some(places)
    }

    fn walk(&self, swing: &Swing) -> Vec<Walk> {
        let begin = self.first_phase(swing);
        let last = begin + self.phase;
        let rates = |phase: f64| {
            let rho = swing.rho(phase);
            let root = swing.root(rho);
            (rho / root, swing.hand / (rho * root), swing.hand.abs() / (rho * rho))
        };
        let (mut phase, mut now) = (begin, Walk::default());
        let mut walk = vec![now];
        while phase < last && walk.len() < MOST_PLACES {
            let (length, twist, _) = rates(phase);
            let step = (FINE / (1.0 + length + twist.abs())).min(last - phase);
            let (length, twist, torsion) = rates(phase + 0.5 * step);
            let (along, turned) = (length * step, twist * step);
            now.moment += turned * (now.length + 0.5 * along);
            now.share += (libm::cbrt(torsion) + EVEN) * along;
            now.length += along;
            now.twist += turned;
            walk.push(now);
            phase += step;
        }
        walk
    }
}

fn at_share(walk: &[Walk], share: f64) -> Walk {
    let after = walk.partition_point(|place| place.share < share).max(1);
    let (Some(a), Some(b)) = (walk.get(after - 1), walk.get(after)) else {
        return walk.last().copied().unwrap_or_default();
    };
    let part = (share - a.share) / (b.share - a.share);
    let mix = |a: f64, b: f64| a + part * (b - a);
    Walk {
        length: mix(a.length, b.length),
        twist: mix(a.twist, b.twist),
        share,
        moment: mix(a.moment, b.moment),
    }
}

/// Step of the walk along an arc, as length and angle together.
const FINE: f64 = 0.1;
/// Share of a stretch without torsion.
const EVEN: f64 = 0.05;
const MOST_PLACES: usize = 4000;
