"""Shortest paths of bounded curvature between random poses, by another way than the Rust kernel.

The five numbers of arc, straight, arc (first plane, first angle, straight, second plane, second angle) are solved for
directly from many starts with scipy.optimize.root; no direction of the straight, no tangent lengths. The shortest of all
roots is kept. The ends stand four to fourteen radii apart, where nothing else is shorter.
"""

import math

import numpy as np
from scipy.optimize import root

PAIRS = 200
STARTS = 60


def end_of(numbers, start, axes, radius):
    """Where arc, straight, arc lead, and the direction there."""
    first, alpha, straight, second, beta = numbers
    at, tangent, normal = start, axes[0], math.cos(first) * axes[1] + math.sin(first) * axes[2]
    for angle, run, twist in ((alpha, straight, second), (beta, 0.0, 0.0)):
        at = at + radius * (math.sin(angle) * tangent + (1.0 - math.cos(angle)) * normal)
        tangent, normal = math.cos(angle) * tangent + math.sin(angle) * normal, math.cos(angle) * normal - math.sin(angle) * tangent
        at = at + run * tangent
        normal = math.cos(twist) * normal + math.sin(twist) * np.cross(tangent, normal)
    return at, tangent


def square_axes(direction):
    """The direction and two square to it."""
    other = np.eye(3)[np.argmin(np.abs(direction))]
    first = other - direction * direction.dot(other)
    first /= np.linalg.norm(first)
    return direction, first, np.cross(direction, first)


def lengths(start, leaves, goal, arrives, radius, random):
    """Lengths of all arc-straight-arc paths that are found."""
    axes, square = square_axes(leaves), square_axes(arrives)[1:]
    chord = np.linalg.norm(goal - start)

    def off(numbers):
        at, tangent = end_of(numbers, start, axes, radius)
        turned = tangent - arrives
        return np.array([*((at - goal) / radius), turned.dot(square[0]), turned.dot(square[1])])

    found = []
    for _ in range(STARTS):
        guess = random.uniform(0.0, 1.0, 5) * np.array([2.0 * math.pi, 2.0 * math.pi, 1.0, 2.0 * math.pi, 2.0 * math.pi])
        guess[2] = chord * (0.5 + 0.5 * guess[2])
        answer = root(off, guess, method="hybr", tol=1e-13)
        tangent = end_of(answer.x, start, axes, radius)[1]
        # Whole turns lead nowhere: they are left out.
        alpha, straight, beta = answer.x[1] % (2.0 * math.pi), answer.x[2], answer.x[4] % (2.0 * math.pi)
        if np.abs(off(answer.x)).max() < 1e-11 and straight >= 0.0 and tangent.dot(arrives) > 0.0:
            found.append(radius * (alpha + beta) + straight)
    return found


def rounded(vector, digits):
    """As typed in: what is printed is what was computed with."""
    return np.array([float(f"{value:.{digits}f}") for value in vector])


def rows():
    """Poses and radius, and the length of the shortest path."""
    random = np.random.default_rng(24)
    for _ in range(PAIRS):
        radius = float(f"{random.uniform(20.0, 200.0):.3f}")
        start = rounded(random.uniform(-500.0, 500.0, 3), 3)
        chord = random.normal(size=3)
        goal = rounded(start + radius * random.uniform(4.05, 14.0) * chord / np.linalg.norm(chord), 3)
        leaves, arrives = (rounded(v / np.linalg.norm(v), 6) for v in random.normal(size=(2, 3)))
        found = lengths(start, leaves / np.linalg.norm(leaves), goal, arrives / np.linalg.norm(arrives), radius, random)
        yield [*start, *leaves, *goal, *arrives, radius], [min(found)]
