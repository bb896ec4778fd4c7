"""Writes the reference numbers of tests/oracle/*.csv from independent libraries.

Usage: python generate.py [--out DIR]         (default: next to this file)

Each file starts with one comment line naming the library, its version and the
function, then a line of column names that carry their units. Given numbers are
rounded before they are used, so the printed text is exactly what was computed
with; results have 12 significant digits (17 for the friction factor, which is
computed with 50), coarser than the last-bit differences between machines.
"""

import argparse
import math
from pathlib import Path

import CoolProp
import fluids
import ht
import mpmath
import scipy
import scipy.integrate
from fluids import core, fittings, friction
from scipy.optimize import brentq

import cutting
import fluid_tables
import networks
import places
import rods
import shortest_paths
import vessels

COOLPROP = f"CoolProp {CoolProp.__version__}"
FLUIDS = f"fluids {fluids.__version__}"
HT = f"ht {ht.__version__}"
MPMATH = f"mpmath {mpmath.__version__}"
SCIPY = f"scipy {scipy.__version__}"
PYTHON = "plain Python"

# Fractional steps of a low-discrepancy additive sequence: powers of the root of
# x^(d+1) = x + 1 for two and for seven dimensions. No seed and no clock.
STEP_2D = 1.324717957244746
STEP_7D = 1.094979787080440


def sequence(count, dimensions, root):
    """Points that fill the unit cube evenly, always the same ones."""
    for index in range(1, count + 1):
        yield [(0.5 + index * root ** -(axis + 1)) % 1.0 for axis in range(dimensions)]


def between(low, high, fraction):
    """A value on a logarithmic scale, rounded to the 6 digits that get printed."""
    return float(f"{low * (high / low) ** fraction:.6g}")


def given(value):
    """A number as typed in: shortest text that reads back to the same double."""
    return value if isinstance(value, str) else repr(float(value)).removesuffix(".0")


def result(value):
    """A computed number with 12 significant digits."""
    return value if isinstance(value, str) else f"{float(value):.12g}"


def colebrook_exact(reynolds, roughness_ratio):
    """Darcy factor of the Colebrook equation (2.51 and 3.7) to 50 digits by Newton's method."""
    with mpmath.workdps(50):
        re, ratio = mpmath.mpf(reynolds), mpmath.mpf(roughness_ratio)
        a, b = ratio / mpmath.mpf("3.7"), mpmath.mpf("2.51") / re
        x = mpmath.mpf(7)
        for _ in range(60):
            inside = a + b * x
            step = (x + 2 * mpmath.log10(inside)) / (1 + 2 * b / (inside * mpmath.log(10)))
            x -= step
            if abs(step) < mpmath.mpf(10) ** -45:
                return 1 / (x * x)
    raise ArithmeticError(f"no convergence at {reynolds}, {roughness_ratio}")


def friction_rows():
    """300 points: corners, smooth tubes and rough ones, turbulent throughout."""
    points = [(re, ratio) for re in (4e3, 1e5, 1e8) for ratio in (0.0, 1e-7, 1e-3, 0.05)]
    points += [(between(4e3, 1e8, (i + 0.5) / 48), 0.0) for i in range(48)]
    points += [(between(4e3, 1e8, u), between(1e-7, 0.05, v)) for u, v in sequence(240, 2, STEP_2D)]
    for re, ratio in points:
        factor = colebrook_exact(re, ratio)
        library = friction.Colebrook(re, ratio)
        if abs(library / float(factor) - 1.0) > 1e-9:
            raise ArithmeticError(f"{FLUIDS} disagrees at {re}, {ratio}: {library}")
        yield [re, ratio], [mpmath.nstr(factor, 17, min_fixed=-9, max_fixed=9)]


def drop_rows():
    """60 lines, 24 laminar and 36 turbulent; the uncertain band 1900 to 4200 is left out."""
    wanted = {"laminar": 24, "turbulent": 36}
    for point in sequence(2000, 7, STEP_7D):
        bore = between(0.003, 0.08, point[0])
        length = between(0.1, 20.0, point[1])
        flow = float(f"{between(0.05, 6.0, point[2]) * math.pi / 4 * bore * bore:.6g}")
        density = between(700.0, 1100.0, point[3])
        viscosity = between(3e-4, 0.3, point[4])
        roughness = between(5e-7, 2e-4, point[5])
        loss_sum = float(f"{12.0 * point[6]:.4g}")
        velocity = flow / (math.pi / 4 * bore * bore)
        reynolds = core.Reynolds(V=velocity, D=bore, rho=density, mu=viscosity)
        regime = "laminar" if reynolds < 1900.0 else "turbulent" if reynolds > 4200.0 else None
        if regime is None or roughness / bore > 0.05 or wanted[regime] == 0:
            continue
        wanted[regime] -= 1
        factor = friction.friction_factor(Re=reynolds, eD=roughness / bore, Method="Colebrook")
        losses = core.K_from_f(fd=factor, L=length, D=bore) + loss_sum
        drop = core.dP_from_K(losses, rho=density, V=velocity)
        yield [bore, length, flow, density, viscosity, roughness, loss_sum], [velocity, reynolds, factor, drop]


def bend_rows():
    """Bend angle, radius and friction factor; the whole loss and its part above straight friction."""
    for angle in (10.0, 22.5, 45.0, 60.0, 90.0, 120.0, 150.0, 180.0):
        for ratio in (1.0, 1.5, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0):
            for factor in (0.012, 0.02, 0.03, 0.04):
                loss = fittings.bend_rounded(Di=1.0, angle=angle, fd=factor, rc=ratio, method="Rennels")
                yield [angle, ratio, factor], [loss, loss - factor * math.radians(angle) * ratio]


RATIOS = (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0)


def contraction_rows():
    """Sudden contraction, loss on the velocity head of the small bore."""
    for ratio in RATIOS:
        yield [ratio], [fittings.contraction_sharp(Di1=1.0, Di2=ratio, method="Rennels")]


def expansion_rows():
    """Sudden expansion, loss on the velocity head of the small bore."""
    for ratio in RATIOS:
        yield [ratio], [fittings.diffuser_sharp(Di1=ratio, Di2=1.0, method="Rennels")]


def sudden_laminar_rows():
    """Hooper's sudden changes below Re 2500, each on the head of the bore upstream or downstream as named."""
    for ratio in (0.2, 0.4, 0.6, 0.8, 0.95):
        for reynolds in (10.0, 100.0, 500.0, 1500.0, 2400.0):
            small = fittings.contraction_sharp(Di1=1.0, Di2=ratio, Re=reynolds, method="Hooper")
            wide = fittings.diffuser_sharp(Di1=ratio, Di2=1.0, Re=reynolds, method="Hooper")
            yield [ratio, reynolds], [small, wide]


def entrance_rows():
    """Tank outlet with a rounded edge; radius 0 is the sharp edge."""
    yield [0.0], [fittings.entrance_sharp(method="Rennels")]
    for ratio in (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0):
        yield [ratio], [fittings.entrance_rounded(Di=1.0, rc=ratio, method="Rennels")]


def two_k_rows():
    """Hooper's two-constant loss; his bore is in inches."""
    for k1, k_inf in ((800.0, 0.2), (500.0, 0.7), (1000.0, 0.4), (300.0, 0.1), (160.0, 0.5), (1500.0, 4.0)):
        for reynolds in (50.0, 500.0, 3000.0, 1e5):
            for bore in (0.25, 0.5, 1.0, 2.067):
                loss = fittings.Hooper2K(Di=bore, Re=reynolds, K1=k1, Kinfty=k_inf)
                yield [k1, k_inf, reynolds, bore], [loss]


def valve_rows():
    """Loss from a metric valve coefficient: the library's rounded constant and the exact definition."""
    for kv in (0.05, 0.3, 1.0, 2.5, 6.3, 16.0, 40.0):
        for bore in (0.004, 0.008, 0.0127, 0.019, 0.025, 0.05):
            # 1 m3/h of 1000 kg/m3 water loses 1 bar: K = dp / (rho V^2 / 2).
            velocity = kv / 3600.0 / (math.pi / 4 * bore * bore)
            exact = 1e5 / (0.5 * 1000.0 * velocity * velocity)
            yield [kv, bore], [fittings.Kv_to_K(kv, bore), exact]


def valve_us_rows():
    """US valve coefficient to metric."""
    for cv in (0.05, 1.0, 7.5, 40.0):
        yield [cv], [fittings.Cv_to_Kv(cv)]


def curved_rows():
    """Laminar flow in a coil: White's factor and Schmidt's upper end of laminar flow."""
    for ratio in (4.0, 8.0, 15.0, 40.0, 150.0):
        for reynolds in (10.0, 50.0, 200.0, 600.0, 1200.0, 2000.0):
            factor = friction.helical_laminar_fd_White(Re=reynolds, Di=1.0, Dc=ratio)
            limit = friction.helical_transition_Re_Schmidt(Di=1.0, Dc=ratio)
            dean = reynolds / math.sqrt(ratio)
            yield [ratio, reynolds], [dean, factor, factor * reynolds / 64.0, limit]


def atmosphere_rows():
    """Standard atmosphere by GEOMETRIC height, with the geopotential height it equals."""
    for height in (-2000.0, -500.0, 0.0, 123.0, 500.0, 1000.0, 1524.0, 2500.0, 3048.0, 4572.0, 6000.0, 7620.0, 9000.0, 11000.0):
        air = fluids.ATMOSPHERE_1976(height)
        yield [height], [air.H, air.P, air.T]


def water_rows():
    """Water away from the table's own temperatures, 1 atm below 100 degC and saturated above."""
    for temperature in (1.0, 2.5, 3.98, 7.5, 12.3, 17.5, 22.5, 28.1, 33.3, 37.5, 42.5, 47.7, 52.5, 57.5, 62.1,
                        67.5, 72.5, 77.7, 82.5, 87.5, 92.5, 97.3, 102.5, 106.6, 112.5, 117.5, 119.0):
        row = fluid_tables.water_row(temperature)
        yield [temperature], [row["density"], row["viscosity"] * 1e-3, row["vapour"] * 1e3, row["specific_heat"],
                              row["conductivity"], row["bulk_modulus"] * 1e9]


def glycol_rows():
    """Both glycols away from the table's own temperatures."""
    for glycol in fluid_tables.GLYCOLS:
        for fraction in fluid_tables.FRACTIONS:
            first = fluid_tables.glycol_temperatures(glycol, fraction)[0]
            for temperature in (-32.5, -25.0, -17.0, -12.5, -5.0, 2.5, 15.0, 25.0, 37.5, 55.0, 72.5, 85.0, 95.0):
                if temperature > first:
                    row = fluid_tables.glycol_row(glycol, fraction, temperature)
                    yield [glycol, f"{round(100 * fraction)} %", temperature], [
                        row["density"], row["viscosity"] * 1e-3, row["vapour"] * 1e3, row["specific_heat"], row["conductivity"]]


def air_rows():
    """Dry air at one atmosphere away from the table's own temperatures."""
    for temperature in (-35.0, -30.0, -10.0, 15.0, 25.0, 33.3, 50.0, 75.0, 90.0, 110.0, 135.0):
        row = fluid_tables.air_row(temperature)
        yield [temperature], [row["density"], row["viscosity"] * 1e-3, row["specific_heat"], row["conductivity"]]


def walther_z(viscosity_mm2_s):
    """The Z of ASTM D341 for a viscosity in mm2/s."""
    nu = viscosity_mm2_s
    return nu + 0.7 + math.exp(-1.47 - 1.84 * nu - 0.51 * nu * nu)


def walther_inverse(z):
    """The standard's own closed form back from Z, itself an approximation."""
    w = z - 0.7
    return w - math.exp(-0.7487 - 3.295 * w + 0.6119 * w * w - 0.3193 * w * w * w)


def d341(first, second, temperature_c):
    """Viscosity by the two-point law: standard's inverse, and the exact root."""
    (t1, v1), (t2, v2) = first, second
    x1, x2 = (math.log10(t + fluid_tables.ZERO_CELSIUS_K) for t in (t1, t2))
    y1, y2 = (math.log10(math.log10(walther_z(v))) for v in (v1, v2))
    slope = (y1 - y2) / (x2 - x1)
    loglog = y1 + slope * (x1 - math.log10(temperature_c + fluid_tables.ZERO_CELSIUS_K))
    z = 10.0 ** (10.0 ** loglog)
    exact = brentq(lambda nu: walther_z(nu) - z, 0.1, 1e8, xtol=1e-14, rtol=1e-15, maxiter=500)
    return slope, walther_inverse(z), exact


def d341_rows():
    """Oils, a fuel and a thin coolant, inside and outside the two given points."""
    pairs = (((40.0, 404.0), (100.0, 28.0)), ((40.0, 68.0), (80.0, 14.85)), ((40.0, 32.0), (100.0, 5.4)),
             ((40.0, 94.0), (100.0, 14.4)), ((40.0, 13.2), (100.0, 4.9)), ((40.0, 1000.0), (100.0, 50.0)),
             ((-20.0, 4.1), (40.0, 1.3)), ((20.0, 3.6), (80.0, 0.96)))
    for first, second in pairs:
        for temperature in (-20.0, 0.0, 15.0, 25.0, 40.0, 60.0, 75.0, 90.0, 100.0, 120.0):
            slope, standard, exact = d341(first, second, temperature)
            if 0.3 <= exact <= 2e7:
                yield [*first, *second, temperature], [slope, standard, exact]


def surge_rows():
    """Wave speed in an elastic tube and the pressure rise of a sudden stop."""
    for density, bulk in ((998.2, 2.19e9), (730.0, 1.1e9), (860.0, 1.5e9)):
        for bore, wall, modulus in ((0.013, 0.0015, 2.0e11), (0.010922, 0.000889, 6.9e10), (0.0127, 0.004, 1e8), (0.05, 0.005, 2.0e11)):
            for restraint in (1.0, 0.91, 0.85):
                change = 1.5
                speed = math.sqrt(bulk / density) / math.sqrt(1.0 + restraint * bulk * bore / (modulus * wall))
                yield [density, bulk, bore, wall, modulus, restraint, change], [speed, density * speed * change]


def leak_rows():
    """End of a test with air in a closed volume that a small opening empties or fills, as warm as the wall all the time."""
    constant, ratio, viscosity, kelvin = 287.0, 1.4, 1.82e-5, 293.15
    critical = (2.0 / (ratio + 1.0)) ** (ratio / (ratio - 1.0))

    def flux(before, behind):
        r = max(behind / before, critical)
        return before * math.sqrt(2.0 * ratio / ((ratio - 1.0) * constant * kelvin) * (r ** (2.0 / ratio) - r ** ((ratio + 1.0) / ratio)))

    for volume, start, outside, jet, seconds in ((1e-3, 121325.0, 101325.0, 1e-9, 300.0), (1e-3, 121325.0, 101325.0, 4e-9, 200.0), (5e-4, 400e3, 101325.0, 1e-8, 120.0),
                                                 (5e-4, 1e6, 80e3, 2e-7, 20.0), (2e-3, 20e3, 101325.0, 3e-8, 60.0), (2e-3, 71325.0, 101325.0, 5e-9, 600.0)):
        passage = round(jet * 1e-4, 16)

        def through_jet(_, p):
            into = -flux(p[0], outside) if p[0] > outside else flux(outside, p[0])
            return [into * jet * constant * kelvin / volume]

        def through_passage(_, p):
            return [passage * (outside ** 2 - p[0] ** 2) / volume]

        ends = [round(float(scipy.integrate.solve_ivp(law, (0.0, seconds), [start], method="LSODA", rtol=1e-12, atol=1e-6).y[0][-1]), 2) for law in (through_jet, through_passage)]
        high, low = max(start, outside), min(start, outside)
        work = scipy.integrate.quad(lambda v: high * v ** -ratio, 1.0, (high / low) ** (1.0 / ratio), epsabs=0.0, epsrel=1e-12)[0] * volume
        yield [volume, start, outside, seconds, jet, passage], [*ends, work]


PSI_PA = 6894.757293168


def reid_rows():
    """Petrol vapour pressure from Reid pressure, distillation slope and temperature."""
    for rvp in (5.5, 6.7, 7.0, 8.7, 9.0, 10.0, 13.0, 15.0):
        for slope in (2.0, 3.0):
            a = 15.64 - 1.854 * math.sqrt(slope) - (0.8742 - 0.3280 * math.sqrt(slope)) * math.log(rvp)
            b = 8742.0 - 1042.0 * math.sqrt(slope) - (1049.0 - 179.4 * math.sqrt(slope)) * math.log(rvp)
            for fahrenheit in (0.0, 40.0, 60.0, 80.0, 100.0, 110.0):
                psi = math.exp(a - b / (fahrenheit + 459.67))
                yield [rvp, slope, fahrenheit], [a, b, psi, psi * PSI_PA]


# K0, K1, K2 per kelvin on a 15 degC base, and the densities tried in each group.
PETROLEUM = {
    "gasoline": (346.4228, 0.4388, 0.0, (680.0, 720.0, 740.0, 765.0)),
    "transition": (2680.3206, 0.0, -0.00336312, (772.0, 780.0, 786.0)),
    "jet": (594.5418, 0.0, 0.0, (790.0, 800.0, 835.0)),
    "fuel-oil": (186.9696, 0.4862, 0.0, (840.0, 845.0, 900.0)),
    "crude": (613.9723, 0.0, 0.0, (750.0, 850.0, 950.0)),
    "lubricating": (0.0, 0.6278, 0.0, (850.0, 880.0, 920.0)),
}


def vcf_rows():
    """Volume correction of petroleum liquids from 15 degC."""
    for group, (k0, k1, k2, densities) in PETROLEUM.items():
        for density in densities:
            alpha = k0 / (density * density) + k1 / density + k2
            for temperature in (-20.0, 0.0, 15.0, 30.0, 45.0, 60.0):
                step = temperature - 15.0
                factor = math.exp(-alpha * step * (1.0 + 0.8 * alpha * step))
                yield [group, density, temperature], [alpha, factor, density * factor]


ARRANGEMENTS = ("counterflow", "parallel", "crossflow", "S&T", "boiler")


def ratios_of(arrangement):
    """Capacity ratios to try: an unchanging stream has none, and the crossflow integral divides by it."""
    if arrangement == "boiler":
        return (0.0,)
    return (0.1, 0.37, 0.8, 1.0) if arrangement == "crossflow" else (0.0, 0.1, 0.37, 0.8, 0.999, 1.0)


def effectiveness_rows():
    """Effectiveness of an exchanger from its transfer units."""
    for arrangement in ARRANGEMENTS:
        for ratio in ratios_of(arrangement):
            for units in (0.05, 0.3, 1.0, 2.4, 5.0, 9.0):
                yield [arrangement, units, ratio], [ht.effectiveness_from_NTU(units, ratio, subtype=arrangement)]


def transfer_units_rows():
    """Transfer units back from an effectiveness, where the library has a closed form."""
    for arrangement in ARRANGEMENTS:
        if arrangement == "crossflow":
            continue
        # The library's inverse for a shell divides by zero at equal capacity flows.
        for ratio in (ratio for ratio in ratios_of(arrangement) if (arrangement, ratio) != ("S&T", 1.0)):
            for share in (0.05, 0.3, 0.7, 0.95):
                most = ht.effectiveness_from_NTU(20.0, ratio, subtype=arrangement)
                wanted = float(f"{share * most:.4g}")
                yield [arrangement, wanted, ratio], [ht.NTU_from_effectiveness(wanted, ratio, subtype=arrangement)]


def network_streams(number, chance):
    """Links of a network whose flows balance: loops of their own flow that share nodes, and one through flow."""
    loops = 2 + number % 4
    nodes = 4 + 2 * loops
    links, loop_of = [], []
    for loop in range(loops):
        flow = between(0.02, 2.0, next(chance))
        specific_heat = between(1800.0, 4200.0, next(chance))
        # Every second loop keeps to its own half, so that only exchangers couple it.
        low, high = ((0, nodes // 2) if loop % 2 else (nodes // 2, nodes)) if number % 2 else (0, nodes)
        stops = sorted({low + int((high - low) * next(chance)) for _ in range(5)} | {low, high - 1})
        for place, start in enumerate(stops):
            end = stops[(place + 1) % len(stops)]
            turned = next(chance) < 0.3
            ends = (end, start) if turned else (start, end)
            links.append([*ends, -flow if turned else flow, specific_heat, 0.0])
            loop_of.append(loop)
    held = []
    if number % 3 == 0:
        flow = between(0.01, 0.5, next(chance))
        held = [(0, 288.15), (nodes, 300.0)]
        links += [[0, 1, flow, 2000.0, 0.0], [1, nodes, flow, 2000.0, 0.0]]
        loop_of += [loops, loops]
    return links, loop_of, held


def network(number):
    """A whole network: every loop is heated, and has a cooler or an exchanger with a loop that has one."""
    chance = (point[0] for point in sequence(100000, 7, STEP_7D + 0.01 * number))
    links, loop_of, held = network_streams(number, chance)
    own = [[at for at, loop in enumerate(loop_of) if loop == wanted] for wanted in range(max(loop_of) + 1)]
    coolers, exchangers = [], []
    for loop, (places, others) in enumerate(zip(own, own[1:] + [[]])):
        links[places[1]][4] = float(f"{20000.0 * next(chance) - 2000.0:.5g}")
        if len(places) > 3 and len(others) > 2:
            exchangers.append((places[-1], others[2], float(f"{0.2 + 0.8 * next(chance):.3g}")))
        elif loop % 2:
            coolers.append((places[0], 0.5, 800.0, 310.0))
        if loop % 2 == 0:
            coolers.append((places[0], float(f"{0.1 + 0.9 * next(chance):.3g}"), between(50.0, 5000.0, next(chance)), 293.15))
    return links, exchangers, coolers, held


def network_solution(links, exchangers, coolers, held):
    """Node temperatures, outlet temperatures and heats as unknowns of one system, solved with 50 digits."""
    nodes = 1 + max(max(link[:2]) for link in links)
    count, held_at = len(links), dict(held)
    size = nodes + count + len(exchangers) + len(coolers)
    a, b = mpmath.matrix(size, size), mpmath.matrix(size, 1)
    enters = [link[1] if link[2] < 0 else link[0] for link in links]
    leaves = [link[0] if link[2] < 0 else link[1] for link in links]
    capacity = [mpmath.mpf(abs(link[2])) * mpmath.mpf(link[3]) for link in links]
    for node in range(nodes):
        if node in held_at or node not in leaves:
            a[node, node], b[node] = 1, mpmath.mpf(held_at.get(node, 0.0))
            continue
        for at in (at for at in range(count) if leaves[at] == node):
            a[node, nodes + at] += capacity[at]
            a[node, node] -= capacity[at]
    for at, link in enumerate(links):
        row = nodes + at
        a[row, row], a[row, enters[at]], b[row] = capacity[at], -capacity[at], mpmath.mpf(link[4])
    for place, (first, second, effectiveness) in enumerate(exchangers):
        row, factor = nodes + count + place, mpmath.mpf(effectiveness) * min(capacity[first], capacity[second])
        a[row, row], a[row, enters[first]], a[row, enters[second]] = 1, -factor, factor
        a[nodes + first, row], a[nodes + second, row] = 1, -1
    for place, (at, effectiveness, air_capacity, air) in enumerate(coolers):
        row = nodes + count + len(exchangers) + place
        factor = mpmath.mpf(effectiveness) * min(capacity[at], mpmath.mpf(air_capacity))
        a[row, row], a[row, enters[at]], b[row] = 1, -factor, -factor * mpmath.mpf(air)
        a[nodes + at, row] = 1
    solved = mpmath.lu_solve(a, b)
    taken = [mpmath.fsum(capacity[at] * (solved[nodes + at] - solved[node]) for at in range(count) if leaves[at] == node)
             for node, _ in held]
    return ([(solved[enters[at]], solved[nodes + at]) for at in range(count)],
            list(solved)[nodes + count:nodes + count + len(exchangers)], list(solved)[nodes + count + len(exchangers):], taken)


def mixing_rows():
    """Sixteen networks, one part a row: links with their two temperatures, the rest with their heat."""
    for number in range(16):
        links, exchangers, coolers, held = network(number)
        with mpmath.workdps(50):
            ends, exchanged, cooled, taken = network_solution(links, exchangers, coolers, held)
        for link, (inlet, outlet) in zip(links, ends):
            yield [number, "link", *link], [inlet, outlet]
        for (first, second, effectiveness), heat in zip(exchangers, exchanged):
            yield [number, "exchanger", first, second, effectiveness, 0, 0], [heat, 0]
        for (at, effectiveness, capacity, air), heat in zip(coolers, cooled):
            yield [number, "cooler", at, 0, effectiveness, capacity, air], [heat, 0]
        for (node, temperature), heat in zip(held, taken):
            yield [number, "held", node, 0, temperature, 0, 0], [heat, 0]


# file name: (origin line, given columns, result columns, rows)
FILES = {
    "friction": (f"{MPMATH}: Newton's method at 50 digits on Colebrook's equation, constants 2.51 and 3.7; agrees with {FLUIDS} fluids.friction.Colebrook to 1e-9",
                 "reynolds roughness_ratio", "friction_factor", friction_rows),
    "drop": (f"{FLUIDS}: fluids.core.Reynolds, fluids.friction.friction_factor(Method='Colebrook'), fluids.core.K_from_f, fluids.core.dP_from_K",
             "bore_m length_m flow_m3_s density_kg_m3 viscosity_pa_s roughness_m loss_sum",
             "velocity_m_s reynolds friction_factor drop_pa", drop_rows),
    "bend": (f"{FLUIDS}: fluids.fittings.bend_rounded(method='Rennels'); excess is that less fd * angle * radius / bore",
             "angle_deg radius_over_bore friction_factor", "loss excess", bend_rows),
    "contraction": (f"{FLUIDS}: fluids.fittings.contraction_sharp(method='Rennels'), on the small bore", "bore_ratio", "loss", contraction_rows),
    "expansion": (f"{FLUIDS}: fluids.fittings.diffuser_sharp(method='Rennels') which is Borda-Carnot, on the small bore", "bore_ratio", "loss", expansion_rows),
    "sudden-laminar": (f"{FLUIDS}: fluids.fittings.contraction_sharp and diffuser_sharp (method='Hooper'), reynolds in the bore upstream, losses on the small bore",
                       "bore_ratio reynolds", "contraction_loss expansion_loss", sudden_laminar_rows),
    "entrance": (f"{FLUIDS}: fluids.fittings.entrance_sharp and entrance_rounded (method='Rennels')", "radius_over_bore", "loss", entrance_rows),
    "two-k": (f"{FLUIDS}: fluids.fittings.Hooper2K, bore in inches", "k1 k_inf reynolds bore_in", "loss", two_k_rows),
    "valve": (f"{FLUIDS}: fluids.fittings.Kv_to_K (constant rounded to 1.6e9); loss_exact by {PYTHON} from 1 m3/h, 1 bar, 1000 kg/m3",
              "kv_m3_h bore_m", "loss_library loss_exact", valve_rows),
    "valve-us": (f"{FLUIDS}: fluids.fittings.Cv_to_Kv", "cv_gal_min", "kv_m3_h", valve_us_rows),
    "curved": (f"{FLUIDS}: fluids.friction.helical_laminar_fd_White and helical_transition_Re_Schmidt; coil DIAMETER over bore",
               "coil_diameter_over_bore reynolds", "dean friction_factor over_straight transition_reynolds", curved_rows),
    "atmosphere": (f"{FLUIDS}: fluids.ATMOSPHERE_1976 taken at GEOMETRIC height", "geometric_m", "geopotential_m pressure_pa temperature_k", atmosphere_rows),
    "water": (f"{COOLPROP}: PropsSI HEOS Water (IAPWS-95, R12-08, R15-11), 101325 Pa below 100 degC, saturated liquid from there; bulk modulus is rho * c^2",
              "temperature_degc", "density_kg_m3 viscosity_pa_s vapour_pa specific_heat_j_kg_k conductivity_w_m_k bulk_modulus_pa", water_rows),
    "glycol": (f"{COOLPROP}: PropsSI INCOMP::AEG and INCOMP::APG (volume fractions) at 101325 Pa; vapour_pa by {PYTHON}, Raoult's law",
               "fluid grade temperature_degc", "density_kg_m3 viscosity_pa_s vapour_pa specific_heat_j_kg_k conductivity_w_m_k", glycol_rows),
    "air": (f"{COOLPROP}: PropsSI HEOS Air at 101325 Pa", "temperature_degc", "density_kg_m3 viscosity_pa_s specific_heat_j_kg_k conductivity_w_m_k", air_rows),
    "d341": (f"{PYTHON} and {SCIPY}: ASTM D341 two-point law; viscosity_standard by the closed inverse, viscosity_exact by scipy.optimize.brentq",
             "t1_degc v1_mm2_s t2_degc v2_mm2_s temperature_degc", "slope viscosity_standard_mm2_s viscosity_exact_mm2_s", d341_rows),
    "network": (f"{SCIPY} and {FLUIDS}: random networks, scipy.optimize.least_squares on the pressures with fluids.friction.Colebrook; "
                "x1.. are pressure or taken flow (held, free), bore length roughness loss_sum viscosity (run), linear square (loss), "
                "rest square (pump), flow slip (gear); the answer is a pressure or a mass flow",
                "network what from to density_kg_m3 lift_pa opens_pa x1 x2 x3 x4 x5", "answer", networks.rows),
    "surge": (f"{PYTHON}: Korteweg wave speed and Joukowsky rise", "density_kg_m3 bulk_modulus_pa bore_m wall_m tube_modulus_pa restraint velocity_change_m_s",
              "wave_speed_m_s rise_pa", surge_rows),
    "leak": (f"{SCIPY}: scipy.integrate.solve_ivp on a closed volume of air (287 J/(kg K), 1.4) at 293.15 K behind a nozzle of jet_m2, and behind a laminar passage; "
             "scipy.integrate.quad of the isentropic work between both pressures, from the higher one in the volume",
             "volume_m3 start_pa outside_pa time_s jet_m2 passage_m3_pa_s", "end_jet_pa end_passage_pa energy_j", leak_rows),
    "reid": (f"{PYTHON}: US EPA AP-42 section 7.1 refined petroleum stocks, T in Rankine = degF + 459.67", "reid_psi slope temperature_degf",
             "constant_a constant_b vapour_psi vapour_pa", reid_rows),
    "vcf": (f"{PYTHON}: API 2540 / ASTM D1250-80 table 54B form, per kelvin, base 15 degC", "group density15_kg_m3 temperature_degc",
            "alpha_per_k factor density_kg_m3", vcf_rows),
    "shortest": (f"{SCIPY}: scipy.optimize.root from many starts on first plane, first arc, straight, second plane, second arc; ends over four radii apart; "
                 "directions are brought to length 1 before use",
                 "from_x_mm from_y_mm from_z_mm leaves_x leaves_y leaves_z to_x_mm to_y_mm to_z_mm arrives_x arrives_y arrives_z radius_mm",
                 "length_mm", shortest_paths.rows),
    "effectiveness": (f"{HT}: ht.effectiveness_from_NTU, subtype as named; its crossflow is an integral, not the handbook's fit",
                      "arrangement transfer_units capacity_ratio", "effectiveness", effectiveness_rows),
    "transfer-units": (f"{HT}: ht.NTU_from_effectiveness, subtype as named", "arrangement effectiveness capacity_ratio", "transfer_units", transfer_units_rows),
    "mixing": (f"{MPMATH}: mixing networks as one linear system of temperatures and heats, solved with 50 digits; values by kind: link kg/s, J/(kg K), W; "
               "exchanger effectiveness; cooler effectiveness, W/K, K; held K", "network kind first second value_1 value_2 value_3",
               "inlet_k_or_heat_w outlet_k", mixing_rows),
    "places": (f"{MPMATH}: weighted least squares of five distances by Newton's method with 50 digits (places.py); a tolerance is the half-width "
               "of a rectangular distribution",
               " ".join(f"x{i}_mm y{i}_mm z{i}_mm distance{i}_mm tolerance{i}_mm" for i in range(1, 6)),
               "x_mm y_mm z_mm xx_mm2 xy_mm2 xz_mm2 yy_mm2 yz_mm2 zz_mm2", places.rows),
}


def free_hose_rows():
    """Twelve hoses with random ends, every second one with weight."""
    yield from rods.rows(point[0] for point in sequence(100000, 7, STEP_7D))


FILES["free-hose"] = (
    f"{SCIPY}: scipy.integrate.solve_bvp (tol 1e-10) on the rod without twist, from the best of four polylines by scipy.optimize.minimize (SLSQP); "
    "length and stiffness 1, directions to be brought to length 1",
    "leaves_x leaves_y leaves_z arrives_x arrives_y arrives_z to_x to_y to_z load_number up_x up_y up_z",
    "energy weight_energy middle_x middle_y middle_z force_x force_y force_z", free_hose_rows)


def vessel_rows():
    """Forty vessels of every kind, each under a tilted surface."""
    yield from vessels.vessel_rows(sequence, STEP_7D)


FILES["vessel"] = (
    f"{SCIPY}: scipy.integrate.quad, nested, over upright columns; kind 0 lying, 1 upright, 2 box, 3 obround; ends 0 flat, 1 dished, 2 ellipsoidal, "
    "3 conical (first: depth), 4 torispherical (first: crown, second: knuckle); up to be brought to length 1",
    "kind length_mm width_mm height_mm ends first_mm second_mm up_x up_y up_z level_mm", "volume_mm3", vessel_rows)


FILES["stock"] = (
    f"{SCIPY}: scipy.optimize.milp over all patterns, stage by stage (cutting.py); lengths in tenths of a millimetre, "
    "stock with x and a count is on the shelf, the rest is bought",
    "pieces kerf squaring stock", "left_out bought length spare", cutting.rows)


def file_text(origin, inputs, outputs, rows):
    """The whole text of one file and its number of rows."""
    lines = [f"# {origin}", ",".join([*inputs.split(), *outputs.split()])]
    for values, answers in rows():
        flat = [part for value in values for part in (value if isinstance(value, tuple) else (value,))]
        lines.append(",".join([*(given(value) for value in flat), *(result(answer) for answer in answers)]))
    return "\n".join([*lines, ""]), len(lines) - 2


def main():
    """Writes every file and says how long each is."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parent)
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    for name, parts in FILES.items():
        text, count = file_text(*parts)
        (out / f"{name}.csv").write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}.csv: {count} rows")


if __name__ == "__main__":
    main()
