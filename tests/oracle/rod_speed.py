"""Solves the natural shapes of hoses read from standard input with `scipy.integrate.solve_bvp`, and times it.

Started by `cargo bench --bench rod -- PYTHON`. One hose a line: direction it leaves in, direction it arrives in, far
end, load number (up is z); length and stiffness 1. Prints the shortest time of a solve in milliseconds and the
integral of curvature squared. The time is that of the boundary-value solution alone, on 100 parts to 1e-6, from the
polyline of least energy found before: more help than the other side has.
"""

import sys
import time

import numpy as np

import rods


def begin(ends):
    """The best polyline from a few beginnings, on 100 parts."""
    chance = iter((0.5 + 0.6180339887498949 * number) % 1.0 for number in range(1000))
    shapes = [rods.polyline(*ends, start) for start in rods.beginnings(*ends[:3], chance)]
    tangents, _ = min((shape for shape in shapes if shape), key=lambda shape: shape[1])
    nodes, fine = np.linspace(0.0, 1.0, len(tangents)), np.linspace(0.0, 1.0, 101)
    between = np.column_stack([np.interp(fine, nodes, column) for column in tangents.T])
    return between / np.linalg.norm(between, axis=1, keepdims=True)


def main():
    """Reads, solves a few times, prints."""
    for line in sys.stdin:
        numbers = np.array(line.split(), dtype=float)
        weight = numbers[9] * np.array([0.0, 0.0, 1.0])
        ends = (numbers[0:3], numbers[3:6], numbers[6:9], weight)
        tangents = begin(ends)
        times = []
        for _ in range(3):
            start = time.perf_counter()
            found = rods.exact(*ends, tangents, tol=1e-6)
            times.append(1e3 * (time.perf_counter() - start))
        print(min(times), float(rods.energies(found, weight)[0]))


if __name__ == "__main__":
    main()
