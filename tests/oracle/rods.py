"""Natural shapes of clamped hoses by SciPy: polylines of least energy first, then a boundary-value solution.

Another way than the Rust kernel: SLSQP on the corners of a polyline from several beginnings picks the shape, and
`scipy.integrate.solve_bvp` on position, tangent, moment and an unknown force makes it exact.
"""

import numpy as np
from scipy.integrate import solve_bvp
from scipy.optimize import minimize

CORNERS = 20
BEGINNINGS = 4


def square_to(tangent):
    """Two directions square to a tangent."""
    first = np.cross(tangent, np.eye(3)[np.argmin(np.abs(tangent))])
    first /= np.linalg.norm(first)
    return first, np.cross(tangent, first)


def polyline(leaves, arrives, chord, weight, start):
    """Tangents of a polyline of least energy near a start, with its energy; None without success."""
    step = 1.0 / CORNERS
    shares = np.full(CORNERS + 1, step)
    shares[[0, -1]] *= 0.5
    lever = shares * (1.0 - np.linspace(0.0, 1.0, CORNERS + 1))

    def tangents(free):
        rows = free.reshape(-1, 3)
        sizes = np.linalg.norm(rows, axis=1, keepdims=True)
        return np.vstack([leaves, rows / sizes, arrives]), sizes

    def back(gradient, all_tangents, sizes):
        inner = all_tangents[1:-1]
        return ((gradient - inner * np.sum(gradient * inner, axis=1, keepdims=True)) / sizes).ravel()

    def energy(free):
        t, sizes = tangents(free)
        bends = np.diff(t, axis=0)
        value = 0.5 * np.sum(bends * bends) / step + np.sum(lever * (t @ weight))
        gradient = (2.0 * t[1:-1] - t[:-2] - t[2:]) / step + np.outer(lever[1:-1], weight)
        return value, back(gradient, t, sizes)

    def gap(free):
        return shares @ tangents(free)[0] - chord

    def gap_slope(free):
        t, sizes = tangents(free)
        return np.array([back(np.outer(shares[1:-1], axis), t, sizes) for axis in np.eye(3)])

    found = minimize(energy, start.ravel(), jac=True, method="SLSQP", options={"maxiter": 500, "ftol": 1e-10},
                     constraints={"type": "eq", "fun": gap, "jac": gap_slope})
    return (tangents(found.x)[0], found.fun) if found.success else None


def beginnings(leaves, arrives, chord, chance):
    """Tangents to begin with: a cubic through both ends, plain and with bulges to several sides."""
    s = np.linspace(0.0, 1.0, CORNERS + 1)[1:-1, None]
    plain = leaves * (1 - 4 * s + 3 * s * s) + arrives * (3 * s * s - 2 * s) + 6 * s * (1 - s) * chord
    for number in range(BEGINNINGS):
        bulge = np.array([next(chance) - 0.5 for _ in range(3)]) * (4.0 if number else 0.1)
        yield plain + bulge * np.sin((1 + number % 2) * np.pi * s)


def slopes(weight):
    """The equations of the rod for `solve_bvp`."""
    def change(s, y, force):
        t, m = y[3:6], y[6:9]
        pull = np.outer(weight, 1.0 - s) - force[:, None]
        return np.vstack([t, np.cross(m, t, axis=0), np.cross(t, pull, axis=0)])
    return change


def boundary(leaves, arrives, chord):
    """Ends of the rod: places, directions, and no twist."""
    first, second = square_to(arrives)

    def ends(a, b, _force):
        turned = [first @ b[3:6], second @ b[3:6]]
        return np.hstack([a[:3], a[3:6] - leaves, a[6:9] @ leaves, b[:3] - chord, turned])
    return ends


def exact(leaves, arrives, chord, weight, tangents, tol=1e-10):
    """The boundary-value solution near a polyline."""
    nodes = np.linspace(0.0, 1.0, len(tangents))
    points = np.vstack([np.zeros(3), np.cumsum(0.5 * (tangents[1:] + tangents[:-1]), axis=0) / (len(tangents) - 1)])
    moments = np.cross(tangents, np.gradient(tangents, nodes, axis=0))
    found = solve_bvp(slopes(weight), boundary(leaves, arrives, chord), nodes, np.vstack([points.T, tangents.T, moments.T]),
                      p=np.zeros(3), tol=tol, max_nodes=200_000)
    if not found.success or found.y[3:6, -1] @ arrives < 0.0:
        raise ArithmeticError(found.message)
    return found


def energies(found, weight):
    """Integral of curvature squared, and twice the energy of weight, by Gauss's rule on fine parts."""
    nodes, weights = np.polynomial.legendre.leggauss(5)
    edges = np.linspace(0.0, 1.0, 2001)
    s = (edges[:-1, None] + 0.5 * np.diff(edges)[:, None] * (1.0 + nodes)).ravel()
    w = (0.5 * np.diff(edges)[:, None] * weights).ravel()
    y = found.sol(s)
    return np.sum(w * np.sum(y[6:9] ** 2, axis=0)), 2.0 * np.sum(w * (1.0 - s) * (weight @ y[3:6]))


def direction(chance):
    """An even direction, typed with 6 digits and brought to length 1 by whoever reads it."""
    height, turn = 2.0 * next(chance) - 1.0, 2.0 * np.pi * next(chance)
    aside = np.sqrt(1.0 - height * height)
    return [float(f"{x:.6f}") for x in (aside * np.cos(turn), aside * np.sin(turn), height)]


def unit(vector):
    """A vector of length 1."""
    return np.array(vector) / np.linalg.norm(vector)


def rows(chance, count=12):
    """Cases of random ends, every second one with weight."""
    for number in range(count):
        leaves, arrives, along, up = (direction(chance) for _ in range(4))
        reach = 0.2 + 0.6 * next(chance)
        chord = [float(f"{reach * x:.6f}") for x in along]
        load = 0.0 if number % 2 == 0 else float(f"{0.5 * 100.0 ** next(chance):.6g}")
        weight = load * unit(up)
        ends = (unit(leaves), unit(arrives), np.array(chord), weight)
        shapes = [polyline(*ends, start) for start in beginnings(*ends[:3], chance)]
        tangents, _ = min((shape for shape in shapes if shape), key=lambda shape: shape[1])
        found = exact(*ends, tangents)
        bending, lifted = energies(found, weight)
        answers = [bending, lifted, *found.sol(0.5)[:3], *found.p]
        # Nine digits of what is good to ten: the same on every machine.
        yield [*leaves, *arrives, *chord, load, *up], [float(f"{x:.8f}") + 0.0 for x in answers]
