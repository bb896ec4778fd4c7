//! Searches for a zero, the height of a pressure, and the outlet coefficient without a jump.

use hosewright::hydraulics::HydraulicsError;
use hosewright::hydraulics::atmosphere::{
    geometric_m, geopotential_m, height_of_pressure_m, pressure_pa,
};
use hosewright::hydraulics::friction::Regime;
use hosewright::hydraulics::loss::{exit_k, exit_k_at};
use hosewright::hydraulics::search::{falling_zero, rising_zero};
use proptest::prelude::*;

type Value = Result<f64, HydraulicsError>;

#[test]
fn a_zero_at_nought_or_at_an_end_is_found() {
    let cube = |x: f64| -> Value { Ok(x * x * x) };
    let found = rising_zero("place", (-500.0, 3000.0), 1e-12, cube).unwrap();
    // The bracket is 1e-12 of 3500 wide.
    assert!(found.at.abs() <= 3.5e-9 && found.low <= 0.0 && 0.0 <= found.high);
    for end in [2.0, 7.0] {
        let found = rising_zero("place", (2.0, 7.0), 1e-12, |x| -> Value { Ok(x - end) }).unwrap();
        assert!((found.at - end).abs() <= 5e-12, "{end}: {found:?}");
    }
}

#[test]
fn bounds_without_a_zero_are_named_in_the_callers_own_places() {
    let refused = falling_zero("height", (-10.0, 50.0), 1e-9, |x| -> Value { Ok(100.0 - x) });
    assert_eq!(refused, Err(HydraulicsError::NoAnswer { what: "height", low: -10.0, high: 50.0 }));
}

#[test]
fn what_the_quantity_refuses_comes_through_and_no_nan_is_searched() {
    #[derive(Debug, PartialEq)]
    enum Ours {
        Boils,
        Search(HydraulicsError),
    }
    impl From<HydraulicsError> for Ours {
        fn from(error: HydraulicsError) -> Self {
            Self::Search(error)
        }
    }
    let boils = |x: f64| if x > 0.5 { Err(Ours::Boils) } else { Ok(x - 0.4) };
    assert_eq!(rising_zero("place", (0.0, 1.0), 1e-9, boils), Err(Ours::Boils));
    let nan = |x: f64| Ok::<f64, Ours>(if x == 0.0 { -1.0 } else { f64::NAN });
    let refused = rising_zero("place", (0.0, 1.0), 1e-9, nan);
    assert!(matches!(refused, Err(Ours::Search(HydraulicsError::NotFinite { .. }))));
    let turned = rising_zero("place", (1.0, 0.0), 1e-9, Ok::<f64, Ours>);
    assert!(matches!(turned, Err(Ours::Search(HydraulicsError::OutOfRange { .. }))));
}

proptest! {
    #[test]
    fn any_zero_of_a_rising_quantity_is_enclosed(
        low in -1e4_f64..0.0, width in 1.0_f64..1e5, part in 0.0_f64..=1.0, bend in 0.1_f64..5.0,
    ) {
        let known = low + part * width;
        let rises = |x: f64| -> Value {
            let off = (x - known) / width;
            Ok(off + bend * off * off * off)
        };
        let found = rising_zero("place", (low, low + width), 1e-12, rises).unwrap();
        // 2e-12 of the width for the bracket, the rest for the rounding of the place itself.
        prop_assert!((found.at - known).abs() <= 3e-12 * width + 1e-11);
        let turned = falling_zero("place", (low, low + width), 1e-12, |x| rises(x).map(|v| -v));
        prop_assert_eq!(turned.unwrap(), found);
    }

    #[test]
    fn height_and_pressure_are_each_others_way_back(height in -2001.0_f64..11_000.0) {
        let pressure = pressure_pa(height).unwrap();
        // 1e-15 of the pressure is 1e-11 m at most.
        prop_assert!((height_of_pressure_m(pressure).unwrap() - height).abs() <= 1e-9);
        let back = geopotential_m(geometric_m(height.max(-2000.0)).unwrap()).unwrap();
        prop_assert!((back - height.max(-2000.0)).abs() <= 1e-9);
    }

    #[test]
    fn the_loss_of_an_outlet_rises_with_the_flow(re in 1.0_f64..1e5, more in 1.000_001_f64..1.5) {
        let loss = |re: f64| exit_k_at(re).unwrap() * re * re;
        prop_assert!(loss(re * more) > loss(re));
    }

    #[test]
    fn the_outlet_without_a_jump_stays_between_the_ends_of_the_one_with(re in 0.0_f64..1e5) {
        let found = exit_k_at(re).unwrap();
        prop_assert!((1.0..=2.0).contains(&found) && found <= exit_k(Regime::of(re)));
        if Regime::of(re) != Regime::Transition {
            prop_assert_eq!(found.to_bits(), exit_k(Regime::of(re)).to_bits());
        }
    }
}

#[test]
fn the_ends_of_the_atmosphere_come_back_and_beyond_them_is_refused() {
    for end in [-2001.0, 0.0, 11_000.0] {
        let back = height_of_pressure_m(pressure_pa(end).unwrap()).unwrap();
        assert!((back - end).abs() < 1e-9 && pressure_pa(back).is_ok(), "{end}: {back}");
    }
    assert!(height_of_pressure_m(22_632.0).is_err());
    assert!(height_of_pressure_m(127_789.0).is_err());
    assert!(height_of_pressure_m(f64::NAN).is_err());
}
