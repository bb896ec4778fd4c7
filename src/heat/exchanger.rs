//! Heat of an exchanger by its effectiveness, and the effectiveness by transfer units.

use super::HeatError;
use super::argument::{not_negative, positive, result, within};

/// Most transfer units that the formulas are worked out for; beyond, more surface brings next to nothing.
pub const TRANSFER_UNITS_UP_TO: f64 = 100.0;

/// Terms of the crossflow series; at 100 transfer units the first one left out is below 1e-50.
const CROSSFLOW_TERMS: usize = 300;
/// Halvings that close the bracket of 100 transfer units to the last digit.
const HALVINGS: u32 = 64;

/// How the two streams of an exchanger pass each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Arrangement {
    /// Side by side, against each other: the most effective.
    Counterflow,
    /// Side by side, the same way: the least effective.
    Parallel,
    /// At right angles, both streams kept apart in channels or between fins: the usual radiator.
    Crossflow,
    /// One pass through the shell, two or any even number of passes through the tubes.
    OneShellPass,
    /// One stream keeps its temperature: it boils, condenses or is beyond measure larger.
    OneUnchanging,
}

/// A stream that enters an exchanger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stream {
    /// Mass flow times specific heat, in W/K, above 0.
    pub capacity_w_k: f64,
    /// Temperature at the inlet in K, above 0.
    pub inlet_k: f64,
}

/// What two streams do to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchange {
    /// Heat from the hot stream to the cold one, in W; below 0 when the one called hot is the colder.
    pub heat_w: f64,
    /// Temperature of the hot stream at its outlet, in K.
    pub hot_outlet_k: f64,
    /// Temperature of the cold stream at its outlet, in K.
    pub cold_outlet_k: f64,
}

/// Heat and outlet temperatures of an exchanger of known effectiveness.
///
/// # What it gives
/// The heat in W and both outlet temperatures in K.
///
/// # Formula
/// Q = ε Cmin (Th - Tc), Th' = Th - Q/Ch, Tc' = Tc + Q/Cc
///
/// # Valid for
/// Both streams as [`Stream`] has them; `effectiveness` 0 to 1; no heat lost to the outside, no stream
/// that boils or freezes on the way.
///
/// # Source
/// Definition of the effectiveness; e.g. Incropera et al., Fundamentals of Heat and Mass Transfer,
/// ch. 11. Standing: quoted-elsewhere.
///
/// # Notes
/// The effectiveness holds for the flows at which it was found: with other flows it is another one.
///
/// ```
/// use hosewright::heat::exchanger::{Stream, exchange};
/// let gas = Stream { capacity_w_k: 1500.0, inlet_k: 523.0 };
/// let water = Stream { capacity_w_k: 4197.0, inlet_k: 308.0 };
/// let found = exchange(&gas, &water, 0.82)?;
/// assert!((found.heat_w - 264_450.0).abs() < 1e-6);
/// assert!((found.hot_outlet_k - 346.7).abs() < 1e-9);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::NotPositive`], [`HeatError::OutOfRange`],
/// [`HeatError::NotRepresentable`].
pub fn exchange(hot: &Stream, cold: &Stream, effectiveness: f64) -> Result<Exchange, HeatError> {
    let hot_capacity = positive("the capacity flow of the hot stream", hot.capacity_w_k)?;
    let cold_capacity = positive("the capacity flow of the cold stream", cold.capacity_w_k)?;
    let hot_inlet = positive("the inlet temperature of the hot stream", hot.inlet_k)?;
    let cold_inlet = positive("the inlet temperature of the cold stream", cold.inlet_k)?;
    let share = within("the effectiveness", effectiveness, 0.0, 1.0)?;
    let least = hot_capacity.min(cold_capacity);
    let difference = hot_inlet - cold_inlet;
    // Shares of the difference instead of quotients of the heat: no stream can overshoot the other's inlet.
    Ok(Exchange {
        heat_w: result("the heat", share * least * difference)?,
        hot_outlet_k: hot_inlet - share * (least / hot_capacity) * difference,
        cold_outlet_k: cold_inlet + share * (least / cold_capacity) * difference,
    })
}

/// Transfer units of an exchanger of known conductance.
///
/// # What it gives
/// The number of transfer units NTU.
///
/// # Formula
/// NTU = U A / Cmin
///
/// # Valid for
/// `conductance_w_k` (overall coefficient times surface, W/K) zero or above; `smaller_capacity_w_k` (W/K) above 0.
///
/// # Source
/// Definition; e.g. Kays and London, Compact Heat Exchangers, ch. 2. Standing: from-memory.
///
/// # Notes
/// The conductance changes with both flows, though less than they do.
///
/// ```
/// use hosewright::heat::exchanger::transfer_units_of;
/// assert_eq!(transfer_units_of(3000.0, 1500.0)?, 2.0);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::NotPositive`], [`HeatError::OutOfRange`], [`HeatError::NotRepresentable`].
pub fn transfer_units_of(
    conductance_w_k: f64,
    smaller_capacity_w_k: f64,
) -> Result<f64, HeatError> {
    let conductance = not_negative("the conductance", conductance_w_k)?;
    let capacity = positive("the smaller capacity flow", smaller_capacity_w_k)?;
    result("the number of transfer units", conductance / capacity)
}

/// Effectiveness of an exchanger from its transfer units.
///
/// # What it gives
/// The effectiveness ε, 0 to 1.
///
/// # Formula
/// With N the transfer units and r the smaller over the larger capacity flow:
/// counterflow (1 - E)/(1 - r E), E = exp(-N (1 - r)), and N/(1 + N) at r = 1;
/// parallel (1 - exp(-N (1 + r)))/(1 + r);
/// one shell pass 2/(1 + r + x (1 + E)/(1 - E)), x = √(1 + r²), E = exp(-N x);
/// one unchanging 1 - exp(-N);
/// crossflow Σ P(n, N) P(n, r N) / (r N) over n = 1, 2, ..., with P(n, a) the chance that a Poisson
/// count of mean a reaches n.
///
/// # Valid for
/// `transfer_units` 0 to 100, `capacity_ratio` 0 to 1; 0 for an unchanging stream. One conductance all along.
///
/// # Source
/// Kays and London, Compact Heat Exchangers, ch. 2; Incropera et al., table 11.3 (from-memory);
/// crossflow: the exact series of Mason (1955), from-memory. Standing: cross-checked, with a library of
/// formulas to 1e-9.
///
/// # Notes
/// The usual handbook formula for crossflow is a fit; it strays from this exact one by up to a few per cent.
///
/// ```
/// use hosewright::heat::exchanger::{Arrangement, effectiveness};
/// assert!((effectiveness(Arrangement::Counterflow, 5.0, 0.7)? - 0.920_670_368_605).abs() < 1e-12);
/// assert!((effectiveness(Arrangement::Crossflow, 5.0, 0.7)? - 0.844_482_179_97).abs() < 1e-10);
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::OutOfRange`].
pub fn effectiveness(
    arrangement: Arrangement,
    transfer_units: f64,
    capacity_ratio: f64,
) -> Result<f64, HeatError> {
    let units = within("the number of transfer units", transfer_units, 0.0, TRANSFER_UNITS_UP_TO)?;
    let ratio = checked_ratio(arrangement, capacity_ratio)?;
    Ok(effectiveness_unchecked(arrangement, units, ratio).clamp(0.0, 1.0))
}

fn checked_ratio(arrangement: Arrangement, capacity_ratio: f64) -> Result<f64, HeatError> {
    let most = if arrangement == Arrangement::OneUnchanging { 0.0 } else { 1.0 };
    within("the ratio of the capacity flows", capacity_ratio, 0.0, most)
}

fn effectiveness_unchecked(arrangement: Arrangement, units: f64, ratio: f64) -> f64 {
    match arrangement {
        Arrangement::Counterflow => {
            let rest = 1.0 - ratio;
            if rest == 0.0 {
                return units / (1.0 + units);
            }
            let spent = -libm::expm1(-units * rest);
            spent / (rest + ratio * spent)
        }
        Arrangement::Parallel => -libm::expm1(-units * (1.0 + ratio)) / (1.0 + ratio),
        Arrangement::Crossflow => crossflow(units, ratio),
        Arrangement::OneShellPass => {
            let root = (1.0 + ratio * ratio).sqrt();
            let spent = -libm::expm1(-units * root);
            2.0 * spent / ((1.0 + ratio) * spent + root * (2.0 - spent))
        }
        Arrangement::OneUnchanging => -libm::expm1(-units),
    }
}

/// Mason's series, summed from its small end so that nothing is lost by subtraction.
fn crossflow(units: f64, ratio: f64) -> f64 {
    let other = ratio * units;
    // Chances of exactly n, and, for the other stream, of exactly n over its mean.
    let (mut chances, mut shares) = ([0.0; CROSSFLOW_TERMS], [0.0; CROSSFLOW_TERMS]);
    let (mut chance, mut share) = (libm::exp(-units), libm::exp(-other));
    let mut count = 0.0;
    for (at, place) in chances.iter_mut().zip(&mut shares) {
        count += 1.0;
        chance *= units / count;
        share /= count;
        (*at, *place) = (chance, share);
        share *= other;
    }
    let (mut reached, mut reached_share, mut sum) = (0.0, 0.0, 0.0);
    for (at, place) in chances.iter().zip(&shares).rev() {
        reached += at;
        reached_share += place;
        sum += reached * reached_share;
    }
    sum
}

/// Transfer units that an effectiveness needs.
///
/// # What it gives
/// The number of transfer units NTU, 0 to 100.
///
/// # Formula
/// The closed inverses of [`effectiveness`]: with r the ratio,
/// counterflow ln(1 + ε (1 - r)/(1 - ε))/(1 - r), and ε/(1 - ε) at r = 1;
/// parallel -ln(1 - ε (1 + r))/(1 + r);
/// one shell pass ln(1 + 2/(E - 1))/x, E = (2/ε - 1 - r)/x;
/// one unchanging -ln(1 - ε). Crossflow has none: the bracket 0 to 100 is halved to the last digit.
///
/// # Valid for
/// `effectiveness` from 0 to less than the arrangement reaches with 100 transfer units; the ratio as there.
///
/// # Source
/// As [`effectiveness`].
///
/// # Notes
/// Close to what an arrangement can reach, a small error of the effectiveness is a large one here.
///
/// ```
/// use hosewright::heat::exchanger::{Arrangement, transfer_units};
/// assert!((transfer_units(Arrangement::Counterflow, 0.9, 1.0)? - 9.0).abs() < 1e-12);
/// assert!(transfer_units(Arrangement::Parallel, 0.6, 1.0).is_err());
/// # Ok::<(), hosewright::heat::HeatError>(())
/// ```
///
/// # Errors
/// [`HeatError::NotFinite`], [`HeatError::OutOfRange`]; [`HeatError::OutOfReach`] when no surface is enough.
pub fn transfer_units(
    arrangement: Arrangement,
    effectiveness: f64,
    capacity_ratio: f64,
) -> Result<f64, HeatError> {
    let wanted = within("the effectiveness", effectiveness, 0.0, 1.0)?;
    let ratio = checked_ratio(arrangement, capacity_ratio)?;
    let most = effectiveness_unchecked(arrangement, TRANSFER_UNITS_UP_TO, ratio);
    if wanted >= most {
        return Err(HeatError::OutOfReach { given: wanted, most });
    }
    let units = match arrangement {
        Arrangement::Counterflow => {
            let rest = 1.0 - ratio;
            let gain = wanted / (1.0 - wanted);
            if rest == 0.0 { gain } else { libm::log1p(gain * rest) / rest }
        }
        Arrangement::Parallel => -libm::log1p(-wanted * (1.0 + ratio)) / (1.0 + ratio),
        Arrangement::Crossflow => crossflow_units(wanted, ratio),
        Arrangement::OneShellPass => {
            let root = (1.0 + ratio * ratio).sqrt();
            // 2/(E - 1) with E of the formula above, so that an effectiveness of zero needs no division by it.
            let rise = 2.0 * root * wanted / (2.0 - wanted * (1.0 + ratio + root));
            libm::log1p(rise) / root
        }
        Arrangement::OneUnchanging => -libm::log1p(-wanted),
    };
    // At the very edge of reach rounding may carry the logarithm past the end, or to no number at all.
    Ok(units.min(TRANSFER_UNITS_UP_TO))
}

fn crossflow_units(wanted: f64, ratio: f64) -> f64 {
    let (mut low, mut high) = (0.0, TRANSFER_UNITS_UP_TO);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if crossflow(middle, ratio) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
