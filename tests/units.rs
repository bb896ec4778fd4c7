//! Tests of the units: exact definitions, what is read, what is refused and how, and what is written.

#![expect(clippy::expect_used, clippy::panic, reason = "a test that cannot go on must fail loudly")]

use hosewright::units::*;
use proptest::prelude::*;
use rstest::rstest;

/// Runs a generic check for every kind of quantity.
macro_rules! every_kind {
    ($check:ident $(, $argument:expr)*) => {{
        $check::<Length>($($argument),*);
        $check::<Area>($($argument),*);
        $check::<Volume>($($argument),*);
        $check::<Angle>($($argument),*);
        $check::<Time>($($argument),*);
        $check::<Velocity>($($argument),*);
        $check::<Acceleration>($($argument),*);
        $check::<Mass>($($argument),*);
        $check::<LinearMass>($($argument),*);
        $check::<Density>($($argument),*);
        $check::<Force>($($argument),*);
        $check::<Torque>($($argument),*);
        $check::<Power>($($argument),*);
        $check::<Energy>($($argument),*);
        $check::<Flow>($($argument),*);
        $check::<MassFlow>($($argument),*);
        $check::<DynamicViscosity>($($argument),*);
        $check::<KinematicViscosity>($($argument),*);
        $check::<GaugePressure>($($argument),*);
        $check::<AbsolutePressure>($($argument),*);
        $check::<PressureDifference>($($argument),*);
        $check::<Temperature>($($argument),*);
        $check::<TemperatureDifference>($($argument),*);
        $check::<Ratio>($($argument),*);
        $check::<SpecificHeat>($($argument),*);
        $check::<Conductivity>($($argument),*);
        $check::<Stress>($($argument),*);
        $check::<HeatExpansion>($($argument),*);
        $check::<FlowCoefficient>($($argument),*);
    }};
}

/// SI per unit, worked out with whole numbers over whole numbers from the definitions of the
/// inch, the pound, standard gravity, the two gallons, the conventional columns and the BTU, to 18
/// digits.
const EXACT: &[(&str, &str)] = &[
    (
        "length",
        "m 1; mm 0.001; cm 0.01; km 1000; um 1e-6; in 0.0254; ft 0.3048; yd 0.9144; \
         thou 2.54e-5",
    ),
    ("area", "m2 1; cm2 1e-4; mm2 1e-6; in2 6.4516e-4; ft2 9.290304e-2"),
    (
        "volume",
        "m3 1; L 0.001; mL 1e-6; cm3 1e-6; mm3 1e-9; in3 1.6387064e-5; \
         ft3 2.8316846592e-2; gal(US) 3.785411784e-3; qt(US) 9.46352946e-4; \
         gal(UK) 4.54609e-3",
    ),
    ("angle", "rad 1; mrad 0.001; deg 1.74532925199432958e-2"),
    ("time", "s 1; ms 0.001; min 60; h 3600; d 86400"),
    (
        "velocity",
        "m/s 1; mm/s 0.001; km/h 2.77777777777777778e-1; in/s 0.0254; ft/s 0.3048; \
         ft/min 0.00508; mph 0.44704; kn 5.14444444444444444e-1",
    ),
    ("acceleration", "m/s2 1; gn 9.80665; ft/s2 0.3048"),
    ("mass", "kg 1; g 0.001; mg 1e-6; t 1000; lb 4.5359237e-1; oz 2.8349523125e-2"),
    (
        "mass per length",
        "kg/m 1; g/m 0.001; lb/ft 1.48816394356955381; lb/in 1.78579673228346457e1; \
         oz/ft 9.30102464730971129e-2",
    ),
    (
        "density",
        "kg/m3 1; g/m3 0.001; kg/L 1000; g/cm3 1000; lb/ft3 1.60184633739601396e1; \
         lb/in3 2.76799047102031212e4; lb/gal(US) 1.19826427316896629e2",
    ),
    ("force", "N 1; kN 1000; MN 1000000; lbf 4.4482216152605; kgf 9.80665"),
    (
        "torque",
        "N m 1; kN m 1000; N cm 0.01; in lb 1.129848290276167e-1; \
         ft lb 1.3558179483314004; kgf m 9.80665",
    ),
    (
        "power",
        "W 1; kW 1000; MW 1000000; hp 7.4569987158227022e2; PS 7.3549875e2; \
         BTU/h 2.93071070172222222e-1",
    ),
    (
        "energy",
        "J 1; kJ 1000; MJ 1000000; Wh 3600; kWh 3600000; ft lbf 1.3558179483314004; \
         BTU 1.05505585262e3",
    ),
    (
        "flow",
        "m3/s 1; m3/min 1.66666666666666667e-2; m3/h 2.77777777777777778e-4; L/s 0.001; \
         L/min 1.66666666666666667e-5; L/h 2.77777777777777778e-7; mL/s 1e-6; \
         mL/min 1.66666666666666667e-8; mL/h 2.77777777777777778e-10; gal(US)/min 6.30901964e-5; \
         gal(US)/h 1.05150327333333333e-6; gal(UK)/min 7.57681666666666667e-5; \
         gal(UK)/h 1.26280277777777778e-6; in3/s 1.6387064e-5; ft3/s 2.8316846592e-2; \
         ft3/min 4.719474432e-4",
    ),
    (
        "mass flow",
        "kg/s 1; kg/min 1.66666666666666667e-2; kg/h 2.77777777777777778e-4; g/s 0.001; \
         g/min 1.66666666666666667e-5; lb/s 4.5359237e-1; lb/min 7.55987283333333333e-3; \
         lb/h 1.25997880555555556e-4",
    ),
    ("dynamic viscosity", "Pa s 1; mPa s 0.001; uPa s 1e-6; P 0.1; cP 0.001"),
    (
        "kinematic viscosity",
        "m2/s 1; cm2/s 1e-4; mm2/s 1e-6; St 1e-4; cSt 1e-6; in2/s 6.4516e-4; \
         ft2/s 9.290304e-2",
    ),
    (
        "stress",
        "Pa 1; kPa 1000; MPa 1000000; GPa 1e9; bar 100000; psi 6.89475729316836134e3; \
         ksi 6.89475729316836134e6; Mpsi 6.89475729316836134e9",
    ),
    ("temperature", "K 1; degC 1; degF 5.55555555555555556e-1"),
    ("temperature difference", "K 1; delta_degC 1; delta_degF 5.55555555555555556e-1"),
    ("ratio", "plain 1; % 0.01; ppm 1e-6"),
    ("specific heat", "J/(kg K) 1; kJ/(kg K) 1000; BTU/(lb degF) 4186.8"),
    ("thermal conductivity", "W/(m K) 1; mW/(m K) 0.001; BTU/(h ft degF) 1.73073466637139108"),
    ("thermal expansion", "1/K 1; um/(m K) 1e-6; 1/degF 1.8; ppm/degF 1.8e-6"),
    ("flow coefficient", "Kv 1; Cv 8.64977655442301761e-1"),
    (
        "gauge pressure",
        "Pa 1; hPa 100; kPa 1000; MPa 1000000; mbar 100; bar 100000; \
         psi 6.89475729316836134e3; ksi 6.89475729316836134e6; atm 1.01325e5; \
         torr 1.33322368421052632e2; kgf/cm2 9.80665e4; mmHg 1.33322387415e2; \
         inHg 3.386388640341e3; mmH2O 9.80665; mH2O 9.80665e3; inH2O 2.4908891e2; \
         ftH2O 2.98906692e3",
    ),
    (
        "pressure difference",
        "Pa 1; hPa 100; kPa 1000; MPa 1000000; mbar 100; bar 100000; \
         psi 6.89475729316836134e3; ksi 6.89475729316836134e6; atm 1.01325e5; \
         torr 1.33322368421052632e2; kgf/cm2 9.80665e4; mmHg 1.33322387415e2; \
         inHg 3.386388640341e3; mmH2O 9.80665; mH2O 9.80665e3; inH2O 2.4908891e2; \
         ftH2O 2.98906692e3",
    ),
    (
        "absolute pressure",
        "Pa abs 1; hPa abs 100; kPa abs 1000; MPa abs 1000000; mbar abs 100; \
         bar abs 100000; psi abs 6.89475729316836134e3; ksi abs 6.89475729316836134e6; \
         atm abs 1.01325e5; torr abs 1.33322368421052632e2; kgf/cm2 abs 9.80665e4; \
         mmHg abs 1.33322387415e2; inHg abs 3.386388640341e3; mmH2O abs 9.80665; \
         mH2O abs 9.80665e3; inH2O abs 2.4908891e2; ftH2O abs 2.98906692e3",
    ),
];

/// Four roundings may lie between a product of definitions in the computer and the exact product.
const FOUR_ROUNDINGS: f64 = 4.0 * f64::EPSILON;

fn close(got: f64, wanted: f64, relative: f64) -> bool {
    (got - wanted).abs() <= relative * wanted.abs()
}

fn exact_rows(kind: &str) -> Vec<(&'static str, f64)> {
    let (_, rows) = EXACT.iter().find(|(name, _)| *name == kind).expect("the kind is listed");
    let parse = |row: &'static str| {
        let (symbol, value) = row.trim().rsplit_once(' ').expect("a row is a symbol and a value");
        (if symbol == "plain" { "" } else { symbol }, value.parse().expect("a value is a number"))
    };
    rows.split(';').map(parse).collect()
}

fn factors_are_exact<Q: Quantity>() {
    let rows = exact_rows(Q::NAME);
    let listed: Vec<&str> = rows.iter().map(|(symbol, _)| *symbol).collect();
    let known: Vec<&str> = Q::units().iter().map(|unit| unit.symbol).collect();
    assert_eq!(listed, known, "units of {}", Q::NAME);
    for (unit, (symbol, exact)) in Q::units().iter().zip(rows) {
        assert!(close(unit.factor, exact, FOUR_ROUNDINGS), "{symbol}: {} for {exact}", unit.factor);
        assert!(!unit.definition.is_empty(), "{symbol} says how it is defined");
    }
}

#[test]
fn every_factor_is_its_exact_definition() {
    every_kind!(factors_are_exact);
}

fn first_unit_is_si<Q: Quantity>() {
    let first = Q::units().first().expect("a kind has units");
    assert_eq!((first.factor, first.offset), (1.0, 0.0), "{}", Q::NAME);
    for value in [0.0, 0.1, 12.7, 363.15, 1e-6, 6_894.757_293_168_361] {
        // The SI unit must pass through the quantity library without a change of bits.
        assert_eq!(Q::from_si(value).si().to_bits(), value.to_bits(), "{}", Q::NAME);
    }
}

#[test]
fn the_first_unit_is_si_and_keeps_every_bit() {
    every_kind!(first_unit_is_si);
}

fn spellings_belong_to_one_unit<Q: Quantity>() {
    for unit in Q::units() {
        for spelling in unit.spellings() {
            let got = read_in::<Q>(500.0, spelling).map(Quantity::si);
            assert_eq!(got, Ok(unit.to_si(500.0)), "{} in `{spelling}`", Q::NAME);
            if !spelling.is_empty() {
                let text = format!("500 {spelling}");
                assert_eq!(read::<Q>(&text).map(Quantity::si), got, "`{text}`");
            }
        }
    }
}

#[test]
fn every_spelling_reads_as_its_own_unit() {
    every_kind!(spellings_belong_to_one_unit);
}

fn examples_read<Q: Quantity>() {
    assert!(!Q::EXAMPLES.is_empty(), "{} has examples", Q::NAME);
    for text in Q::EXAMPLES {
        assert!(read::<Q>(text).is_ok(), "{}: {text}", Q::NAME);
    }
}

#[test]
fn every_example_reads() {
    every_kind!(examples_read);
}

fn ladder_is_sound<Q: Quantity>() {
    for ladder in [Q::METRIC, Q::INCH] {
        let known = |symbol: &str| Q::units().iter().find(|unit| unit.symbol == symbol);
        assert!(known(ladder.zero).is_some(), "{}: {}", Q::NAME, ladder.zero);
        let limits: Vec<f64> = ladder
            .steps
            .iter()
            .map(|step| step.below * known(step.symbol).expect("a step has a known unit").factor)
            .collect();
        assert!(limits.is_sorted(), "{}: {limits:?}", Q::NAME);
        assert_eq!(limits.last(), Some(&f64::INFINITY), "{}", Q::NAME);
    }
}

#[test]
fn every_ladder_rises_to_the_top_in_known_units() {
    every_kind!(ladder_is_sound);
}

#[test]
fn the_flow_coefficients_convert_by_their_definitions() {
    let gallon_per_minute_m3_h = 231.0 * 0.0254 * 0.0254 * 0.0254 * 60.0;
    let psi_bar = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254) / 1e5_f64;
    let kv = read::<FlowCoefficient>("Cv 1").map(Quantity::si).expect("Cv 1 reads");
    // About eight roundings on the way by hand.
    assert!(close(kv, gallon_per_minute_m3_h / psi_bar.sqrt(), 8.0 * f64::EPSILON), "{kv}");
}

fn si<Q: Quantity>(text: &str) -> f64 {
    read::<Q>(text).unwrap_or_else(|error| panic!("{text}: {error} {:?}", error.help)).si()
}

#[rstest]
#[case(si::<Length>("3/8 in"), 0.009_525)]
#[case(si::<Length>("3/8in"), 0.009_525)]
#[case(si::<Length>("3/8\""), 0.009_525)]
#[case(si::<Length>("1 1/8 in"), 0.028_575)]
#[case(si::<Length>("1-1/8 in"), 0.028_575)]
#[case(si::<Length>("-1 1/8 in"), -0.028_575)]
#[case(si::<Length>("\u{2212}1 1/8 in"), -0.028_575)]
#[case(si::<Length>("12mm"), 0.012)]
#[case(si::<Length>("  12.7 mm "), 0.0127)]
#[case(si::<Length>(".5 in"), 0.0127)]
#[case(si::<Length>("+5. mm"), 0.005)]
#[case(si::<Length>("1e-3 m"), 0.001)]
#[case(si::<Length>("1.5 µm"), 1.5e-6)]
#[case(si::<Length>("1.5 μm"), 1.5e-6)]
#[case(si::<Length>("1.5 um"), 1.5e-6)]
#[case(si::<Area>("71 mm²"), 71e-6)]
#[case(si::<Angle>("90°"), core::f64::consts::FRAC_PI_2)]
#[case(si::<Angle>("0.5 rad"), 0.5)]
#[case(si::<GaugePressure>("2.5 bar"), 2.5e5)]
#[case(si::<GaugePressure>("2.5 barg"), 2.5e5)]
#[case(si::<GaugePressure>("2.5 bar(g)"), 2.5e5)]
#[case(si::<GaugePressure>("-0.2 bar"), -0.2e5)]
#[case(si::<GaugePressure>("35 psi gauge"), 241_316.505_260_892_65)]
#[case(si::<GaugePressure>("35 psig"), 241_316.505_260_892_65)]
#[case(si::<GaugePressure>("10 inHg"), 33_863.886_403_41)]
#[case(si::<AbsolutePressure>("101.3 kPa abs"), 101_300.0)]
#[case(si::<AbsolutePressure>("14.7 psia"), 101_352.932_209_574_91)]
#[case(si::<AbsolutePressure>("1 bar abs"), 1e5)]
#[case(si::<AbsolutePressure>("1 bara"), 1e5)]
#[case(si::<AbsolutePressure>("760 mmHg abs"), 101_325.014_435_4)]
#[case(si::<PressureDifference>("760 mmHg"), 101_325.014_435_4)]
#[case(si::<Temperature>("90 degC"), 363.15)]
#[case(si::<Temperature>("90 °C"), 363.15)]
#[case(si::<Temperature>("90 C"), 363.15)]
#[case(si::<Temperature>("194 degF"), 363.15)]
#[case(si::<Temperature>("363 K"), 363.0)]
#[case(si::<TemperatureDifference>("10 K"), 10.0)]
#[case(si::<TemperatureDifference>("18 delta_degF"), 10.0)]
#[case(si::<TemperatureDifference>("10 delta_degC"), 10.0)]
#[case(si::<TemperatureDifference>("10 Δ°C"), 10.0)]
#[case(si::<Flow>("120 L/h"), 0.12 / 3600.0)]
#[case(si::<Flow>("120 l/h"), 0.12 / 3600.0)]
#[case(si::<Flow>("66 lpm"), 0.0011)]
#[case(si::<Flow>("3 m³/h"), 3.0 / 3600.0)]
#[case(si::<Flow>("31 gal(US)/h"), 31.0 * 0.003_785_411_784 / 3600.0)]
#[case(si::<Flow>("31 gal(UK)/h"), 31.0 * 0.004_546_09 / 3600.0)]
#[case(si::<KinematicViscosity>("46 mm2/s"), 46e-6)]
#[case(si::<KinematicViscosity>("46 cSt"), 46e-6)]
#[case(si::<DynamicViscosity>("12 cP"), 0.012)]
#[case(si::<DynamicViscosity>("12 mPa s"), 0.012)]
#[case(si::<DynamicViscosity>("12 mPa.s"), 0.012)]
#[case(si::<DynamicViscosity>("12 mPa·s"), 0.012)]
#[case(si::<Torque>("12 kN m"), 12e3)]
#[case(si::<Torque>("12 kN·m"), 12e3)]
#[case(si::<Torque>("12 kN.m"), 12e3)]
#[case(si::<Torque>("106 in·lbf"), 106.0 * 4.448_221_615_260_5 * 0.0254)]
#[case(si::<Torque>("106 lb in"), 106.0 * 4.448_221_615_260_5 * 0.0254)]
#[case(si::<Torque>("9 ft-lb"), 9.0 * 4.448_221_615_260_5 * 0.3048)]
#[case(si::<LinearMass>("250 g/m"), 0.25)]
#[case(si::<Density>("54 lb/ft3"), 54.0 * 0.453_592_37 / 0.028_316_846_592)]
#[case(si::<Ratio>("5 %"), 0.05)]
#[case(si::<Ratio>("5%"), 0.05)]
#[case(si::<Ratio>("0.05"), 0.05)]
#[case(si::<Conductivity>("0.6 W/(m K)"), 0.6)]
#[case(si::<Conductivity>("0.6 W/mK"), 0.6)]
#[case(si::<SpecificHeat>("4.18 kJ/(kg·K)"), 4180.0)]
#[case(si::<HeatExpansion>("1.7e-5 1/K"), 1.7e-5)]
#[case(si::<Stress>("193 GPa"), 193e9)]
#[case(si::<FlowCoefficient>("Kv 2.5"), 2.5)]
#[case(si::<FlowCoefficient>("Kv=2.5"), 2.5)]
#[case(si::<FlowCoefficient>("2.5 Kv"), 2.5)]
fn a_text_reads_as_its_value(#[case] got: f64, #[case] wanted: f64) {
    assert!(close(got, wanted, FOUR_ROUNDINGS), "{got} for {wanted}");
}

/// The bytes at fault, the message and the hints of a refused text.
fn refused<Q: Quantity>(text: &str) -> (&str, String) {
    let error = read::<Q>(text).expect_err(text);
    let at = text.get(error.span.clone()).expect("the span lies between letters");
    (at, format!("{error} | {}", error.help.join(" | ")))
}

#[rstest]
#[case(refused::<Length>(""), "", "the length is missing here | write a number and a unit, for example \"12 mm\" or \"3/8 in\"")]
#[case(refused::<Length>("   "), "   ", "the length is missing here")]
#[case(refused::<Length>("12"), "12", "the length has no unit | add the unit, for example \"12 mm\"")]
#[case(refused::<Length>("-6"), "-6", "the length has no unit")]
#[case(refused::<FlowCoefficient>("2.5"), "2.5", "for example \"Kv 2.5\"")]
#[case(refused::<Length>("mm"), "mm", "`mm` does not begin with a number")]
#[case(refused::<Length>("about 5 mm"), "about", "`about` does not begin with a number")]
#[case(refused::<Length>("12 MM"), "MM", "`MM` is no unit of length | capitals matter in units: did you mean `mm`?")]
#[case(refused::<Length>("12 mmm"), "mmm", "did you mean `mm`? | units of length: m, mm, cm, km, um, in, ft, yd, thou")]
#[case(refused::<GaugePressure>("3 Bar"), "Bar", "did you mean `bar`?")]
#[case(refused::<Length>("12 parsec"), "parsec", "`parsec` is no unit of length | units of length:")]
#[case(refused::<Length>("  1,5 mm"), "1,5", "write 1.5, not 1,5")]
#[case(refused::<Length>("1,500 mm"), "1,500", "thousands are not marked")]
#[case(refused::<Length>("1 500 mm"), "1 500 mm", "two numbers stand here")]
#[case(refused::<Length>("NaN mm"), "NaN", "`NaN` is no measured number")]
#[case(refused::<Length>("-inf mm"), "-inf", "`-inf` is no measured number")]
#[case(refused::<Length>("1e400 mm"), "1e400", "1e400 is too large a number")]
#[case(refused::<Length>("1e-400 mm"), "1e-400", "1e-400 is too small a number")]
#[case(refused::<Stress>("1e308 GPa"), "1e308 GPa", "too large to compute with")]
#[case(refused::<Length>("3/0 in"), "3/0", "a fraction cannot be over zero")]
#[case(refused::<Length>("1/2/3 in"), "1/2/3", "a fraction is one whole number over another")]
#[case(refused::<Length>("1.5/2 in"), "1.5/2 in", "a fraction is one whole number over another")]
#[case(refused::<Length>("1 9/8 in"), "1 9/8", "must be below one")]
#[case(refused::<Length>("99999999999/2 in"), "99999999999/2", "too large")]
#[case(refused::<Length>("1½ in"), "1½ in", "`½` is one letter, not a fraction")]
#[case(refused::<Length>("5-6 mm"), "5-6 mm", "a range cannot stand here")]
#[case(refused::<Length>("5 – 6 mm"), "5 – 6 mm", "a range cannot stand here")]
#[case(refused::<Length>("5 ± 1 mm"), "5 ± 1 mm", "a tolerance cannot stand here")]
#[case(refused::<Length>("12 mm long"), "long", "`long` is left over")]
#[case(refused::<Length>("5 ft 6 in"), "6 in", "`6 in` is left over")]
#[case(refused::<Length>("486 mm (19 1/8 in)"), "(19 1/8 in)", "is left over")]
#[case(refused::<FlowCoefficient>("Kv 2.5 mm"), "mm", "`mm` is left over")]
#[case(refused::<Length>("2 bar"), "bar", "`bar` is a unit of pressure, not of length")]
#[case(refused::<Volume>("3 gal"), "gal", "more than one unit | write gal(US) or gal(UK)")]
#[case(refused::<Flow>("3 gph"), "gph", "write gal(US)/h or gal(UK)/h")]
#[case(refused::<Length>("35 mil"), "mil", "write thou")]
#[case(refused::<AbsolutePressure>("101.3 kPa"), "kPa", "counts from vacuum and says so: write \"kPa abs\"")]
#[case(refused::<AbsolutePressure>("35 psig"), "psig", "add ambient and write \"psi abs\"")]
#[case(refused::<AbsolutePressure>("-1 kPa abs"), "-1 kPa abs", "no absolute pressure is below absolute zero")]
#[case(refused::<GaugePressure>("101.3 kPa abs"), "kPa abs", "take ambient off and write \"kPa\" or \"kPa gauge\"")]
#[case(refused::<GaugePressure>("14.7 psia"), "psia", "counts from ambient")]
#[case(refused::<GaugePressure>("10 inHg vacuum"), "inHg vacuum", "write a negative gauge pressure")]
#[case(refused::<PressureDifference>("3 psig"), "psig", "a difference has no zero to count from: write \"psi\"")]
#[case(refused::<TemperatureDifference>("10 degC"), "degC", "a difference is written in K or in delta_degC")]
#[case(refused::<TemperatureDifference>("10 °F"), "°F", "delta_degF")]
#[case(refused::<Temperature>("10 delta_degC"), "delta_degC", "a temperature is written in degC, degF or K")]
#[case(refused::<Temperature>("-300 degC"), "-300 degC", "the least is -273.15 degC")]
#[case(refused::<Torque>("12 lb"), "lb", "a torque is a force on an arm")]
#[case(refused::<Force>("12 lb"), "lb", "a force is written in N, lbf or kgf")]
fn a_refusal_points_at_the_fault_and_says_what_to_write(
    #[case] got: (&str, String),
    #[case] at: &str,
    #[case] words: &str,
) {
    assert_eq!(got.0, at);
    assert!(got.1.contains(words), "{}", got.1);
}

#[test]
fn a_text_of_more_than_two_hundred_bytes_is_refused_whole() {
    let text = format!("1{} mm", " ".repeat(200));
    let error = read::<Length>(&text).expect_err("too long");
    assert_eq!(error.span, 0..text.len());
    assert_eq!(error.to_string(), "204 bytes are too long for one length");
    assert!(read::<Length>(&format!("1{} mm", " ".repeat(196))).is_ok());
}

#[test]
fn absolute_zero_itself_reads_in_every_scale() {
    for text in ["0 K", "-273.15 degC", "-459.67 degF"] {
        // The billionth is the rounding that the reader forgives.
        assert!(read::<Temperature>(text).is_ok_and(|t| (0.0..1e-9).contains(&t.si())), "{text}");
    }
}

#[rstest]
#[case("12", 12.0)]
#[case("0.040", 0.04)]
#[case("1e-3", 0.001)]
#[case("3/8", 0.375)]
#[case("1 1/8", 1.125)]
#[case("-1-1/8", -1.125)]
fn a_bare_number_reads(#[case] text: &str, #[case] wanted: f64) {
    assert_eq!(read_number(text), Ok(wanted));
}

#[rstest]
#[case("", 0..0)]
#[case("12 mm", 3..5)]
#[case("1,5", 0..3)]
#[case("three", 0..5)]
fn a_bare_number_refuses_the_rest(#[case] text: &str, #[case] span: core::ops::Range<usize>) {
    assert_eq!(read_number(text).map_err(|error| error.span), Err(span));
}

#[test]
fn a_number_reads_in_the_unit_of_its_column() {
    assert_eq!(read_in::<Length>(0.5, "in"), Ok(Length::from_si(0.0127)));
    assert_eq!(read_in::<Ratio>(5.0, "%"), Ok(Ratio::from_si(0.05)));
    assert_eq!(read_in::<Ratio>(0.05, "-"), Ok(Ratio::from_si(0.05)));
    assert_eq!(read_in::<AbsolutePressure>(70.0, "kPa-abs"), Ok(AbsolutePressure::from_si(7e4)));
    assert!(read_in::<Length>(1.0, "").is_err_and(|e| e.to_string() == "the length has no unit"));
    assert!(read_in::<Length>(f64::NAN, "mm").is_err());
    assert!(read_in::<Length>(f64::INFINITY, "mm").is_err());
    assert_eq!(read_in::<Length>(1.0, " MM").map_err(|error| error.span), Err(1..3));
}

#[rstest]
#[case(si_text::<Length>(0.486), "486 mm", "19 1/8 in")]
#[case(si_text::<Length>(0.0), "0 mm", "0 in")]
#[case(si_text::<Length>(-1e-9), "0 mm", "0 in")]
#[case(si_text::<Length>(-0.009_525), "-9.5 mm", "-3/8 in")]
#[case(si_text::<Length>(0.000_045), "45 um", "0.0018 in")]
#[case(si_text::<Length>(0.012_25), "12.3 mm", "15/32 in")]
#[case(si_text::<Length>(1.2345), "1235 mm", "48 19/32 in")]
#[case(si_text::<Length>(12.345), "12.35 m", "486 1/32 in")]
#[case(si_text::<GaugePressure>(2.5e5), "2.5 bar", "36.3 psi")]
#[case(si_text::<GaugePressure>(-20e3), "-20 kPa", "-2.901 psi")]
#[case(si_text::<AbsolutePressure>(101_325.0), "101.3 kPa abs", "14.7 psi abs")]
#[case(si_text::<Temperature>(363.15), "90 degC", "194 degF")]
#[case(si_text::<Temperature>(272.85), "0 degC", "31 degF")]
#[case(si_text::<TemperatureDifference>(10.0), "10 K", "18 delta_degF")]
#[case(si_text::<Flow>(0.12 / 3600.0), "2 L/min", "31.7 gal(US)/h")]
#[case(si_text::<Flow>(0.03 / 3600.0), "30 L/h", "7.93 gal(US)/h")]
#[case(si_text::<Ratio>(0.05), "5 %", "5 %")]
#[case(si_text::<Ratio>(4.0), "4", "4")]
#[case(si_text::<Stress>(193e9), "193 GPa", "27992 ksi")]
#[case(si_text::<FlowCoefficient>(2.5), "Kv 2.5", "Cv 2.89")]
#[case(si_text::<Torque>(12.0), "12 N m", "106 in lb")]
fn a_quantity_is_written_rounded(
    #[case] got: (String, String, String),
    #[case] metric: &str,
    #[case] inch: &str,
) {
    assert_eq!((got.0.as_str(), got.1.as_str()), (metric, inch));
    let both = if metric == inch { metric.to_owned() } else { format!("{metric} ({inch})") };
    assert_eq!(got.2, both);
}

fn si_text<Q: Quantity>(value: f64) -> (String, String, String) {
    let q = Q::from_si(value);
    (write(q, System::Metric), write(q, System::Inch), write(q, System::Both))
}

#[test]
fn halves_round_away_from_zero_in_the_decimal_text() {
    // 0.285 is held a little low and 1.005 too: the text, not the last bit, decides.
    let bar = |value: f64| write(GaugePressure::from_si(value * 1e5), System::Metric);
    assert_eq!(bar(1.005), "1.01 bar");
    assert_eq!(bar(-1.005), "-1.01 bar");
    assert_eq!(write(Length::from_si(0.000_285 * 100.0), System::Metric), "28.5 mm");
    assert_eq!(write(Temperature::from_si(363.65), System::Metric), "91 degC");
    assert_eq!(write(Temperature::from_si(262.65), System::Metric), "-11 degC");
}

#[test]
fn what_is_not_finite_is_written_in_words() {
    assert_eq!(write(Length::from_si(f64::NAN), System::Both), "no finite length");
    assert_eq!(write_exact(Length::from_si(f64::INFINITY), "mm"), "no finite length");
}

#[rstest]
#[case(19.0 + 1.0 / 8.0, 32, (19, 1, 8), "19 1/8 in")]
#[case(0.375, 32, (0, 3, 8), "3/8 in")]
#[case(-0.375, 32, (-1, 5, 8), "-3/8 in")]
#[case(-2.0, 32, (-2, 0, 1), "-2 in")]
#[case(0.0, 32, (0, 0, 1), "0 in")]
#[case(0.999, 32, (1, 0, 1), "1 in")]
#[case(0.015_625, 32, (0, 1, 32), "1/32 in")]
#[case(-0.015_625, 32, (-1, 31, 32), "-1/32 in")]
#[case(0.4, 0, (0, 0, 1), "0 in")]
#[case(0.34, 3, (0, 1, 3), "1/3 in")]
fn a_length_rounds_to_a_fraction_in_lowest_terms(
    #[case] inches: f64,
    #[case] parts: u32,
    #[case] wanted: (i64, u32, u32),
    #[case] text: &str,
) {
    let got = inch_fraction(Length::from_si(inches * 0.0254), parts);
    assert_eq!((got.whole, got.numerator, got.denominator), wanted);
    assert_eq!(got.to_string(), text);
}

#[test]
fn gauge_and_absolute_pressure_differ_by_ambient() {
    let ambient: AbsolutePressure = read("95 kPa abs").expect("reads");
    let suction: GaugePressure = read("-20 kPa").expect("reads");
    assert_eq!(suction.absolute(ambient), AbsolutePressure::from_si(75e3));
    assert_eq!(suction.absolute(ambient).gauge(ambient), suction);
    assert_eq!(suction.absolute(ambient) - ambient, PressureDifference::from_si(-20e3));
    assert_eq!(suction + PressureDifference::from_si(5e3), GaugePressure::from_si(-15e3));
}

#[test]
fn products_and_quotients_give_the_kind_they_mean() {
    let (bore, flow) = (Length::from_si(0.5), Flow::from_si(2.0));
    let area: Area = bore * bore;
    let velocity: Velocity = flow / area;
    let kinematic: KinematicViscosity = DynamicViscosity::from_si(4.0) / Density::from_si(800.0);
    let power: Power = PressureDifference::from_si(3.0) * flow;
    let torque: Torque = Force::from_si(10.0) * bore;
    assert_eq!((area.si(), velocity.si(), kinematic.si()), (0.25, 8.0, 0.005));
    assert_eq!((power.si(), torque.si()), (6.0, 5.0));
    assert_eq!(bore / Length::from_si(2.0), Ratio::from_si(0.25));
    let rise: TemperatureDifference = Temperature::from_si(300.0) - Temperature::from_si(290.0);
    assert_eq!(Temperature::from_si(290.0) + rise * 2.0, Temperature::from_si(310.0));
    assert_eq!([bore, bore, -bore].into_iter().sum::<Length>(), bore);
}

#[rstest]
#[case("-6", "-6", 6, None)]
#[case(" -06 ", "-6", 6, None)]
#[case("-16Z", "-16Z", 16, Some('Z'))]
#[case("\u{2212}8", "-8", 8, None)]
fn a_dash_size_reads(
    #[case] text: &str,
    #[case] written: &str,
    #[case] size: u8,
    #[case] suffix: Option<char>,
) {
    let dash: Dash = text.parse().expect("reads");
    assert_eq!(
        (dash.to_string().as_str(), dash.sixteenths(), dash.suffix()),
        (written, size, suffix)
    );
    let outside_m = f64::from(size) * 0.0254 / 16.0;
    assert!(close(dash.tube_outside().si(), outside_m, FOUR_ROUNDINGS));
}

#[rstest]
#[case("", "the dash size is missing here")]
#[case("6", "`6` has no dash in front")]
#[case("3/8 in", "`3/8 in` has no dash in front")]
#[case("-0", "`-0` is no dash size")]
#[case("-006", "`-006` is no dash size")]
#[case("-6z", "`-6z` is no dash size")]
#[case("-ZZ", "`-ZZ` is no dash size")]
#[case("-6 mm", "`-6 mm` is no dash size")]
#[case("-١", "`-١` is no dash size")]
fn a_dash_size_refuses_anything_else(#[case] text: &str, #[case] message: &str) {
    assert_eq!(text.parse::<Dash>().map_err(|error| error.to_string()), Err(message.to_owned()));
}

/// Half of what the last printed place is worth, in SI.
fn half_a_place<Q: Quantity>(si: f64, ladder: &Ladder) -> f64 {
    for step in ladder.steps {
        let unit = Q::units().iter().find(|unit| unit.symbol == step.symbol).expect("known unit");
        if unit.from_si(si).abs() < step.below {
            return unit.factor
                * match step.form {
                    Form::Decimals(places) => 0.5 * tenth_part(places),
                    Form::Fraction(parts) => 0.5 / f64::from(parts),
                };
        }
    }
    panic!("a ladder has no top");
}

fn tenth_part(places: u32) -> f64 {
    (0..places).fold(1.0, |power, _| power / 10.0)
}

fn scaled(mantissa: f64, power: i32) -> f64 {
    format!("{mantissa}e{power}").parse().expect("a number with an exponent reads")
}

fn written_text_reads_back<Q: Quantity>(value: f64) {
    // The nearest whole degree to absolute zero may lie below it: stay one unit above.
    let si = value.max(Q::LEAST + 1.0);
    for (system, ladder) in [(System::Metric, Q::METRIC), (System::Inch, Q::INCH)] {
        let text = write(Q::from_si(si), system);
        assert!(!text.starts_with("-0 ") && text != "-0", "{text}");
        let got = read::<Q>(&text).unwrap_or_else(|error| panic!("{text}: {error}")).si();
        // Twelve digits are kept before rounding: a billionth of the value on top of half a place.
        let allowed = half_a_place::<Q>(si, &ladder) * (1.0 + 1e-9) + si.abs() * 1e-9;
        assert!((got - si).abs() <= allowed, "{} {si}: {text} gives {got}", Q::NAME);
    }
}

fn exact_text_reads_back<Q: Quantity>(value: f64) {
    let si = value.max(Q::LEAST);
    let first = Q::units().first().map_or("", |unit| unit.symbol);
    for unit in Q::units() {
        let text = write_exact(Q::from_si(si), unit.symbol);
        let got = read::<Q>(&text).unwrap_or_else(|error| panic!("{text}: {error}")).si();
        // One unit in the last place, which is at most EPSILON of the value; see `write_exact`.
        let ulp = if unit.symbol == first { 0.0 } else { f64::EPSILON * si.abs() };
        let allowed = if unit.offset == 0.0 { ulp } else { 1e-12_f64.max(f64::EPSILON * si) };
        assert!((got - si).abs() <= allowed, "{} {si:e}: {text} gives {got:e}", Q::NAME);
    }
}

fn reading_never_fails_badly<Q: Quantity>(text: &str) {
    match read::<Q>(text) {
        Ok(quantity) => assert!(quantity.si().is_finite() && quantity.si() >= Q::LEAST),
        Err(error) => {
            assert!(text.get(error.span.clone()).is_some(), "{text:?} {:?}", error.span);
            assert!(!error.message.is_empty());
        }
    }
    match read_uncertain::<Q>(text) {
        Ok((_, amount)) => {
            assert!(amount.is_none_or(|a| a.si().is_finite() && a.si() >= 0.0), "{text:?}");
        }
        Err(error) => assert!(text.get(error.span.clone()).is_some(), "{text:?} {:?}", error.span),
    }
}

proptest! {
    #[test]
    fn no_string_at_all_makes_reading_panic(text in "\\PC{0,40}") {
        every_kind!(reading_never_fails_badly, &text);
        let _ = read_number(&text);
        let _ = text.parse::<Dash>();
        let _ = read_in::<Length>(1.0, &text);
    }

    #[test]
    fn no_string_of_the_trade_makes_reading_panic(
        text in "[-+−]?[0-9]{0,3}[ ./,eE–-]{0,2}[0-9]{0,3}[ /½±]{0,2}[0-9]{0,2} ?(mm|in|\"|bar abs|psig|gal|°C|µm|% 5|Kv)?",
    ) {
        every_kind!(reading_never_fails_badly, &text);
        every_kind!(reading_never_fails_badly, &format!("{text} ± {text}"));
        if let Err(error) = read_number(&text) {
            prop_assert!(text.get(error.span).is_some());
        }
    }

    #[test]
    fn written_text_reads_back_within_the_printed_rounding(mantissa in -10.0..10.0_f64, power in -7..9_i32) {
        every_kind!(written_text_reads_back, scaled(mantissa, power));
    }

    #[test]
    fn exact_text_reads_back_to_the_last_place(mantissa in -10.0..10.0_f64, power in -12..12_i32) {
        every_kind!(exact_text_reads_back, scaled(mantissa, power));
    }

    #[test]
    fn a_fraction_is_off_by_half_a_part_at_most(inches in -500.0..500.0_f64, parts in 1..65_u32) {
        let got = inch_fraction(Length::from_si(inches * 0.0254), parts);
        // Twelve digits are kept before rounding.
        prop_assert!(got.error_mm.abs() <= 12.7 / f64::from(parts) + 1e-7);
        let back = si::<Length>(&got.to_string());
        prop_assert!((back * 1e3 - inches * 25.4 - got.error_mm).abs() < 1e-9);
    }
}
