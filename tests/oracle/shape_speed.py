"""Times arc-straight-arc paths between poses read from standard input, one root from one start each.

Started by `cargo bench --bench shape -- PYTHON`. Each line: point, direction, point, direction, radius. Prints the shortest
time for all of them in microseconds a pair, and how many of the roots arrived.
"""

import sys
import time

import numpy as np
from scipy.optimize import root

from shortest_paths import end_of, square_axes


def guess_of(start, leaves, goal, arrives, axes):
    """Planes and angles as if the straight ran along the chord."""
    chord = goal - start
    distance = np.linalg.norm(chord)
    chord = chord / distance
    alpha = np.arccos(np.clip(leaves.dot(chord), -1.0, 1.0))
    first = np.arctan2(chord.dot(axes[2]), chord.dot(axes[1]))
    normal = np.cos(first) * axes[1] + np.sin(first) * axes[2]
    normal = np.cos(alpha) * normal - np.sin(alpha) * leaves
    second = np.arctan2(arrives.dot(np.cross(chord, normal)), arrives.dot(normal))
    return np.array([first, alpha, distance, second, np.arccos(np.clip(arrives.dot(chord), -1.0, 1.0))])


def solve(row):
    """One root; whether it arrived."""
    start, leaves, goal, arrives, radius = row[0:3], row[3:6], row[6:9], row[9:12], row[12]
    axes, square = square_axes(leaves), square_axes(arrives)[1:]

    def off(numbers):
        at, tangent = end_of(numbers, start, axes, radius)
        turned = tangent - arrives
        return np.array([*((at - goal) / radius), turned.dot(square[0]), turned.dot(square[1])])

    answer = root(off, guess_of(start, leaves, goal, arrives, axes), method="hybr", tol=1e-12)
    return np.abs(answer.fun).max() < 1e-9


def main():
    """Reads, solves a few times, prints."""
    rows = np.array([line.split() for line in sys.stdin], dtype=float)
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        arrived = sum(bool(solve(row)) for row in rows)
        times.append(1e6 * (time.perf_counter() - begin) / len(rows))
    print(min(times))
    print(arrived)


if __name__ == "__main__":
    main()
