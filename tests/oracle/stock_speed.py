"""Solves one cutting list read from standard input with SciPy's integer solver, and times it.

Started by `cargo bench --bench stock -- PYTHON`. Prints the shortest time in milliseconds and the number of bars. The
list: length of the stock, kerf, then the pieces, all in whole millimetres. Few lengths are solved over all patterns that
take no further piece; where there are too many of those, pieces are put on numbered bars.
"""

import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

MOST_PATTERNS = 20_000
SECONDS = 60


def patterns(lengths, wanted, room):
    """Fillings that leave no room for another piece; None where there are too many."""
    found = []

    def fill(at, counts, left):
        if len(found) > MOST_PATTERNS:
            return
        if at == len(lengths):
            if not any(length <= left and count < most for length, count, most in zip(lengths, counts, wanted)):
                found.append(counts)
            return
        for count in range(min(wanted[at], left // lengths[at]), -1, -1):
            fill(at + 1, [*counts, count], left - count * lengths[at])

    fill(0, [], room)
    return found if len(found) <= MOST_PATTERNS else None


def over_patterns(columns, wanted):
    """Fewest patterns that give what is wanted."""
    columns = np.array(columns, float).T
    number = columns.shape[1]
    return milp(np.ones(number), constraints=LinearConstraint(columns, wanted, np.inf), integrality=np.ones(number),
                bounds=Bounds(0, np.inf), options={"mip_rel_gap": 0, "time_limit": SECONDS})


def over_bars(sizes, room):
    """Fewest of numbered bars, each piece on one of them, bars used in their order."""
    bars = -(-sum(sizes) // room) + 2
    number = len(sizes)
    count = bars + number * bars
    rows, low, high = [], [], []
    for piece in range(number):
        row = np.zeros(count)
        row[bars + piece * bars:bars + (piece + 1) * bars] = 1
        rows, low, high = [*rows, row], [*low, 1], [*high, 1]
    for bar in range(bars):
        row = np.zeros(count)
        row[bar] = -room
        row[bars + bar::bars] = sizes
        rows, low, high = [*rows, row], [*low, -np.inf], [*high, 0]
        if bar:
            row = np.zeros(count)
            row[bar - 1], row[bar] = 1, -1
            rows, low, high = [*rows, row], [*low, 0], [*high, np.inf]
    goal = np.zeros(count)
    goal[:bars] = 1
    return milp(goal, constraints=LinearConstraint(np.array(rows), low, high), integrality=np.ones(count),
                bounds=Bounds(0, 1), options={"mip_rel_gap": 0, "time_limit": SECONDS})


def main():
    """Reads, solves a few times, prints."""
    stock, kerf, *pieces = map(int, sys.stdin.read().split())
    lengths = sorted({piece + kerf for piece in pieces}, reverse=True)
    wanted = [sum(piece + kerf == length for piece in pieces) for length in lengths]
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        columns = patterns(lengths, wanted, stock + kerf)
        sizes = sorted((piece + kerf for piece in pieces), reverse=True)
        answer = over_bars(sizes, stock + kerf) if columns is None else over_patterns(columns, wanted)
        times.append(1e3 * (time.perf_counter() - begin))
        if times[-1] > 5e3:
            break
    if answer.status != 0:
        raise ArithmeticError(answer.message)
    print(min(times), round(answer.fun))


if __name__ == "__main__":
    main()
