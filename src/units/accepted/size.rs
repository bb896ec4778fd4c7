//! Accepted units of length, area, volume, angle and plain ratio.

use crate::units::unit::{FOOT, GALLON_UK, GALLON_US, INCH, LITRE, Unit, unit};

pub(in crate::units) const LENGTH: &[Unit] = &[
    unit("m", &["metre", "metres", "meter", "meters"], 1.0, "SI"),
    unit("mm", &["millimetre", "millimetres", "millimeter", "millimeters"], 1e-3, "m / 1000"),
    unit("cm", &["centimetre", "centimeter"], 1e-2, "m / 100"),
    unit("km", &["kilometre", "kilometer"], 1e3, "1000 m"),
    unit("um", &["micron", "microns", "micrometre", "micrometer"], 1e-6, "m / 1 000 000"),
    unit("in", &["\"", "inch", "inches"], INCH, "0.0254 m exactly"),
    unit("ft", &["'", "foot", "feet"], FOOT, "12 in"),
    unit("yd", &["yard", "yards"], 3.0 * FOOT, "3 ft"),
    unit("thou", &[], INCH / 1000.0, "in / 1000"),
];

pub(in crate::units) const AREA: &[Unit] = &[
    unit("m2", &[], 1.0, "SI"),
    unit("cm2", &[], 1e-4, "(m / 100)2"),
    unit("mm2", &[], 1e-6, "(m / 1000)2"),
    unit("in2", &["sq in"], INCH * INCH, "(0.0254 m)2"),
    unit("ft2", &["sq ft"], FOOT * FOOT, "144 in2"),
];

pub(in crate::units) const VOLUME: &[Unit] = &[
    unit("m3", &[], 1.0, "SI"),
    unit("L", &["l", "litre", "litres", "liter", "liters"], LITRE, "m3 / 1000"),
    unit("mL", &["ml"], LITRE / 1000.0, "L / 1000"),
    unit("cm3", &["cc", "ccm"], 1e-6, "(m / 100)3"),
    unit("mm3", &[], 1e-9, "(m / 1000)3"),
    unit("in3", &["cu in"], INCH * INCH * INCH, "(0.0254 m)3"),
    unit("ft3", &["cu ft"], FOOT * FOOT * FOOT, "1728 in3"),
    unit("gal(US)", &["US gal", "USgal", "gal US"], GALLON_US, "231 in3"),
    unit("qt(US)", &["US qt"], GALLON_US / 4.0, "gal(US) / 4"),
    unit("gal(UK)", &["UK gal", "gal UK", "gal(imp)", "imp gal"], GALLON_UK, "4.546 09 L exactly"),
];

pub(in crate::units) const ANGLE: &[Unit] = &[
    unit("rad", &["radian", "radians"], 1.0, "SI"),
    unit("mrad", &[], 1e-3, "rad / 1000"),
    unit("deg", &["degree", "degrees"], core::f64::consts::PI / 180.0, "pi / 180 rad"),
];

pub(in crate::units) const RATIO: &[Unit] = &[
    unit("", &["-"], 1.0, "a plain number"),
    unit("%", &["percent", "per cent"], 1e-2, "1 / 100"),
    unit("ppm", &[], 1e-6, "1 / 1 000 000"),
];
