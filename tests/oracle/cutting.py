"""Cutting plans as integer programmes over all patterns, solved stage by stage by SciPy's HiGHS.

Another way than that of the kernel, which never lists all patterns and has no integer solver: here every filling of
every bar is a column, and the stages are solved one after the other with the stage before held fast. Lengths are in
whole tenths of a millimetre.
"""

import math

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73)


def case(number):
    """Pieces, kerf, squaring, bought lengths and (length, count) on the shelf, always the same ones."""
    share = [math.modf(number * math.sqrt(prime))[0] for prime in PRIMES]
    short, span = 1500 + int(2500 * share[0]), 4000 + int(11000 * share[1])
    count = 5 + int(10 * share[2])
    step = 250 if number % 3 == 0 else 1
    pieces = sorted(((short + int(span * share[3 + index])) // step * step for index in range(count)), reverse=True)
    kerf, squaring = int(40 * share[18]), int(120 * share[19])
    longest = pieces[0] + squaring + 1000 + int(14000 * share[20])
    bought = [] if number % 8 == 5 else [longest] + ([int(longest * 0.62)] if number % 4 == 1 else [])
    shelf = [] if number % 2 == 0 else [(int(longest * (0.3 + 0.6 * share[4])), 1 + number % 3), (int(longest * 0.55), 1)]
    return pieces, kerf, squaring, bought, shelf


def patterns(pieces, kerf, room):
    """Every set of pieces, as how often each length is in it, with the room that is left."""
    lengths = sorted(set(pieces), reverse=True)
    wanted = [pieces.count(length) for length in lengths]
    found = []

    def fill(at, counts, left):
        if at == len(lengths):
            found.append((counts, left))
            return
        for count in range(wanted[at] + 1):
            if count * (lengths[at] + kerf) > left:
                break
            fill(at + 1, [*counts, count], left - count * (lengths[at] + kerf))

    if room > 0:
        fill(0, [], room + kerf)
    return found, wanted


def plan(pieces, kerf, squaring, bought, shelf):
    """Pieces left out, bars bought, length bought and the longest spare, each the best with those before held."""
    bars = [(length, count, False) for length, count in shelf] + [(length, len(pieces) + 1, True) for length in bought]
    columns, owners, rooms = [], [], []
    for owner, (length, _, _) in enumerate(bars):
        every, wanted = patterns(pieces, kerf, length - squaring)
        for counts, room in every:
            columns.append(counts)
            owners.append(owner)
            rooms.append(room)
    columns, owners, rooms = np.array(columns, float), np.array(owners), np.array(rooms, float)
    number = len(columns)
    # Unknowns: how often each pattern, then which one pattern holds the spare.
    covered = LinearConstraint(np.hstack([columns.T, np.zeros((columns.shape[1], number))]), 0, wanted)
    there = [LinearConstraint(np.hstack([(owners == owner) * 1.0, np.zeros(number)])[None, :], 0, count)
             for owner, (_, count, _) in enumerate(bars)]
    used = LinearConstraint(np.hstack([np.eye(number), -np.eye(number)]), 0, np.inf)
    one = LinearConstraint(np.hstack([np.zeros(number), np.ones(number)])[None, :], 0, 1)
    rules = [covered, *there, used, one]
    nothing = np.zeros(number)
    buys = np.array([bars[owner][2] * 1.0 for owner in owners])
    lengths = np.array([bars[owner][2] * float(bars[owner][0]) for owner in owners])
    stages = [np.hstack([-columns.sum(axis=1), nothing]), np.hstack([buys, nothing]), np.hstack([lengths, nothing]),
              np.hstack([nothing, -rooms])]
    answers = []
    for goal in stages:
        found = milp(goal, constraints=rules, integrality=np.ones(2 * number), bounds=Bounds(0, np.inf),
                     options={"mip_rel_gap": 0})
        if not found.success:
            raise ArithmeticError(found.message)
        value = round(found.fun)
        answers.append(value)
        rules = [*rules, LinearConstraint(goal[None, :], -np.inf, value + 0.25)]
    left_out = len(pieces) + answers[0]
    # A spare is sawn off, and the room counts a kerf that no cut uses.
    return left_out, answers[1], answers[2], max(0, -answers[3] - 2 * kerf)


def rows():
    """Forty lists of 5 to 14 pieces."""
    for number in range(1, 41):
        pieces, kerf, squaring, bought, shelf = case(number)
        stock = [f"{length}" for length in bought] + [f"{length}x{count}" for length, count in shelf]
        inputs = [" ".join(map(str, pieces)), kerf, squaring, " ".join(stock)]
        yield inputs, plan(pieces, kerf, squaring, bought, shelf)
