"""Computes the water, glycol and air tables of tables/fluid/ from CoolProp.

Usage: python fluid_tables.py [--out DIR]     (default: ../../tables/fluid)

Every cell is printed to 6 significant digits, far coarser than the last-bit
differences between machines, so a second run writes the same bytes.
"""

import argparse
import math
from pathlib import Path

import CoolProp
import CoolProp.CoolProp as coolprop

ZERO_CELSIUS_K = 273.15
ATMOSPHERE_PA = 101325.0
READ_ON = "2026-11"

# Where the viscosity fit strays most from the published data, found by comparing
# every 5 degC of the four grades; tests/reference/fluids/glycol.toml holds these points.
WEAK_END = {
    "ethylene-glycol": "9.7 % at 50 % and -35 degC",
    "propylene-glycol": "7.5 % at 40 % and -15 degC, perhaps more between there and freezing",
}

# Molar masses in g/mol and liquid densities at 20 degC in kg/m3, used only to
# turn a volume percentage into a mole fraction for the vapour estimate.
WATER_MOLAR_MASS = 18.015
WATER_DENSITY_20 = 998.21
GLYCOLS = {
    "ethylene-glycol": ("AEG", "Ethylene glycol", 62.068, 1113.2),
    "propylene-glycol": ("APG", "Propylene glycol", 76.094, 1036.1),
}
FRACTIONS = (0.3, 0.4, 0.5, 0.6)
FIT_MIN_C = -35.0
FIT_MAX_C = 100.0


def six(value):
    """A number as TOML text with 6 significant digits, never in exponent form."""
    text = f"{value:.6g}"
    if "e" in text:
        raise ValueError(f"{value!r} does not print plainly")
    return text


def water_state(temperature_c):
    """Arguments that fix liquid water: 1 atm below 100 degC, saturated from there on."""
    kelvin = temperature_c + ZERO_CELSIUS_K
    if temperature_c < 100.0:
        return ("T", kelvin, "P", ATMOSPHERE_PA, "Water")
    return ("T", kelvin, "Q", 0.0, "Water")


def water_row(temperature_c):
    """Property cells of liquid water at one temperature."""
    state = water_state(temperature_c)
    density = coolprop.PropsSI("D", *state)
    sound = coolprop.PropsSI("A", *state)
    kelvin = temperature_c + ZERO_CELSIUS_K
    vapour = coolprop.PropsSI("P", "T", max(kelvin, 273.16), "Q", 0.0, "Water")
    return {
        "temperature": temperature_c,
        "density": density,
        "viscosity": coolprop.PropsSI("V", *state) * 1e3,
        "vapour": vapour / 1e3,
        "specific_heat": coolprop.PropsSI("C", *state),
        "conductivity": coolprop.PropsSI("L", *state),
        "bulk_modulus": density * sound * sound / 1e9,
    }


def supercooled_vapour_pa(kelvin):
    """Vapour pressure over supercooled liquid water, Murphy and Koop 2005, equation 10."""
    log_t = math.log(kelvin)
    smooth = 54.842763 - 6763.22 / kelvin - 4.210 * log_t + 0.000367 * kelvin
    step = 53.878 - 1331.22 / kelvin - 9.44523 * log_t + 0.014025 * kelvin
    return math.exp(smooth + math.tanh(0.0415 * (kelvin - 218.8)) * step)


def water_vapour_pa(temperature_c):
    """Vapour pressure over liquid water on either side of the triple point."""
    kelvin = temperature_c + ZERO_CELSIUS_K
    if kelvin < 273.16:
        return supercooled_vapour_pa(kelvin)
    return coolprop.PropsSI("P", "T", kelvin, "Q", 0.0, "Water")


def water_mole_fraction(glycol, volume_fraction):
    """Moles of water per mole of mixture, volumes added as if nothing shrank."""
    _, _, molar_mass, density_20 = GLYCOLS[glycol]
    glycol_moles = volume_fraction * density_20 / molar_mass
    water_moles = (1.0 - volume_fraction) * WATER_DENSITY_20 / WATER_MOLAR_MASS
    return water_moles / (water_moles + glycol_moles)


def glycol_name(glycol, volume_fraction):
    """Name of the incompressible fit inside CoolProp."""
    return f"INCOMP::{GLYCOLS[glycol][0]}[{volume_fraction}]"


def freezing_c(glycol, volume_fraction):
    """Freezing point of the mixture according to the fit."""
    name = glycol_name(glycol, volume_fraction)
    return coolprop.PropsSI("T_FREEZE", "T", 300.0, "P", ATMOSPHERE_PA, name) - ZERO_CELSIUS_K


def glycol_temperatures(glycol, volume_fraction):
    """First whole degree above freezing inside the fit, then every 10 degC to 100."""
    first = max(float(math.ceil(freezing_c(glycol, volume_fraction))), FIT_MIN_C)
    tens = [float(t) for t in range(-30, 101, 10) if t > first]
    return [first, *tens]


def glycol_row(glycol, volume_fraction, temperature_c):
    """Property cells of one mixture at one temperature."""
    # 273.15 - 35 rounds below the fit's own lower limit; a nano-kelvin puts it back inside.
    nudge = 1e-9 if temperature_c == FIT_MIN_C else -1e-9 if temperature_c == FIT_MAX_C else 0.0
    state = ("T", temperature_c + ZERO_CELSIUS_K + nudge, "P", ATMOSPHERE_PA)
    name = glycol_name(glycol, volume_fraction)
    vapour = water_mole_fraction(glycol, volume_fraction) * water_vapour_pa(temperature_c)
    return {
        "temperature": temperature_c,
        "density": coolprop.PropsSI("D", *state, name),
        "viscosity": coolprop.PropsSI("V", *state, name) * 1e3,
        "vapour": vapour / 1e3,
        "specific_heat": coolprop.PropsSI("C", *state, name),
        "conductivity": coolprop.PropsSI("L", *state, name),
    }


def air_row(temperature_c):
    """Property cells of dry air at one atmosphere."""
    state = ("T", temperature_c + ZERO_CELSIUS_K, "P", ATMOSPHERE_PA, "Air")
    return {
        "temperature": temperature_c,
        "density": coolprop.PropsSI("D", *state),
        "viscosity": coolprop.PropsSI("V", *state) * 1e3,
        "specific_heat": coolprop.PropsSI("C", *state),
        "conductivity": coolprop.PropsSI("L", *state),
    }


UNITS = {
    "grade": "text",
    "temperature": "degC",
    "density": "kg/m3",
    "viscosity": "cP",
    "vapour": "kPa-abs",
    "specific_heat": "J/(kg K)",
    "conductivity": "W/(m K)",
    "bulk_modulus": "GPa",
}


def quoted(value):
    """TOML text of one fact or header value."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return "[" + ", ".join(f'"{entry}"' for entry in value) + "]"
    return f'"{value}"'


def row_text(row, source):
    """One entry of the row list."""
    cells = [f'{name} = {quoted(cell) if isinstance(cell, str) else six(cell)}' for name, cell in row.items()]
    return "  { " + ", ".join([*cells, f"source = {quoted(source)}"]) + " },"


def table_text(header, sources, facts, rows):
    """A whole table: header, columns, sources, facts and rows."""
    lines = ["# Written by tests/oracle/fluid_tables.py: change that and run it, not this file.", "[table]", *(f"{name} = {quoted(value)}" for name, value in header.items()), "", "[columns]"]
    used = list(rows[0][0])
    lines += [f'{name} = "{UNITS[name]}"' for name in used]
    for source in sources:
        lines += ["", "[[source]]", *(f"{name} = {quoted(value)}" for name, value in source.items())]
    lines += ["", "[facts]"]
    lines += [f"{name} = {{ value = {quoted(value)}, source = {quoted(source)} }}" for name, (value, source) in facts.items()]
    lines += ["", "[rows]", "list = [", *(row_text(row, source) for row, source in rows), "]", ""]
    return "\n".join(lines)


def source_entry(ident, document, edition, place, standing, url=None):
    """One source block; every table here was computed or read in the same month."""
    entry = {"id": ident, "document": document, "edition": edition, "place": place}
    if url:
        entry["url"] = url
    return {**entry, "read_on": READ_ON, "standing": standing}


def version():
    """The CoolProp version, as cited in the tables."""
    return f"CoolProp {CoolProp.__version__}"


def water_table():
    """Liquid water from the triple point to 120 degC."""
    temperatures = [0.01, *(float(t) for t in range(5, 121, 5))]
    header = {
        "kind": "fluid",
        "name": "water",
        "title": "Fresh water: density, viscosity, vapour pressure, heat and stiffness from 0 to 120 degC",
        "key": ["temperature"],
        "between": "linear",
        "note": (
            "Rows below 100 degC are at 101.325 kPa; rows from 100 degC up are liquid at its own vapour pressure, "
            "so they hold only in a pressurised system. bulk_modulus is the adiabatic one, which is what a pressure "
            "surge feels. Between rows the points law works on the logarithm of viscosity and of vapour pressure "
            "against 1/T; the plain linear reading is for the other columns. River and lake water may be taken from "
            "here; sea water is 2 to 3 % denser: use this table where that does not matter."
        ),
    }
    sources = [
        source_entry("iapws", f"IAPWS R6-95(2018) equation of state, R12-08 viscosity, R15-11 conductivity, computed with {version()}",
                     "R6-95(2018), R12-08, R15-11", "fluid Water, equation of state HEOS", "cross-checked", "https://www.iapws.org"),
        source_entry("class", "fluid class names of the compatibility table", "first", "fluid classes", "common-practice"),
    ]
    facts = {
        "law": ("points", "iapws"),
        "use": ("water", "class"),
        "compat": ("water", "class"),
        "flammable": (False, "class"),
        "temperature_min": ("0.01 degC", "iapws"),
        "temperature_max": ("120 degC", "iapws"),
        "freezing": ("0 degC", "iapws"),
    }
    return table_text(header, sources, facts, [(water_row(t), "iapws") for t in temperatures])


def glycol_table(glycol):
    """One glycol in water, four strengths by volume."""
    fit, title, molar_mass, density_20 = GLYCOLS[glycol]
    header = {
        "kind": "fluid",
        "name": glycol,
        "title": f"{title} and water coolant, 30 to 60 % by volume, from freezing to 100 degC",
        "key": ["grade", "temperature"],
        "between": "linear",
        "note": (
            "The percentage is by VOLUME, as on a workshop label; tables by mass differ. Corrosion inhibitors are not "
            "counted. Viscosity keeps within 3 % of the published tables above 0 degC and 5 % below, but at the cold "
            f"end it can read low: by {WEAK_END[glycol]}. The first row of a grade is the first whole degree above freezing, or -35 degC where the fit ends. "
            "vapour is an estimate, good to about 3 %: the water's mole fraction times its own vapour pressure, glycol "
            "taken as not evaporating. Between rows the points law works on the logarithm of viscosity and of vapour "
            "pressure against 1/T; the plain linear reading is for the other columns. Stiffness of the mixture is not "
            "known, so bulk_modulus is absent."
        ),
    }
    sources = [
        source_entry("fit", f"incompressible-fluid fit {fit} to ASHRAE tabulated data, computed with {version()}", version().split()[1],
                     f"fluid INCOMP::{fit}, volume fractions 0.3 to 0.6", "cross-checked", "http://www.coolprop.org/fluid_properties/Incompressibles.html"),
        source_entry("raoult", "Raoult's law with water vapour pressure of IAPWS R6-95(2018), Murphy and Koop below 0.01 degC (Q. J. R. Meteorol. Soc. 131)",
                     "2018; 2005", f"ideal mixing of volumes, {molar_mass} g/mol and {density_20} kg/m3 at 20 degC for the glycol; Murphy and Koop equation 10",
                     "common-practice"),
        source_entry("class", "fluid class names of the compatibility table", "first", "fluid classes", "common-practice"),
    ]
    facts = {
        "law": ("points", "fit"),
        "use": ("coolant", "class"),
        "compat": ("glycol coolant", "class"),
        "flammable": (False, "class"),
        "concentration": ("volume", "fit"),
        "temperature_min": ("-35 degC", "fit"),
        "temperature_max": ("100 degC", "fit"),
    }
    for fraction in FRACTIONS:
        facts[f"freezing_{round(100 * fraction)}"] = (f"{freezing_c(glycol, fraction):.1f} degC", "fit")
    rows = []
    for fraction in FRACTIONS:
        for temperature in glycol_temperatures(glycol, fraction):
            cells = {"grade": f"{round(100 * fraction)} %", **glycol_row(glycol, fraction, temperature)}
            rows.append((cells, ["fit", "raoult"]))
    return table_text(header, sources, facts, rows)


def air_table():
    """Dry air at one atmosphere."""
    header = {
        "kind": "fluid",
        "name": "air",
        "title": "Dry air at 101.325 kPa, from -40 to 140 degC",
        "key": ["temperature"],
        "between": "linear",
        "note": (
            "Density holds at 101.325 kPa only: scale it with the absolute pressure. Viscosity, specific heat and "
            "conductivity hardly change up to about 10 bar. Damp air is up to 2 % lighter on a hot day."
        ),
    }
    sources = [
        source_entry("air", f"Lemmon and others, J. Phys. Chem. Ref. Data 29 (equation of state); Lemmon and Jacobsen, Int. J. Thermophys. 25 (viscosity, conductivity), computed with {version()}",
                     "2000; 2004", "fluid Air, equation of state HEOS", "cross-checked", "http://www.coolprop.org/fluid_properties/fluids/Air.html"),
        source_entry("class", "fluid class names of the compatibility table", "first", "fluid classes", "common-practice"),
    ]
    facts = {
        "law": ("points", "air"),
        "use": ("air", "class"),
        "compat": ("air", "class"),
        "flammable": (False, "class"),
        "gas": (True, "air"),
        "pressure": ("101.325 kPa abs", "air"),
        "temperature_min": ("-40 degC", "air"),
        "temperature_max": ("140 degC", "air"),
    }
    return table_text(header, sources, facts, [(air_row(float(t)), "air") for t in range(-40, 141, 20)])


def main():
    """Writes the four tables."""
    here = Path(__file__).resolve().parent
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=here.parents[1] / "tables" / "fluid")
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    tables = {"water": water_table(), "air": air_table(), **{glycol: glycol_table(glycol) for glycol in GLYCOLS}}
    for name, text in tables.items():
        (out / f"{name}.toml").write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}.toml: {text.count('{ temperature') + text.count('{ grade')} rows")


if __name__ == "__main__":
    main()
