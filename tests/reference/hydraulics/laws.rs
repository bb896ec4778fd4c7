//! Laws the friction kernel must obey: reference factors, its own equation, smooth joins, refusals.

use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::friction::{
    Regime, darcy, darcy_colebrook, darcy_colebrook_batch, laminar, log_slope,
};
use proptest::prelude::*;
use rstest::rstest;

/// Reynolds number, roughness ratio and Darcy factor from a file of reference values.
fn references() -> Result<Vec<[f64; 3]>, csv::Error> {
    let text = include_str!("colebrook.csv");
    csv::Reader::from_reader(text.as_bytes()).deserialize().collect()
}

#[test]
fn colebrook_agrees_with_two_hundred_factors_solved_to_sixty_digits() {
    let rows = references().unwrap();
    assert_eq!(rows.len(), 200);
    for [re, ratio, known] in rows {
        let found = darcy_colebrook(re, ratio).unwrap();
        // The file holds 15 digits, so its own rounding is up to 5e-15 of the value.
        assert!(
            (found - known).abs() <= 6e-15 * known,
            "Re {re}, ratio {ratio}: {found} against {known}"
        );
    }
}

#[test]
fn the_batch_gives_the_same_bits_as_one_by_one() {
    let rows = references().unwrap();
    let reynolds: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let ratios: Vec<f64> = rows.iter().map(|row| row[1]).collect();
    // Lengths that leave every remainder behind a group of vector lanes.
    for many in [0, 1, 2, 3, 5, 8, 197, 200] {
        let mut factors = vec![0.0; many];
        darcy_colebrook_batch(&reynolds[..many], &ratios[..many], &mut factors).unwrap();
        for (k, factor) in factors.iter().enumerate() {
            let alone = darcy_colebrook(reynolds[k], ratios[k]).unwrap();
            assert_eq!(factor.to_bits(), alone.to_bits());
        }
    }
}

#[test]
fn the_batch_refuses_before_it_writes() {
    let mut factors = [7.0; 3];
    let refused = darcy_colebrook_batch(&[1e4, 1e5, f64::NAN], &[0.0; 3], &mut factors);
    assert!(matches!(refused, Err(HydraulicsError::NotFinite { .. })));
    assert_eq!(factors.map(f64::to_bits), [7.0_f64; 3].map(f64::to_bits));
    let uneven = darcy_colebrook_batch(&[1e4], &[0.0; 3], &mut factors);
    assert!(matches!(uneven, Err(HydraulicsError::LengthsDiffer { .. })));
}

proptest! {
    #[test]
    fn colebrook_satisfies_its_own_equation(
        ln_re in 8.294_f64..18.42, ratio in 0.0_f64..0.05,
    ) {
        let re = exp(ln_re);
        let f = darcy_colebrook(re, ratio).unwrap();
        let x = 1.0 / f.sqrt();
        let right = -2.0 * log10(ratio / 3.7 + 2.51 * x / re);
        // A factor good to 1e-15 leaves this residual, plus the rounding of the check itself.
        prop_assert!((x - right).abs() <= 8e-15 * x, "{} against {}", x, right);
    }

    #[test]
    fn the_factor_lies_inside_its_band_everywhere(ln_re in -3.0_f64..18.42, ratio in 0.0_f64..0.05) {
        let found = darcy(exp(ln_re), ratio).unwrap();
        prop_assert!(found.low <= found.factor && found.factor <= found.high);
        let open = found.low < found.high;
        prop_assert_eq!(open, found.regime == Regime::Transition);
    }

    #[test]
    fn the_slope_is_the_derivative_of_the_factor(ln_re in 4.0_f64..18.0, ratio in 0.0_f64..0.05) {
        let step = 1e-5;
        let at = |ln: f64| ln_of(darcy(exp(ln), ratio).unwrap().factor);
        let by_difference = (at(ln_re + step) - at(ln_re - step)) / (2.0 * step);
        let slope = log_slope(exp(ln_re), ratio).unwrap();
        // The joins have a kink in the second derivative (at most 12 here), worth 12 x step;
        // the rest is rounding, 1e-15 / step.
        prop_assert!((by_difference - slope).abs() <= 2e-4, "{} {}", by_difference, slope);
    }
}

#[expect(clippy::disallowed_methods, reason = "a check may use the machine's own functions")]
fn exp(value: f64) -> f64 {
    value.exp()
}

#[expect(clippy::disallowed_methods, reason = "a check may use the machine's own functions")]
fn ln_of(value: f64) -> f64 {
    value.ln()
}

#[expect(clippy::disallowed_methods, reason = "a check may use the machine's own functions")]
fn log10(value: f64) -> f64 {
    value.log10()
}

#[rstest]
#[case(2000.0, 0.0)]
#[case(2000.0, 0.05)]
#[case(4000.0, 0.0)]
#[case(4000.0, 0.001)]
#[case(4000.0, 0.05)]
fn the_branches_meet_without_a_step(#[case] re: f64, #[case] ratio: f64) {
    let below = darcy(re * (1.0 - 1e-12), ratio).unwrap().factor;
    let above = darcy(re * (1.0 + 1e-12), ratio).unwrap().factor;
    // The factor's slope is at most 3 in logarithms: 6e-12 over this gap, plus rounding.
    assert!((below - above).abs() <= 1e-11 * above);
    let before = log_slope(re * (1.0 - 1e-9), ratio).unwrap();
    let after = log_slope(re * (1.0 + 1e-9), ratio).unwrap();
    assert!((before - after).abs() <= 1e-7, "{before} {after}");
}

#[test]
fn the_smooth_bore_at_three_thousand_has_the_interpolated_value() {
    // Worked by hand from the cubic: 0.03528, half a unit in the last digit.
    assert!((darcy(3000.0, 0.0).unwrap().factor - 0.035_28).abs() <= 5e-6);
}

#[rstest]
#[case(0.0, 0.0)]
#[case(-1.0, 0.0)]
#[case(f64::NAN, 0.0)]
#[case(f64::INFINITY, 0.0)]
#[case(1.000_001e8, 0.0)]
#[case(1e5, -1e-9)]
#[case(1e5, 0.050_001)]
#[case(1e5, f64::NAN)]
#[case(1e-320, 0.0)]
fn friction_refuses_what_the_formulas_do_not_cover(#[case] re: f64, #[case] ratio: f64) {
    assert!(darcy(re, ratio).is_err());
}

#[test]
fn a_refusal_says_what_was_given_and_what_is_allowed() {
    let text = darcy(2.0e9, 0.0).unwrap_err().to_string();
    assert!(text.contains("Reynolds") && text.contains("2000000000") && text.contains("100000000"));
    let text = darcy(1e5, 0.2).unwrap_err().to_string();
    assert!(text.contains("roughness ratio is 0.2") && text.contains("0.05"));
}

#[test]
fn the_regime_is_told_in_words() {
    let word = |re| darcy(re, 0.0).unwrap().regime.to_string();
    assert_eq!([word(1999.0), word(2500.0), word(4000.0)], ["laminar", "transition", "turbulent"]);
    assert!((laminar(1000.0).unwrap() - 0.064).abs() < 1e-17);
}
