//! Cross-sections of a vessel, and how much of one lies below a line.

use std::f64::consts::{PI, TAU};

/// A cross-section that stays the same along the vessel, its middle at the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Section {
    /// A rectangle of this width and height.
    Rectangle(f64, f64),
    /// Two half circles with straights between them, of this width and height.
    Obround(f64, f64),
}

/// A line of a section: everything with `across y + up z` of at most `most` lies below it.
#[derive(Debug, Clone, Copy)]
pub struct Cut {
    /// Slope sideways.
    pub across: f64,
    /// Slope upwards.
    pub up: f64,
    /// Where it lies.
    pub most: f64,
}

/// Area of a disc below a line at the signed distance `over` from its centre.
pub fn disc_below(radius: f64, over: f64) -> f64 {
    if over >= radius {
        return PI * radius * radius;
    }
    if over <= -radius {
        return 0.0;
    }
    let half = half_angle(radius, over);
    radius * radius * half + over * ((radius - over) * (radius + over)).sqrt()
}

/// Half the angle that the arc below the line takes, with all its digits near the bottom.
fn half_angle(radius: f64, over: f64) -> f64 {
    2.0 * libm::atan2((radius + over).sqrt(), (radius - over).sqrt())
}

/// The integral of [`disc_below`] over the distance of the line, from the bottom of the disc.
pub fn disc_below_summed(radius: f64, over: f64) -> f64 {
    if over <= -radius {
        return 0.0;
    }
    let root = ((radius - over) * (radius + over)).max(0.0).sqrt();
    over * disc_below(radius, over) + 2.0 / 3.0 * root * root * root
}

impl Section {
    /// Its whole area.
    pub fn area(&self) -> f64 {
        match *self {
            Self::Rectangle(width, height) => width * height,
            Self::Obround(width, height) => {
                let diameter = width.min(height);
                diameter * (width.max(height) - diameter) + 0.25 * PI * diameter * diameter
            }
        }
    }

    /// Whether a point of the section's plane lies inside, or no further out than `slip`.
    pub fn holds(&self, y: f64, z: f64, slip: f64) -> bool {
        let (out_y, out_z) = match *self {
            Self::Rectangle(width, height) => {
                return y.abs() <= 0.5 * width + slip && z.abs() <= 0.5 * height + slip;
            }
            Self::Obround(width, height) => {
                let r = 0.5 * width.min(height);
                ((y.abs() - 0.5 * width + r).max(0.0), (z.abs() - 0.5 * height + r).max(0.0))
            }
        };
        libm::hypot(out_y, out_z) <= 0.5 * self.least_side() + slip
    }

    fn least_side(&self) -> f64 {
        let (Self::Rectangle(width, height) | Self::Obround(width, height)) = *self;
        width.min(height)
    }

    /// Values of `across y + up z` at which the area below the line changes its law.
    pub fn turns(&self, across: f64, up: f64) -> Vec<f64> {
        let steep = libm::hypot(across, up);
        let corners = self.corners().into_iter();
        let mut all: Vec<f64> = corners.map(|(y, z)| across * y + up * z).collect();
        if let Self::Obround(..) = self {
            let (centres, radius) = self.centres();
            for (y, z) in centres {
                let middle = across * y + up * z;
                all.extend([middle - steep * radius, middle + steep * radius]);
            }
        }
        all
    }

    /// Where straights begin and end, counter-clockwise from the lower right; of an obround the ends of its arcs.
    fn corners(&self) -> [(f64, f64); 4] {
        let (Self::Rectangle(width, height) | Self::Obround(width, height)) = *self;
        let (mut y, mut z) = (0.5 * width, 0.5 * height);
        if let Self::Obround(..) = self {
            let radius = y.min(z);
            if width >= height {
                y -= radius;
            } else {
                z -= radius;
            }
        }
        [(y, -z), (y, z), (-y, z), (-y, -z)]
    }

    /// Centres of the two half circles, and their radius.
    fn centres(&self) -> ([(f64, f64); 2], f64) {
        let (Self::Rectangle(width, height) | Self::Obround(width, height)) = *self;
        let radius = 0.5 * width.min(height);
        let (y, z) = (0.5 * width - radius, 0.5 * height - radius);
        ([(y, z), (-y, -z)], radius)
    }

    /// Area below a line.
    pub fn below(&self, cut: &Cut) -> f64 {
        let (lowest, highest) = self.reach(cut);
        if cut.most >= highest {
            return self.area();
        }
        if cut.most <= lowest {
            return 0.0;
        }
        // With the origin on the line, the chord adds nothing to the area swept along the rim.
        let steep = cut.across * cut.across + cut.up * cut.up;
        let origin = (cut.across * cut.most / steep, cut.up * cut.most / steep);
        let corners = self.corners();
        let rim = (0..4).map(|i| (corners[i], corners[(i + 1) % 4]));
        let Self::Obround(width, height) = *self else {
            return rim.map(|(from, to)| straight(from, to, origin, cut)).sum();
        };
        let ([one, other], radius) = self.centres();
        let wide = width >= height;
        let straights = rim.enumerate().filter(|(i, _)| (i % 2 == 1) == wide);
        let swept: f64 = straights.map(|(_, (from, to))| straight(from, to, origin, cut)).sum();
        let start = if wide { -0.5 * PI } else { 0.0 };
        swept + arc(one, radius, start, origin, cut) + arc(other, radius, start + PI, origin, cut)
    }

    fn reach(&self, cut: &Cut) -> (f64, f64) {
        let turns = self.turns(cut.across, cut.up);
        let low = turns.iter().copied().fold(f64::INFINITY, f64::min);
        (low, turns.into_iter().fold(f64::NEG_INFINITY, f64::max))
    }
}

/// Area swept from the origin along the part of a straight that lies below the line.
fn straight(from: (f64, f64), to: (f64, f64), origin: (f64, f64), cut: &Cut) -> f64 {
    let height = |p: (f64, f64)| cut.across * p.0 + cut.up * p.1 - cut.most;
    let (low, high) = (height(from), height(to));
    if low > 0.0 && high > 0.0 {
        return 0.0;
    }
    let met = low / (low - high);
    let at = |t: f64| (from.0 + t * (to.0 - from.0), from.1 + t * (to.1 - from.1));
    let first = if low > 0.0 { at(met) } else { from };
    let last = if high > 0.0 { at(met) } else { to };
    let first = (first.0 - origin.0, first.1 - origin.1);
    let last = (last.0 - origin.0, last.1 - origin.1);
    0.5 * (first.0 * last.1 - first.1 * last.0)
}

/// Area swept from the origin along the part of a half circle that lies below the line.
fn arc(centre: (f64, f64), radius: f64, start: f64, origin: (f64, f64), cut: &Cut) -> f64 {
    let steep = libm::hypot(cut.across, cut.up);
    let over = (cut.most - cut.across * centre.0 - cut.up * centre.1) / steep;
    if over <= -radius {
        return 0.0;
    }
    let (low, high) = if over >= radius {
        (start, start + PI)
    } else {
        // The arc below the line lies about the direction straight down from it.
        let half = half_angle(radius, over);
        let down = libm::atan2(-cut.up, -cut.across);
        (down - half, down + half)
    };
    let offset = (centre.0 - origin.0, centre.1 - origin.1);
    let piece = |turn: f64| {
        let (from, to) = ((low + turn).max(start), (high + turn).min(start + PI));
        if from < to { swept(offset, radius, from, to) } else { 0.0 }
    };
    if over >= radius { piece(0.0) } else { [-TAU, 0.0, TAU].into_iter().map(piece).sum() }
}

fn swept(centre: (f64, f64), radius: f64, from: f64, to: f64) -> f64 {
    let along = centre.0 * (libm::sin(to) - libm::sin(from));
    let beside = centre.1 * (libm::cos(to) - libm::cos(from));
    0.5 * radius * (radius * (to - from) + along - beside)
}

#[cfg(test)]
mod tests {
    use super::{Cut, Section};
    use crate::geometry::tests::drawn;

    const SECTIONS: [Section; 4] = [
        Section::Rectangle(100.0, 60.0),
        Section::Obround(100.0, 60.0),
        Section::Obround(60.0, 100.0),
        Section::Obround(50.0, 50.0),
    ];

    #[test]
    fn the_area_below_a_line_is_that_of_thin_slabs() {
        for section in &SECTIONS {
            for index in 1..60 {
                let number = |axis, most: f64| drawn(index, axis, (-most, most));
                let cut = Cut { across: number(0, 1.0), up: number(1, 1.0), most: number(2, 60.0) };
                let cells = 400;
                let at = |cell: i32| 0.25 * (f64::from(cell) + 0.5) - 50.0;
                let mut sum = 0.0;
                for y in (0..cells).map(at) {
                    for z in (0..cells).map(at) {
                        let below = cut.across * y + cut.up * z <= cut.most;
                        sum += f64::from(u8::from(below && section.holds(y, z, 0.0))) / 16.0;
                    }
                }
                let found = section.below(&cut);
                assert!((found - sum).abs() < 25.0, "{section:?} {cut:?}: {found} {sum}");
            }
        }
    }

    #[test]
    fn between_two_turns_a_law_holds_and_beyond_the_last_everything() {
        for section in &SECTIONS {
            for index in 1..60 {
                let (across, up) = (drawn(index, 0, (-1.0, 1.0)), drawn(index, 1, (0.05, 1.0)));
                let mut turns = section.turns(across, up);
                turns.sort_by(f64::total_cmp);
                let below = |most: f64| section.below(&Cut { across, up, most });
                let (least, most) = (turns[0], turns[turns.len() - 1]);
                assert!(below(least - 1e-9).abs() < 1e-6);
                assert!(below(least + 1.0) > 0.0 && below(most - 1.0) < section.area());
                assert!((below(most + 1e-9) - section.area()).abs() < 1e-6);
                // Of a rectangle the area is a parabola between turns: third differences are nothing.
                for pair in turns.windows(2).filter(|pair| pair[1] - pair[0] > 1.0) {
                    let step = (pair[1] - pair[0]) / 3.0;
                    let at = [0.0, 1.0, 2.0, 3.0].map(|share| below(pair[0] + share * step));
                    let third = at[3] - 3.0 * at[2] + 3.0 * at[1] - at[0];
                    if let Section::Rectangle(..) = section {
                        assert!(third.abs() < 1e-8, "{index}: {third:e}");
                    }
                }
            }
        }
    }
}
