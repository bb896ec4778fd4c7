//! What each `call` of a case asks of the kernels: straight lines, friction, fittings, valves and curves.

use super::problems;
use super::si::Given;
use hosewright::hydraulics::darcy_weisbach::{
    Liquid, Straight, bore_for_velocity_m, drop_pa, hagen_poiseuille_pa, hydraulic_diameter_m,
    straight_loss,
};
use hosewright::hydraulics::friction::{self, Regime};
use hosewright::hydraulics::reynolds::{area_m2, reynolds, velocity_m_s};
use hosewright::hydraulics::{bend, curved, loss, sizing, valve};
use std::error::Error;

pub(super) type Answer = Result<f64, Box<dyn Error>>;

/// Standard gravity, for the problems that do not print their own.
pub(super) const STANDARD_GRAVITY: f64 = 9.806_65;

pub(super) fn answer(call: &str, given: &Given, quantity: &str) -> Answer {
    match call {
        "straight line" => straight_line(given, quantity),
        "flow for drop" => flow_for_drop(given, quantity),
        "friction" => {
            Ok(friction::darcy(given.get("reynolds")?, given.get("rel_roughness")?)?.factor)
        }
        "annulus" => annulus(given),
        "valve by K" => valve_by_k(given, quantity),
        "valve by Kv" => valve_by_kv(given, quantity),
        "two constants" => two_constants(given, quantity),
        "bend" => whole_bend(given),
        "orifice" => orifice(given, quantity),
        "bore for velocity" => {
            Ok(bore_for_velocity_m(given.get("flow")?, given.get("velocity_limit")?)?)
        }
        "White" | "Schmidt laminar" | "Schmidt turbulent" => coil(call, given, quantity),
        "coil transition" => transition(given, quantity),
        other => problems::answer(other, given, quantity),
    }
}

/// A case asks for something its call does not give: a slip in a data file.
pub(super) fn no(quantity: &str) -> Answer {
    Err(format!("the call does not give `{quantity}`").into())
}

/// Density, from what the problem gives.
pub(super) fn density(given: &Given) -> f64 {
    given.may("rho").unwrap_or_else(|| {
        given.may("specific_weight").map_or(1000.0 * given.or("specific_gravity", 1.0), |weight| {
            weight / given.or("g", STANDARD_GRAVITY)
        })
    })
}

/// Dynamic viscosity, from what the problem gives.
pub(super) fn viscosity(given: &Given) -> Answer {
    match given.may("mu") {
        Some(viscosity) => Ok(viscosity),
        None => Ok(given.get("kinematic_viscosity")? * density(given)),
    }
}

pub(super) fn liquid(given: &Given) -> Result<Liquid, Box<dyn Error>> {
    Ok(Liquid { density_kg_m3: density(given), viscosity_pa_s: viscosity(given)? })
}

pub(super) fn run(given: &Given) -> Result<Straight, Box<dyn Error>> {
    Ok(Straight {
        bore_m: given.get("diameter")?,
        length_m: given.or("length", 1.0),
        roughness_m: given.or("roughness", 0.0),
        loss_sum: 0.0,
    })
}

fn flow(given: &Given) -> Answer {
    if let Some(flow) = given.may("flow") {
        return Ok(flow);
    }
    let velocity = match given.may("velocity") {
        Some(velocity) => velocity,
        None => 0.5 * given.get("centreline_velocity")?,
    };
    Ok(velocity * area_m2(given.get("diameter")?)?)
}

fn straight_line(given: &Given, quantity: &str) -> Answer {
    let (run, liquid, flow) = (run(given)?, liquid(given)?, flow(given)?);
    let loss = straight_loss(&run, &liquid, flow)?;
    let printed = given.may("fanning_f").map(|fanning| 4.0 * fanning);
    let rho = liquid.density_kg_m3;
    let friction = loss.friction.ok_or("the line does not flow")?;
    let dp = match printed {
        Some(f) => drop_pa(f, run.length_m, run.bore_m, rho, loss.velocity_m_s)?,
        None if friction.regime == Regime::Laminar => {
            hagen_poiseuille_pa(liquid.viscosity_pa_s, run.length_m, flow, run.bore_m)?
        }
        None => loss.drop_pa,
    };
    let head = dp / (rho * given.or("g", STANDARD_GRAVITY));
    Ok(match quantity {
        "mean_velocity" => loss.velocity_m_s,
        "reynolds" => loss.reynolds,
        "darcy_f" => friction.factor,
        "pressure_drop" => dp,
        "pressure_gradient" => dp / run.length_m,
        "friction_loss" => dp / rho,
        "head_loss" => head,
        "total_head" => head + given.get("elevation")?,
        "power" | "pumping_power" => {
            let lift = given.or("elevation", 0.0) * rho * STANDARD_GRAVITY;
            (dp + lift) * flow / given.or("efficiency", 1.0)
        }
        "critical_flow" => flow * given.get("re_critical")? / loss.reynolds,
        other => return no(other),
    })
}

fn flow_for_drop(given: &Given, quantity: &str) -> Answer {
    let liquid = liquid(given)?;
    let drop = match given.may("pressure_drop") {
        Some(drop) => drop,
        None => given.get("head_loss")? * liquid.density_kg_m3 * given.or("g", STANDARD_GRAVITY),
    };
    let found = sizing::flow_for_drop(&run(given)?, &liquid, drop)?;
    // The search closes its bracket to 1e-12 of the flow, so the loss is met to about twice that.
    assert!(found.residual_pa.abs() <= 1e-11 * drop);
    Ok(match quantity {
        "flow" => found.flow_m3_s,
        "reynolds" => found.loss.reynolds,
        other => return no(other),
    })
}

fn annulus(given: &Given) -> Answer {
    let (outer, inner) = (given.get("outer_diameter")?, given.get("inner_diameter")?);
    let area = area_m2(outer)? - area_m2(inner)?;
    let wetted = core::f64::consts::PI * (outer + inner);
    let bore = hydraulic_diameter_m(area, wetted)?;
    let velocity = given.get("flow")? / area;
    Ok(drop_pa(4.0 * given.get("fanning_f")?, 1.0, bore, given.get("rho")?, velocity)?)
}

fn valve_by_k(given: &Given, quantity: &str) -> Answer {
    let bore = given.get("diameter")?;
    let velocity = velocity_m_s(given.get("flow")?, bore)?;
    let k = given.get("K_globe")?;
    if quantity == "head_loss" {
        let rho = density(given);
        return Ok(loss::loss_pa(k, rho, velocity)? / (rho * given.get("g")?));
    }
    let re = reynolds(velocity, bore, given.get("kinematic_viscosity")?)?;
    Ok(loss::equivalent_length_m(k, bore, friction::laminar(re)?)?)
}

fn valve_by_kv(given: &Given, quantity: &str) -> Answer {
    let bore = given.get("diameter")?;
    let k = valve::k_from_kv(given.get("Kv")?, bore)?;
    let length = loss::equivalent_length_m(k, bore, given.get("darcy_f_turbulent")?)?;
    Ok(match quantity {
        "K" => k,
        "L_over_D" => length / bore,
        "length" => length,
        other => return no(other),
    })
}

fn two_constants(given: &Given, quantity: &str) -> Answer {
    let which = if quantity == "K_globe" {
        ("K1_globe_standard", "Kinf_globe_standard")
    } else {
        ("K1_user", "Kinf_user")
    };
    let bore_in = given.get("diameter_actual")? / 0.0254;
    Ok(loss::two_k(given.get(which.0)?, given.get(which.1)?, given.get("reynolds")?, bore_in)?)
}

/// K of a bend with the friction of its arc, as charts print it.
fn whole_bend(given: &Given) -> Answer {
    let (bore, angle, ratio) =
        (given.get("diameter")?, given.get("angle")?, given.get("r_over_d")?);
    let re = reynolds(given.get("velocity")?, bore, given.get("kinematic_viscosity")?)?;
    let f = friction::darcy(re, given.get("roughness")? / bore)?.factor;
    Ok(bend::bend_loss(re, f, angle, ratio * bore, bore)? + f * angle * ratio)
}

fn orifice(given: &Given, quantity: &str) -> Answer {
    let rho = given.get("rho")?;
    let drop = (given.get("rho_mercury")? - rho) * given.get("g")? * given.get("mercury_head")?;
    let (hole, pipe) = (given.get("orifice")?, given.get("pipe")?);
    let flow = valve::orifice_flow_m3_s(given.get("Cd")?, hole, pipe, drop, rho)?;
    Ok(match quantity {
        "pressure_difference" => drop,
        "flow" => flow,
        "velocity" => velocity_m_s(flow, pipe)?,
        other => return no(other),
    })
}

fn coil(call: &str, given: &Given, quantity: &str) -> Answer {
    let (re, bore, wide) = (given.get("reynolds")?, given.get("d")?, given.get("coil_diameter")?);
    let de = curved::dean(re, bore, wide)?;
    if quantity == "dean" {
        return Ok(de);
    }
    let straight = friction::darcy(re, given.or("roughness", 0.0) / bore)?.factor;
    Ok(straight
        * match call {
            "White" => curved::laminar_ratio(de)?,
            "Schmidt laminar" => curved::schmidt_laminar_ratio(re, bore, wide)?,
            _ => curved::schmidt_turbulent_ratio(re, bore, wide)?,
        })
}

fn transition(given: &Given, quantity: &str) -> Answer {
    let at = curved::coil_transition(given.get("d_over_D")?, 1.0)?;
    Ok(match quantity {
        "Re_crit_Ito" => at.ito.ok_or("the coil is outside Ito's range")?,
        "Re_crit_Schmidt" => at.schmidt,
        "Re_crit_Seth_Stahel" => at.seth_stahel,
        other => return no(other),
    })
}
