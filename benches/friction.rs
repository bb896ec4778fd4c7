//! Speed of the friction solve, as a ratio to one logarithm and one square root in the same run.

mod row;

use hosewright::hydraulics::friction::{darcy_colebrook, darcy_colebrook_batch};
use std::hint::black_box;
use std::time::Instant;

/// Pairs per pass; together with the results they stay in the inner caches.
const PAIRS: u32 = 1024;
/// Passes per timed stretch, long enough for the clock.
const PASSES: u32 = 200;
/// Stretches, of which the median counts.
const STRETCHES: usize = 31;

fn main() {
    let (reynolds, ratios) = pairs();
    let mut out = vec![0.0; reynolds.len()];
    let scan = |out: &mut [f64], one: &dyn Fn(f64, f64) -> f64| {
        for (place, (&re, &ratio)) in out.iter_mut().zip(reynolds.iter().zip(&ratios)) {
            *place = one(re, ratio);
        }
    };
    let floor = median_ns(|| {
        for (place, &re) in out.iter_mut().zip(&reynolds) {
            *place = libm::log(re) + re.sqrt();
        }
        black_box(&mut out);
    });
    let system_floor = median_ns(|| {
        for (place, &re) in out.iter_mut().zip(&reynolds) {
            *place = system_logarithm(re) + re.sqrt();
        }
        black_box(&mut out);
    });
    let single = median_ns(|| {
        scan(&mut out, &|re, ratio| darcy_colebrook(re, ratio).unwrap_or(0.0));
        black_box(&mut out);
    });
    let batch = median_ns(|| {
        let done = darcy_colebrook_batch(&reynolds, &ratios, &mut out);
        black_box((done.is_ok(), &mut out));
    });
    row::row(
        "one friction factor, Colebrook",
        batch * 1e-9,
        "one logarithm and one root",
        floor * 1e-9,
    );
    print_table(&[
        ("ln + sqrt, libm", floor),
        ("ln + sqrt, system", system_floor),
        ("Colebrook, one by one", single),
        ("Colebrook, batch", batch),
    ]);
}

/// Reynolds numbers 4e3 to 1e8 and roughness ratios 1e-6 to 0.05, spread evenly in their logarithms.
fn pairs() -> (Vec<f64>, Vec<f64>) {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    let mut share = move || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    };
    (0..PAIRS)
        .map(|_| {
            let re = 4.0e3 * libm::pow(2.5e4, share());
            (re, 1.0e-6 * libm::pow(5.0e4, share()))
        })
        .unzip()
}

#[expect(
    clippy::disallowed_methods,
    reason = "the machine's own logarithm is the yardstick here, not a result"
)]
fn system_logarithm(value: f64) -> f64 {
    value.ln()
}

/// Median time per pair in nanoseconds.
fn median_ns(mut pass: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..STRETCHES)
        .map(|_| {
            let start = Instant::now();
            for _ in 0..PASSES {
                pass();
            }
            start.elapsed().as_secs_f64() * 1.0e9
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let middle = times.get(STRETCHES / 2).copied().unwrap_or(f64::NAN);
    middle / f64::from(PASSES * PAIRS)
}

#[expect(clippy::disallowed_macros, reason = "a bench has nothing but its printed table")]
fn print_table(rows: &[(&str, f64)]) {
    let floor = rows.first().map_or(f64::NAN, |row| row.1);
    println!("{:<24}{:>10}{:>18}", "work", "ns each", "times ln + sqrt");
    for (name, ns) in rows {
        println!("{name:<24}{ns:>10.2}{:>18.2}", ns / floor);
    }
}
