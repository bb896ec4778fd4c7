//! Published and worked figures for the strength of tube, derating, and the shape of bends.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

use super::geometry::case::{Case, CaseFile};
use hosewright::rating::bend::{roundness, wall_change};
use hosewright::rating::derate::derating_factor;
use hosewright::rating::mating::{EndForm, Gender, Mating, mating};
use hosewright::rating::tube::{
    GovernedBy, TubeSection, barlow_pa, boardman_pa, lame_wall_mm, lame_yield_pa, tube_rating,
};
use hosewright::rating::{RatingError, mating::SpigotFit, mating::spigot_fit};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use rstest::rstest;

fn section(case: &Case) -> TubeSection {
    TubeSection {
        outside_mm: case.number("outside_mm"),
        wall_mm: case.number("wall_mm"),
        outside_over_mm: case.number("outside_over_mm"),
        wall_under_fraction: case.number("wall_under_fraction"),
    }
}

fn answer(case: &Case) -> Result<Vec<f64>, RatingError> {
    Ok(match case.call.as_str() {
        "lame_yield" => vec![lame_yield_pa(&section(case), case.number("strength_pa"))?],
        "boardman" => {
            let (allowable_pa, corrosion_mm) =
                (case.number("allowable_pa"), case.number("corrosion_mm"));
            vec![boardman_pa(&section(case), allowable_pa, corrosion_mm)?]
        }
        "derate" => {
            let factors = case.numbers("factors");
            let curve: Vec<(f64, f64)> =
                case.numbers("temperatures_c").into_iter().zip(factors).collect();
            vec![derating_factor(&curve, case.number("temperature_c"))?]
        }
        "wall_change, percent" => {
            let change = wall_change(case.number("outside_mm"), case.number("radius_mm"))?;
            vec![100.0 * change.thinning_fraction, 100.0 * change.thickening_fraction]
        }
        "roundness, percent" => {
            let (largest_mm, smallest_mm) = (case.number("largest_mm"), case.number("smallest_mm"));
            let found = roundness(case.number("outside_mm"), largest_mm, smallest_mm)?;
            vec![100.0 * found.ovality_fraction, 100.0 * found.least_fraction]
        }
        other => panic!("{other} is not called here"),
    })
}

/// Each case with its answer.
pub const STRENGTH: CaseFile = CaseFile {
    path: "rating/strength",
    text: include_str!("rating/strength.toml"),
    kernel: |case| answer(case).expect("an answer"),
};

#[test]
fn tube_strength_derating_and_bends_agree_with_published_figures() {
    STRENGTH.agree();
}

proptest! {
    #![proptest_config(ProptestConfig {
        rng_seed: RngSeed::Fixed(24),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn the_wall_for_a_pressure_holds_exactly_that_pressure(
        outside_mm in 3.0..60.0, share in 0.01..0.7, under in 0.0..0.2,
    ) {
        let (strength_pa, pressure_pa) = (200e6, 200e6 * share);
        let Ok(wall_mm) = lame_wall_mm(outside_mm, 0.1, under, pressure_pa, strength_pa) else {
            return Err(TestCaseError::reject("no bore left"));
        };
        let tube = TubeSection {
            outside_mm, wall_mm, outside_over_mm: 0.1, wall_under_fraction: under,
        };
        // The bore comes back from a difference of near-equal squares where the wall is thin.
        let held_pa = lame_yield_pa(&tube, strength_pa)?;
        prop_assert!((held_pa / pressure_pa - 1.0).abs() < 1e-10);
    }

    #[test]
    fn a_thinner_wall_never_holds_more_and_barlow_never_promises_more_than_lame(
        outside_mm in 3.0..60.0, share in 0.02..0.45, less in 0.5..1.0,
    ) {
        let wall_mm = outside_mm * share;
        let tube = TubeSection {
            outside_mm, wall_mm, outside_over_mm: 0.0, wall_under_fraction: 0.0,
        };
        let thinner = TubeSection { wall_mm: wall_mm * less, ..tube };
        for rule in [lame_yield_pa, barlow_pa] {
            prop_assert!(rule(&thinner, 100e6)? <= rule(&tube, 100e6)?);
        }
        let ratio = barlow_pa(&tube, 100e6)? / lame_yield_pa(&tube, 100e6)?;
        // The least of (1 - 2 w + 2 w^2) / (1 - w) is 2 sqrt 2 - 2.
        prop_assert!((0.828_427..=1.0 + 1e-12).contains(&ratio));
    }
}

#[test]
fn the_lower_of_yield_and_ultimate_sets_the_rating() {
    let tube = TubeSection {
        outside_mm: 10.0,
        wall_mm: 1.0,
        outside_over_mm: 0.0,
        wall_under_fraction: 0.0,
    };
    let soft = tube_rating(&tube, 60e6, 200e6, 2.0, 4.0).unwrap();
    assert_eq!(soft.governed_by, GovernedBy::Yield);
    assert!((soft.rated_pa - soft.by_yield_pa).abs() < 1e-6 && soft.rated_pa < soft.by_ultimate_pa);
    let hard = tube_rating(&tube, 190e6, 200e6, 2.0, 4.0).unwrap();
    assert_eq!(hard.governed_by, GovernedBy::Ultimate);
    assert!(matches!(
        tube_rating(&tube, 200e6, 100e6, 2.0, 4.0),
        Err(RatingError::OutOfRange { what: "ultimate_pa", .. })
    ));
}

#[test]
fn a_tube_without_a_bore_and_a_pressure_no_wall_holds_are_refused() {
    let solid = TubeSection {
        outside_mm: 10.0,
        wall_mm: 5.0,
        outside_over_mm: 0.0,
        wall_under_fraction: 0.0,
    };
    assert!(matches!(lame_yield_pa(&solid, 1e6), Err(RatingError::NoBore { .. })));
    let too_much = lame_wall_mm(10.0, 0.0, 0.0, 1e6, 1e6);
    assert!(matches!(too_much, Err(RatingError::NoWallHolds { .. })));
    assert!(matches!(lame_yield_pa(&solid, f64::NAN), Err(RatingError::NotFinite { .. })));
}

#[rstest]
#[case::falling(&[(20.0, 1.0), (10.0, 0.9)], 15.0, RatingError::CurveNotRising)]
#[case::empty(&[], 15.0, RatingError::CurveNotRising)]
#[case::no_number(&[(20.0, f64::NAN)], 20.0, RatingError::CurveNotRising)]
#[case::beyond(
    &[(20.0, 1.0), (100.0, 0.8)], 100.5,
    RatingError::OffTheCurve { temperature_c: 100.5, least_c: 20.0, most_c: 100.0 },
)]
fn nothing_is_guessed_off_a_derating_curve(
    #[case] curve: &[(f64, f64)],
    #[case] temperature_c: f64,
    #[case] wanted: RatingError,
) {
    assert_eq!(derating_factor(curve, temperature_c), Err(wanted));
}

fn form<'a>(seat: &'a str, thread: &'a str, size: &'a str, gender: Gender) -> EndForm<'a> {
    EndForm { seat, thread, size, gender }
}

#[rstest]
#[case::same(form(" Flare 37", "7/16-20", "-4", Gender::Female), Mating::Mates)]
#[case::both_male(form("flare 37", "7/16-20", "-4", Gender::Male), Mating::WrongGender)]
#[case::leaks(form("flare 45", "7/16-20", "-4", Gender::Female), Mating::SameThreadOtherSeat)]
#[case::larger(form("flare 37", "9/16-18", "-6", Gender::Female), Mating::WrongSize)]
#[case::other_thread(form("flare 37", "1/2-20", "-4", Gender::Female), Mating::WrongThread)]
#[case::stranger(form("cone 24", "M12x1.5", "6", Gender::Female), Mating::NothingAlike)]
fn two_ends_are_told_apart(#[case] other: EndForm<'_>, #[case] wanted: Mating) {
    let nipple = form("flare 37", "7/16-20", "-4", Gender::Male);
    assert_eq!(mating(&nipple, &other), Ok(wanted));
    assert_eq!(mating(&other, &nipple), Ok(wanted));
}

#[test]
fn an_end_without_a_thread_name_cannot_be_judged() {
    let nipple = form("flare 37", "7/16-20", "-4", Gender::Male);
    let unknown = form("flare 37", " ", "-4", Gender::Female);
    assert_eq!(mating(&nipple, &unknown), Err(RatingError::NotGiven { what: "thread" }));
}

#[test]
fn a_hose_is_loose_fits_or_is_too_tight_on_its_spigot() {
    let on = |spigot_mm: f64| spigot_fit(25.0, spigot_mm, 0.08, 0.5).unwrap();
    assert!(matches!(on(24.0), SpigotFit::Loose { gap_mm } if (gap_mm - 1.0).abs() < 1e-12));
    assert!(matches!(on(24.6), SpigotFit::Fits { .. }));
    assert!(matches!(on(27.0), SpigotFit::Fits { stretch_fraction } if stretch_fraction <= 0.08));
    assert!(matches!(on(27.1), SpigotFit::TooTight { .. }));
}
