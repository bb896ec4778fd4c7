//! Published problems that join several kernels: levels, siphons, pump inlets and closing valves.

use super::calls::{Answer, STANDARD_GRAVITY, density, liquid, no, run};

use super::si::Given;
use super::unsteady;
use hosewright::hydraulics::darcy_weisbach::{
    Liquid, Straight, drop_pa, straight_loss, velocity_for_drop_m_s,
};
use hosewright::hydraulics::loss::loss_pa;
use hosewright::hydraulics::npsh::npsh_available_m;
use hosewright::hydraulics::reynolds::{area_m2, kinematic_m2_s, reynolds, velocity_m_s};
use hosewright::hydraulics::surge::{
    ElasticWall, closure_surge_pa, joukowsky_pa, return_time_s, wave_speed_elastic_m_s,
    wave_speed_rigid_m_s,
};

pub(super) fn answer(call: &str, given: &Given, quantity: &str) -> Answer {
    match call {
        "gradual expansion" => gradual_expansion(given, quantity),
        "between reservoirs" => between_reservoirs(given, quantity),
        "pump to motor" => pump_to_motor(given),
        "two bores, free" => two_bores_free(given),
        "two bores, level" => two_bores_level(given),
        "feed under pressure" => feed_under_pressure(given, quantity),
        "free discharge" => free_discharge(given),
        "siphon" => siphon(given, quantity),
        "summit" => summit(given, quantity),
        "highest pump" => highest_pump(given),
        "suction lift" => suction_lift(given, quantity),
        "flooded suction" => flooded_suction(given),
        "closing valve" => closing_valve(given, quantity),
        "rigid wave" => Ok(wave_speed_rigid_m_s(given.get("K")?, given.get("rho")?)?),
        "elastic surge" => elastic_surge(given, quantity),
        other => unsteady::answer(other, given, quantity),
    }
}

fn gradual_expansion(given: &Given, quantity: &str) -> Answer {
    let (rho, v1) = (given.get("rho")?, given.get("v1")?);
    let lost = loss_pa(given.get("K_on_v1")?, rho, v1)?;
    if quantity == "head_loss" {
        return Ok(lost / (rho * given.get("g")?));
    }
    let v2 = velocity_m_s(v1 * area_m2(given.get("d1")?)?, given.get("d2")?)?;
    let regained = 0.5 * rho * given.get("alpha")? * (v1 * v1 - v2 * v2);
    Ok(given.get("p1")? + regained - lost)
}

fn between_reservoirs(given: &Given, quantity: &str) -> Answer {
    let local = given.get("K_entrance")?
        + given.get("n_elbow")? * given.get("K_elbow")?
        + given.get("K_valve")?
        + given.get("K_exit")?;
    let line = Straight { loss_sum: local, ..run(given)? };
    let loss = straight_loss(&line, &liquid(given)?, given.get("flow")?)?;
    Ok(match quantity {
        "darcy_f" => loss.friction.ok_or("the line does not flow")?.factor,
        "z1" => given.get("z2")? + loss.drop_pa / (density(given) * given.get("g")?),
        other => return no(other),
    })
}

/// Pressure behind a pump of known power, less the line's losses and the rise.
fn pump_to_motor(given: &Given) -> Answer {
    let weight = given.get("specific_gravity")? * given.get("water_specific_weight")?;
    let rho = weight / given.get("g")?;
    let line = Straight {
        length_m: given.get("pipe_length")?,
        loss_sum: given.get("K_elbow")?,
        ..run(given)?
    };
    let oil =
        Liquid { density_kg_m3: rho, viscosity_pa_s: given.get("kinematic_viscosity")? * rho };
    let loss = straight_loss(&line, &oil, given.get("flow")?)?;
    // From the still tank to the static pressure in the line, so the velocity head is paid too.
    let lost = loss.drop_pa + loss_pa(1.0, rho, loss.velocity_m_s)?;
    Ok(given.get("pump_power")? / given.get("flow")? - lost - weight * given.get("rise")?)
}

/// Flow of a tank through two bores in series, by halving: the losses of both add up to the head.
fn two_bores_free(given: &Given) -> Answer {
    let (wide, narrow) = (given.get("d1")?, given.get("d2")?);
    let turbulent = given.get("f_T_3in")?;
    let on_wide = given.get("K_entrance")?
        + turbulent * (given.get("L_over_D_mitre90")? + given.get("L_over_D_gate")?);
    let beta = narrow / wide;
    let on_narrow = 0.5 * (1.0 - beta * beta) + given.get("K_exit_on_small")?;
    let roughness_m = given.get("roughness")?;
    let part = |bore_m, length_m, loss_sum| Straight { bore_m, length_m, roughness_m, loss_sum };
    let first = part(wide, given.get("L1")?, on_wide);
    let second = part(narrow, given.get("L2")?, on_narrow);
    let head = given.get("head")? * given.get("rho")? * STANDARD_GRAVITY;
    let water = liquid(given)?;
    let (mut low, mut high) = (1e-4, 1e-1);
    for _ in 0..60 {
        let flow = 0.5 * (low + high);
        let lost = straight_loss(&first, &water, flow)?.drop_pa
            + straight_loss(&second, &water, flow)?.drop_pa;
        if lost < head {
            low = flow;
        } else {
            high = flow;
        }
    }
    Ok(low)
}

fn two_bores_level(given: &Given) -> Answer {
    let flow = given.get("flow")?;
    let (wide, narrow) = (given.get("area_4in")?, given.get("area_2in")?);
    let (slow, fast) = (flow / wide, flow / narrow);
    // Heads come out the same for any density; water's is taken.
    let rho = 1000.0;
    let friction = |f: &str, l: &str, d: &str, v| -> Answer {
        let (f, length, bore) = (4.0 * given.get(f)?, given.get(l)?, given.get(d)?);
        Ok(drop_pa(f, length, bore, rho, v)?)
    };
    let elbow = given.get("K_elbow")?;
    let on_wide = given.get("K_tank_exit")? + given.get("n_elbow_4in")? * elbow;
    let on_narrow = 0.55 * (1.0 - narrow / wide) + given.get("n_elbow_2in")? * elbow + 1.0;
    let lost = friction("fanning_f_4in", "L_4in", "d_4in", slow)?
        + friction("fanning_f_2in", "L_2in", "d_2in", fast)?
        + loss_pa(on_wide, rho, slow)?
        + loss_pa(on_narrow, rho, fast)?;
    Ok(lost / (rho * given.get("g")?))
}

fn feed_under_pressure(given: &Given, quantity: &str) -> Answer {
    let (rho, bore) = (given.get("rho")?, given.get("diameter")?);
    let velocity = velocity_m_s(given.get("mass_flow")? / rho, bore)?;
    if quantity == "reynolds" {
        return Ok(reynolds(velocity, bore, kinematic_m2_s(given.get("mu")?, rho)?)?);
    }
    let f = 4.0 * given.get("fanning_f")?;
    let local = given.get("sum_K")? + given.get("velocity_head_at_exit")?;
    let lost =
        drop_pa(f, given.get("length")?, bore, rho, velocity)? + loss_pa(local, rho, velocity)?;
    Ok((given.get("back_pressure")? + lost) / (rho * given.get("g")?))
}

fn free_discharge(given: &Given) -> Answer {
    let bore = given.get("diameter")?;
    let sum = given.get("K_entrance")? + given.get("darcy_f")? * given.get("length")? / bore + 1.0;
    let rho = 1000.0;
    let velocity = velocity_for_drop_m_s(rho * given.get("g")? * given.get("head")?, rho, sum)?;
    Ok(velocity * area_m2(bore)?)
}

fn siphon(given: &Given, quantity: &str) -> Answer {
    let (rho, g, bore) = (given.get("rho")?, given.get("g")?, given.get("diameter")?);
    let f = 4.0 * given.get("fanning_f")?;
    let sum = given.get("sum_K_plus_exit")? + f * (given.get("L1")? + given.get("L2")?) / bore;
    let velocity = velocity_for_drop_m_s(rho * g * given.get("drop")?, rho, sum)?;
    if quantity == "velocity" {
        return Ok(velocity);
    }
    // The sum holds the outlet's velocity head, which the crest carries as kinetic energy instead.
    let before_crest = drop_pa(f, given.get("L1")?, bore, rho, velocity)?
        + loss_pa(given.get("sum_K_plus_exit")?, rho, velocity)?;
    Ok(-rho * g * given.get("rise_to_crest")? - before_crest)
}

fn summit(given: &Given, quantity: &str) -> Answer {
    let (weight, g, bore) =
        (given.get("specific_weight")?, given.get("g")?, given.get("diameter")?);
    let rho = weight / g;
    let f = given.get("darcy_f")?;
    let to_summit = given.get("length_to_summit")?;
    let above =
        given.get("atmospheric_head")? + given.get("z_upstream")? - given.get("z_summit")?;
    if quantity == "summit_pressure_abs" {
        let whole = f * given.get("length")? / bore;
        let velocity = velocity_for_drop_m_s(weight * given.get("head")?, rho, whole)?;
        let lost = drop_pa(f, to_summit, bore, rho, velocity)? + loss_pa(1.0, rho, velocity)?;
        return Ok(weight * above - lost);
    }
    let left = weight * above - given.get("limit_pressure_abs")?;
    let velocity = velocity_for_drop_m_s(left, rho, 1.0 + f * to_summit / bore)?;
    Ok(velocity * area_m2(bore)?)
}

fn highest_pump(given: &Given) -> Answer {
    let g = given.get("g")?;
    let rho = given.get("specific_weight")? / g;
    let velocity = velocity_m_s(given.get("flow")?, given.get("diameter")?)?;
    let lost = loss_pa(given.get("sum_K")?, rho, velocity)?;
    let at_level =
        npsh_available_m(given.get("patm")?, given.get("vapour_pressure")?, rho, 0.0, lost, g)?;
    Ok(at_level - given.get("NPSH_required")?)
}

fn suction_lift(given: &Given, quantity: &str) -> Answer {
    let (rho, g, lift) = (given.get("rho")?, given.get("g")?, given.get("lift")?);
    let velocity = velocity_m_s(given.get("flow")?, given.get("diameter")?)?;
    let kinetic = loss_pa(1.0, rho, velocity)?;
    let (surface, vapour) = (given.get("patm")?, given.get("vapour_pressure")?);
    Ok(match quantity {
        "velocity_head" => kinetic / (rho * g),
        "suction_pressure_abs" => surface - rho * g * lift - kinetic,
        "NPSH_available" => npsh_available_m(surface, vapour, rho, -lift, 0.0, g)?,
        other => return no(other),
    })
}

fn flooded_suction(given: &Given) -> Answer {
    let (rho, g, bore) = (given.get("rho")?, given.get("g")?, given.get("diameter")?);
    // The source counts 7.48 gallons to the cubic foot; the exact gallon is 1728/231 to it.
    let flow = given.get("flow")? * (1728.0 / 231.0) / given.get("gal_per_ft3")?;
    let velocity = velocity_m_s(flow, bore)?;
    let f = given.get("darcy_f")?;
    let fittings = given.get("LD_elbow")? + given.get("LD_gate")?;
    let lost = drop_pa(f, given.get("length")?, bore, rho, velocity)?
        + loss_pa(given.get("K_entrance")? + f * fittings, rho, velocity)?;
    let vapour = rho * g * given.get("vapour_head")?;
    let level = given.get("level_above_pump")?;
    Ok(npsh_available_m(given.get("patm")?, vapour, rho, level, lost, g)?)
}

fn closing_valve(given: &Given, quantity: &str) -> Answer {
    let (rho, c, bore) = (given.get("rho")?, given.get("celerity")?, given.get("diameter")?);
    let full = velocity_m_s(given.get("flow")?, bore)?;
    match quantity {
        "instant" => Ok(joukowsky_pa(rho, c, full)?),
        "slow_closure" => {
            let length = 0.5 * given.get("reflection_distance_x2")?;
            Ok(closure_surge_pa(rho, c, full, length, given.get("closure_time_slow")?)?)
        }
        _ => {
            let left = velocity_m_s(given.get("flow_after_partial")?, bore)?;
            Ok(joukowsky_pa(rho, c, full - left)?)
        }
    }
}

fn elastic_surge(given: &Given, quantity: &str) -> Answer {
    let (bulk, rho) = (given.get("K")?, given.get("rho")?);
    let wall = ElasticWall {
        bore_m: given.or("D", given.or("D_over_t", 1.0)),
        wall_m: given.or("t", 1.0),
        modulus_pa: given.get("E")?,
        restraint: 1.0,
    };
    let c = if quantity == "rigid" {
        wave_speed_rigid_m_s(bulk, rho)?
    } else {
        wave_speed_elastic_m_s(bulk, rho, &wall)?
    };
    let change = given.or("velocity", given.or("velocity_change", 0.0));
    Ok(match quantity {
        "head_rise" => joukowsky_pa(rho, c, change)? / (rho * given.get("g")?),
        "rigid" | "elastic" | "instant" => joukowsky_pa(rho, c, change)?,
        "critical_time" => return_time_s(given.get("length")?, c)?,
        "slow" => {
            closure_surge_pa(rho, c, change, given.get("length")?, given.get("closure_time")?)?
        }
        other => return no(other),
    })
}
