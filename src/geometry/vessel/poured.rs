//! Known volumes poured into a tank and the dips read: how they fit the shape, and which one is odd.

use crate::geometry::{GeometryError, above_zero, finite, within};

/// A point is odd when the others miss it by more than so many times what the errors explain (common practice).
const ODD: f64 = 3.0;
/// Points below which nothing can be told apart: two are needed for offset and scale.
const LEAST_POINTS: usize = 4;
/// More than a builder pours.
const MOST_POINTS: usize = 400;
/// Steps after which the fit is given up.
const MOST_STEPS: u32 = 60;
/// A change of offset this small, in mm, and of the scale a thousandth of it, settles the fit.
const SETTLED_MM: f64 = 1e-9;

/// A dip read after a volume was poured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pour {
    /// Everything poured so far; each row is one lot more.
    pub volume_mm3: f64,
    /// What the stick reads.
    pub dip_mm: f64,
}

/// How far each lot and each reading may be off, to either side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PourErrors {
    /// Each lot.
    pub lot_mm3: f64,
    /// Each reading.
    pub reading_mm: f64,
}

/// One poured point against all others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PouredPoint {
    /// Volume poured over the volume that the others expect at this dip.
    pub over_mm3: f64,
    /// The same in standard deviations of what the errors explain.
    pub score: f64,
    /// What the stick should have read by the others.
    pub expected_mm: f64,
    /// Whether it is odd, and left out of the fit.
    pub odd: bool,
}

/// How poured points fit a shape.
#[derive(Debug, Clone, PartialEq)]
pub struct PouredFit {
    /// What has to be added to a reading to get the dip of the shape: the stick's zero above its place.
    pub offset_mm: f64,
    /// Its standard deviation.
    pub offset_sd_mm: f64,
    /// True volume over that of the shape.
    pub scale: f64,
    /// Its standard deviation.
    pub scale_sd: f64,
    /// Each point, in the order given.
    pub points: Vec<PouredPoint>,
    /// The odd ones, the worst first.
    pub odd: Vec<usize>,
    /// How far the last sum may be off at worst.
    pub sum_error_mm3: f64,
}

/// # What it gives
///
/// Offset of the stick and scale of the shape that fit the poured points best, and every point that the others
/// contradict.
///
/// # Formula
///
/// Generalised least squares of V = k V(dip + a). Every lot's error stays in all later sums, so two sums share what
/// was poured first: covariance s² min(i, j), with s the limit over root 3; readings are on their own. A point is held
/// against what all others give for it; the worst beyond 3 standard deviations is left out, and the rest fitted again.
/// Where no fit settles, a reading is so far off that the shape cannot follow: the one is left out without which a fit
/// does, and of several the one that leaves the others most at one.
///
/// # Valid for
///
/// Four to 400 points, at most a third of them odd; one lot between two rows; a dip that the shape knows.
///
/// # Source
///
/// Leave-one-out residuals of correlated points: Dubrule 1983, from memory. Limits as even distributions over root 3
/// and the 3 standard deviations: common practice.
///
/// # Notes
///
/// `volume_at` gives the volume of the shape at a dip and the area of the surface there.
///
/// # Errors
///
/// [`GeometryError::OutOfRange`] for too few points; [`GeometryError::NotAscending`] for sums that do not climb;
/// [`GeometryError::NotAboveZero`] for errors that are not; [`GeometryError::NotSettled`]; what `volume_at` gives.
///
/// # Example
///
/// ```
/// use hosewright::geometry::vessel::poured::{Pour, PourErrors, poured_fit};
///
/// // A straight can of 100 cm2; the fourth reading is mistyped.
/// let read = [9.0, 19.0, 29.0, 49.0, 49.0, 59.0];
/// let points: Vec<Pour> = (1..=6)
///     .zip(read)
///     .map(|(lot, dip_mm)| Pour { volume_mm3: 1e5 * f64::from(lot), dip_mm })
///     .collect();
/// let errors = PourErrors { lot_mm3: 1e3, reading_mm: 0.5 };
/// let fit = poured_fit(&points, errors, &|dip| Ok((1e4 * dip, 1e4)))?;
/// assert_eq!(fit.odd, [3]);
/// assert!((fit.offset_mm - 1.0).abs() < 1e-6);
/// assert!((fit.points[3].expected_mm - 39.0).abs() < 1e-6);
/// # Ok::<(), hosewright::geometry::GeometryError>(())
/// ```
pub fn poured_fit(
    points: &[Pour],
    errors: PourErrors,
    volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
) -> Result<PouredFit, GeometryError> {
    checked(points, errors)?;
    let mut kept: Vec<usize> = (0..points.len()).collect();
    let mut odd = Vec::new();
    let fitted = loop {
        let fitted = match fit(points, &kept, errors, volume_at) {
            Ok(fitted) => fitted,
            Err(why) => {
                let unsettling = unsettling(points, &kept, errors, volume_at);
                let at = unsettling.filter(|_| may_leave_out(&kept, &odd, points)).ok_or(why)?;
                odd.push(kept.remove(at));
                continue;
            }
        };
        let worst = (0..kept.len())
            .max_by(|a, b| fitted.scores[*a].abs().total_cmp(&fitted.scores[*b].abs()));
        let over = worst.filter(|w| fitted.scores[*w].abs() > ODD);
        let Some(worst) = over else { break fitted };
        if !may_leave_out(&kept, &odd, points) {
            return Err(GeometryError::NotSettled {
                what: "a fit with fewer than a third of the poured points odd",
            });
        }
        odd.push(kept.remove(worst));
    };
    let place = |index: usize| kept.iter().position(|k| *k == index);
    let all = (0..points.len()).map(|index| {
        if let Some(at) = place(index) {
            return fitted.point(points[index], points[index].dip_mm, at, volume_at);
        }
        // An odd one is held against the fit of all that were kept.
        let mut with = kept.clone();
        with.push(index);
        with.sort_unstable();
        let at = with.iter().position(|k| *k == index).unwrap_or_default();
        let scored = fitted.scored(points, &with, errors, volume_at)?;
        // Its own reading may stand where the shape has no slope left to follow.
        let beside = kept.iter().min_by_key(|k| k.abs_diff(index)).map_or(index, |k| *k);
        let found = scored.point(points[index], points[beside].dip_mm, at, volume_at)?;
        Ok(PouredPoint { odd: true, ..found })
    });
    let all = all.collect::<Result<Vec<_>, _>>()?;
    Ok(PouredFit {
        offset_mm: fitted.offset,
        offset_sd_mm: fitted.deviations[0],
        scale: fitted.scale,
        scale_sd: fitted.deviations[1],
        points: all,
        odd,
        sum_error_mm3: errors.lot_mm3 * count(points.len()),
    })
}

/// Whether one more may be left out.
fn may_leave_out(kept: &[usize], odd: &[usize], points: &[Pour]) -> bool {
    kept.len() > LEAST_POINTS && 3 * (odd.len() + 1) <= points.len()
}

/// Which point keeps a fit from settling: without it one settles, and of several such fits that in which the worst
/// point stands out least.
fn unsettling(
    points: &[Pour],
    kept: &[usize],
    errors: PourErrors,
    volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
) -> Option<usize> {
    let without = |at: usize| {
        let mut rest = kept.to_vec();
        rest.remove(at);
        let fitted = fit(points, &rest, errors, volume_at).ok()?;
        Some((at, fitted.scores.iter().fold(0.0, |most: f64, s| most.max(s.abs()))))
    };
    let settled = (0..kept.len()).filter_map(without);
    settled.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
}

fn checked(points: &[Pour], errors: PourErrors) -> Result<(), GeometryError> {
    let (least, most) = (count(LEAST_POINTS), count(MOST_POINTS));
    within("the number of poured points", count(points.len()), least, most)?;
    above_zero("the error of a lot", errors.lot_mm3)?;
    above_zero("the error of a reading", errors.reading_mm)?;
    let mut before = 0.0;
    for point in points {
        finite("a dip", point.dip_mm)?;
        if finite("a poured volume", point.volume_mm3)? <= before {
            return Err(GeometryError::NotAscending { what: "the poured volumes" });
        }
        before = point.volume_mm3;
    }
    Ok(())
}

/// A count of at most some hundreds.
fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(f64::INFINITY, f64::from)
}

/// A fit to some of the points.
struct Fitted {
    offset: f64,
    scale: f64,
    deviations: [f64; 2],
    /// Residual of each against the others, and the same in standard deviations.
    overs: Vec<f64>,
    scores: Vec<f64>,
}

impl Fitted {
    fn point(
        &self,
        point: Pour,
        from_mm: f64,
        at: usize,
        volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
    ) -> Result<PouredPoint, GeometryError> {
        // The dip at which the shape holds what the others expect to have been poured here.
        let wanted = self.scale * volume_at(point.dip_mm + self.offset)?.0 + self.overs[at];
        let mut dip = from_mm;
        for _ in 0..MOST_STEPS {
            let (volume, area) = volume_at(dip + self.offset)?;
            let step = (wanted - self.scale * volume) / (self.scale * area);
            dip += step;
            if step.abs() <= SETTLED_MM {
                let (over_mm3, score) = (self.overs[at], self.scores[at]);
                return Ok(PouredPoint { over_mm3, score, expected_mm: dip, odd: false });
            }
        }
        Err(GeometryError::NotSettled { what: "the dip that is expected of a poured point" })
    }

    /// The same offset and scale held against other points.
    fn scored(
        &self,
        points: &[Pour],
        of: &[usize],
        errors: PourErrors,
        volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
    ) -> Result<Self, GeometryError> {
        let weighed = Weighed::new(points, of, errors, self.offset, self.scale, volume_at)?;
        let (overs, scores) = weighed.left_out();
        Ok(Self { overs, scores, ..*self })
    }
}

fn fit(
    points: &[Pour],
    kept: &[usize],
    errors: PourErrors,
    volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
) -> Result<Fitted, GeometryError> {
    let (mut offset, mut scale) = (0.0, 1.0);
    for _ in 0..MOST_STEPS {
        let weighed = Weighed::new(points, kept, errors, offset, scale, volume_at)?;
        let [by_offset, by_scale] = weighed.step();
        offset = finite("the offset of the stick", offset + by_offset)?;
        scale = above_zero("the scale of the shape", scale + by_scale)?;
        if by_offset.abs() <= SETTLED_MM && by_scale.abs() <= 1e-3 * SETTLED_MM {
            let (overs, scores) = weighed.left_out();
            return Ok(Fitted { offset, scale, deviations: weighed.deviations(), overs, scores });
        }
    }
    Err(GeometryError::NotSettled { what: "the fit of the poured points" })
}

/// Residuals and slopes, with the correlation of the sums taken out.
struct Weighed {
    /// Inverse of the root of the covariance, lower triangle by rows.
    root: Vec<Vec<f64>>,
    /// Residuals.
    rest: Vec<f64>,
    /// Slopes by offset and by scale, made square to each other and of length 1.
    square: [Vec<f64>; 2],
    /// The slopes out of the squares: lengths, and how much of the first is in the second.
    lengths: [f64; 2],
    mixed: f64,
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

impl Weighed {
    fn new(
        points: &[Pour],
        kept: &[usize],
        errors: PourErrors,
        offset: f64,
        scale: f64,
        volume_at: &dyn Fn(f64) -> Result<(f64, f64), GeometryError>,
    ) -> Result<Self, GeometryError> {
        let at = |i: &usize| volume_at(points[*i].dip_mm + offset);
        let shape = kept.iter().map(at).collect::<Result<Vec<_>, _>>()?;
        let root = inverse_root(&covariance(kept, errors, scale, &shape))?;
        let whiten = |list: &[f64]| -> Vec<f64> { root.iter().map(|row| dot(row, list)).collect() };
        let over = kept.iter().zip(&shape).map(|(i, (v, _))| points[*i].volume_mm3 - scale * v);
        let rest = whiten(&over.collect::<Vec<_>>());
        let first = whiten(&shape.iter().map(|(_, area)| scale * area).collect::<Vec<_>>());
        let second = whiten(&shape.iter().map(|(volume, _)| *volume).collect::<Vec<_>>());
        let long = dot(&first, &first).sqrt();
        let first: Vec<f64> = first.iter().map(|v| v / long).collect();
        let mixed = dot(&first, &second);
        let second: Vec<f64> = second.iter().zip(&first).map(|(s, f)| s - mixed * f).collect();
        let wide = dot(&second, &second).sqrt();
        let second: Vec<f64> = second.iter().map(|v| v / wide).collect();
        if long > 0.0 && wide > 0.0 && mixed.is_finite() {
            Ok(Self { root, rest, square: [first, second], lengths: [long, wide], mixed })
        } else {
            Err(GeometryError::NotSettled { what: "the fit of the poured points" })
        }
    }

    /// By how much offset and scale have to change.
    fn step(&self) -> [f64; 2] {
        let [along, beside] = [0, 1].map(|i| dot(&self.square[i], &self.rest));
        let scale = beside / self.lengths[1];
        [(along - self.mixed * scale) / self.lengths[0], scale]
    }

    /// Standard deviations of offset and scale.
    fn deviations(&self) -> [f64; 2] {
        let scale = 1.0 / self.lengths[1];
        [libm::hypot(1.0, self.mixed * scale) / self.lengths[0], scale]
    }

    /// Each residual against what all others give, plain and in standard deviations.
    fn left_out(&self) -> (Vec<f64>, Vec<f64>) {
        let [first, second] = &self.square;
        let [along, beside] = [dot(first, &self.rest), dot(second, &self.rest)];
        let left: Vec<f64> = (0..self.rest.len())
            .map(|k| self.rest[k] - along * first[k] - beside * second[k])
            .collect();
        let column = |i: usize, list: &[f64]| -> f64 {
            (i..list.len()).map(|k| self.root[k][i] * list[k]).sum()
        };
        let one = |i: usize| {
            let own: f64 = (i..self.rest.len()).map(|k| self.root[k][i] * self.root[k][i]).sum();
            let taken = [first, second].map(|s| column(i, s));
            let weight = own - taken[0] * taken[0] - taken[1] * taken[1];
            let pull = column(i, &left);
            (pull / weight, pull / weight.sqrt())
        };
        (0..self.rest.len()).map(one).unzip()
    }
}

/// Covariance of the sums, as volumes: lots that two sums share, and each reading on its own.
fn covariance(
    kept: &[usize],
    errors: PourErrors,
    scale: f64,
    shape: &[(f64, f64)],
) -> Vec<Vec<f64>> {
    let lot = errors.lot_mm3 * errors.lot_mm3 / 3.0;
    let one = |i: usize, j: usize| {
        let shared = lot * count(kept[i].min(kept[j]) + 1);
        let reading = scale * shape[i].1 * errors.reading_mm;
        if i == j { shared + reading * reading / 3.0 } else { shared }
    };
    (0..kept.len()).map(|i| (0..=i).map(|j| one(i, j)).collect()).collect()
}

/// The inverse of the lower root of a symmetric matrix, given by its lower triangle.
fn inverse_root(matrix: &[Vec<f64>]) -> Result<Vec<Vec<f64>>, GeometryError> {
    let mut root: Vec<Vec<f64>> = Vec::with_capacity(matrix.len());
    for given in matrix {
        let mut row = Vec::with_capacity(given.len());
        for (other, value) in root.iter().zip(given) {
            let rest = value - dot(&row, other);
            row.push(rest / other[row.len()]);
        }
        let own = given.last().copied().unwrap_or_default();
        let rest = above_zero("the spread of a poured point", own - dot(&row, &row))?;
        row.push(rest.sqrt());
        root.push(row);
    }
    let mut inverse: Vec<Vec<f64>> = Vec::with_capacity(root.len());
    for (i, row) in root.iter().enumerate() {
        let entry = |j: usize| {
            let done: f64 = (j..i).map(|k| row[k] * inverse[k][j]).sum();
            let start = if i == j { 1.0 } else { 0.0 };
            (start - done) / row[i]
        };
        let entries = (0..=i).map(entry).collect();
        inverse.push(entries);
    }
    Ok(inverse)
}
