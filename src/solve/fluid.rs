//! Density, viscosity, vapour pressure and stiffness of a fluid at a temperature.

use crate::curve::Curve;
use crate::heat::oil;
use crate::hydraulics::darcy_weisbach::Liquid;
use crate::hydraulics::vapour;
use crate::hydraulics::viscosity::Walther;
use crate::hydraulics::volume_correction::{PetroleumGroup, density_kg_m3};
use crate::source::Cite;
use crate::table::fluid::{Fluid, FluidLaw, FluidPoint, FuelVapour};
use crate::units::{KinematicViscosity, Quantity, Temperature};

/// Density of water that specific gravities of petroleum refer to, at 15.6 degC, kg/m3 (60 degF; quoted in
/// petroleum tables, standing from-memory).
const WATER_KG_M3: f64 = 999.016;

/// A fluid at one temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pa_s: f64,
    /// Vapour pressure, Pa absolute, where it is known.
    pub vapour_pa: Option<f64>,
    /// Adiabatic bulk modulus, Pa, where it is known.
    pub bulk_modulus_pa: Option<f64>,
    /// Specific heat, J/(kg K), where it is known.
    pub specific_heat_j_kg_k: Option<f64>,
    /// Where the figures come from.
    pub cite: Cite,
}

/// The state of a fluid at a temperature.
///
/// # Errors
/// In words: outside the range of the figures, or no figures at all.
pub fn state(fluid: &Fluid, temperature: Temperature) -> Result<State, String> {
    let kelvin = temperature.si();
    let mut state = plain(liquid(fluid, temperature)?, fluid);
    match &fluid.law {
        FluidLaw::Points(points) => from_points(points, kelvin, &mut state),
        FluidLaw::TwoViscosities { density15, .. } => {
            let specific_gravity = density15.si() / WATER_KG_M3;
            state.specific_heat_j_kg_k = oil::specific_heat_j_kg_k(specific_gravity, kelvin).ok();
        }
        FluidLaw::Fuel { vapour, .. } => state.vapour_pa = fuel_vapour(vapour, kelvin)?,
        FluidLaw::Unknown => {}
    }
    let own_bulk = fluid.bulk_modulus.as_ref().map(|b| b.value.si());
    state.bulk_modulus_pa = own_bulk.or(state.bulk_modulus_pa);
    Ok(state)
}

/// Density and viscosity of a fluid at a temperature, as in its state.
///
/// # Errors
/// As [`state`].
pub fn liquid(fluid: &Fluid, temperature: Temperature) -> Result<Liquid, String> {
    let kelvin = temperature.si();
    in_range(fluid, kelvin)?;
    let (density_kg_m3, viscosity_pa_s) = match &fluid.law {
        FluidLaw::Points(points) => {
            let at = Points::new(points, kelvin);
            let of =
                at.read(&|p| Some(p.density.si())).zip(at.read_log(&|p| Some(p.viscosity.si())));
            of.ok_or("the fluid has too few points")?
        }
        FluidLaw::TwoViscosities { kv40, kv100, density15 } => {
            let density = volume_corrected(PetroleumGroup::Lubricating, density15.si(), kelvin)?;
            let pairs = [(313.15, kv40.si()), (373.15, kv100.si())];
            (density, walther(&pairs, kelvin)? * density)
        }
        FluidLaw::Fuel { density15, group, viscosity, .. } => {
            let density = volume_corrected(petroleum_group(group)?, density15.si(), kelvin)?;
            (density, fuel_viscosity(viscosity, kelvin)? * density)
        }
        FluidLaw::Unknown => return Err(format!("no properties are known for {}", fluid.label)),
    };
    Ok(Liquid { density_kg_m3, viscosity_pa_s })
}

fn plain(liquid: Liquid, fluid: &Fluid) -> State {
    State {
        density_kg_m3: liquid.density_kg_m3,
        viscosity_pa_s: liquid.viscosity_pa_s,
        vapour_pa: None,
        bulk_modulus_pa: None,
        specific_heat_j_kg_k: None,
        cite: fluid.cite.clone(),
    }
}

fn in_range(fluid: &Fluid, kelvin: f64) -> Result<(), String> {
    let Some((low, high)) = fluid.range else {
        return Ok(());
    };
    if kelvin >= low.si() - 1e-9 && kelvin <= high.si() + 1e-9 {
        return Ok(());
    }
    let celsius = |k: f64| k - 273.15;
    Err(format!(
        "the figures of {} run from {:.0} degC to {:.0} degC, and not to {:.0} degC",
        fluid.label,
        celsius(low.si()),
        celsius(high.si()),
        celsius(kelvin)
    ))
}

/// What the points say besides density and viscosity.
fn from_points(points: &[FluidPoint], kelvin: f64, state: &mut State) {
    let at = Points::new(points, kelvin);
    state.vapour_pa = at.read_log(&|p| p.vapour.map(Quantity::si));
    state.bulk_modulus_pa = at.read(&|p| p.bulk_modulus.map(Quantity::si));
    state.specific_heat_j_kg_k = at.read(&|p| p.specific_heat.map(Quantity::si));
}

/// Points of a fluid read at a temperature between the first and the last of them.
struct Points<'f> {
    points: &'f [FluidPoint],
    kelvin: f64,
}

impl<'f> Points<'f> {
    fn new(points: &'f [FluidPoint], kelvin: f64) -> Self {
        let low = points.first().map_or(kelvin, |p| p.temperature.si());
        let high = points.last().map_or(kelvin, |p| p.temperature.si());
        Self { points, kelvin: kelvin.clamp(low, high) }
    }

    /// On a monotone curve against T; none outside the points that have the property.
    fn read(&self, y: &dyn Fn(&FluidPoint) -> Option<f64>) -> Option<f64> {
        self.on_curve(|kelvin| kelvin, |value| value, y)
    }

    /// Its logarithm on a monotone curve against 1/T.
    fn read_log(&self, y: &dyn Fn(&FluidPoint) -> Option<f64>) -> Option<f64> {
        self.on_curve(|kelvin| -1.0 / kelvin, libm::log, y).map(libm::exp)
    }

    /// The curve between two points knows no more than one point beyond either, so it is drawn through these four
    /// alone: this is asked some thousand times for one machine.
    fn on_curve(
        &self,
        x: impl Fn(f64) -> f64,
        drawn: impl Fn(f64) -> f64,
        y: &dyn Fn(&FluidPoint) -> Option<f64>,
    ) -> Option<f64> {
        let pair = |p: &FluidPoint| Some((x(p.temperature.si()), y(p)?));
        let known: Vec<(f64, f64)> = self.points.iter().filter_map(pair).collect();
        let at = x(self.kelvin);
        if let [(only, value)] = known[..] {
            // One measured state holds at its own temperature and nowhere else.
            return ((at - only).abs() < 1e-9).then(|| drawn(value));
        }
        let ((low, _), (high, _)) = (known.first()?, known.last()?);
        if !(at >= *low && at <= *high) {
            return None;
        }
        let last = known.len() - 1;
        let from = known.partition_point(|p| p.0 <= at).saturating_sub(1).min(last - 1);
        let near = &known[from.saturating_sub(1)..=(from + 2).min(last)];
        Curve::new(near.iter().map(|(x, y)| (*x, drawn(*y))).collect()).ok()?.monotone(at).ok()
    }
}

fn volume_corrected(group: PetroleumGroup, density15: f64, kelvin: f64) -> Result<f64, String> {
    density_kg_m3(group, density15, kelvin).map_err(|e| e.to_string())
}

fn petroleum_group(word: &str) -> Result<PetroleumGroup, String> {
    Ok(match word {
        "gasoline" => PetroleumGroup::Gasoline,
        "transition" => PetroleumGroup::Transition,
        "jet" => PetroleumGroup::Jet,
        "fuel-oil" => PetroleumGroup::FuelOil,
        "crude" => PetroleumGroup::Crude,
        "lubricating" => PetroleumGroup::Lubricating,
        other => return Err(format!("density group {other} is not known")),
    })
}

/// Kinematic viscosity, m2/s, by the two-point law through the two states `(K, m2/s)`.
fn walther(pairs: &[(f64, f64); 2], kelvin: f64) -> Result<f64, String> {
    let [one, two] = pairs.map(|(k, nu)| (k, nu * 1e6));
    let law = Walther::through(one, two).map_err(|e| e.to_string())?;
    law.viscosity_mm2_s(kelvin).map(|nu| nu * 1e-6).map_err(|e| e.to_string())
}

/// The two-point law through the neighbouring points; beyond the last one, through the last two.
fn fuel_viscosity(
    points: &[(Temperature, KinematicViscosity)],
    kelvin: f64,
) -> Result<f64, String> {
    if points.len() < 2 {
        return Err("the fuel has fewer than two viscosity points".into());
    }
    let after = points.partition_point(|(t, _)| t.si() <= kelvin);
    let first = after.saturating_sub(1).min(points.len() - 2);
    let pair = |i: usize| (points[i].0.si(), points[i].1.si());
    walther(&[pair(first), pair(first + 1)], kelvin)
}

fn fuel_vapour(vapour: &FuelVapour, kelvin: f64) -> Result<Option<f64>, String> {
    const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);
    let text = |e: crate::hydraulics::HydraulicsError| e.to_string();
    Ok(match vapour {
        FuelVapour::Reid { reid, slope } => {
            Some(vapour::gasoline_pa(reid.value.si() / PSI_PA, slope.value, kelvin).map_err(text)?)
        }
        FuelVapour::TwoConstant { a, b } => {
            let line = vapour::VapourLine { a: a.value, b: b.value };
            Some(line.pressure_pa(kelvin).map_err(text)?)
        }
        FuelVapour::Points(points) => {
            let pairs = points.iter().map(|(t, p)| (-1.0 / t.si(), libm::log(p.si()))).collect();
            let curve = Curve::new(pairs).map_err(|e| e.to_string())?;
            curve.linear(-1.0 / kelvin).ok().map(libm::exp)
        }
        FuelVapour::Unknown => None,
    })
}
