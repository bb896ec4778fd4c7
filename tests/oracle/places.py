"""Places of points from five taped distances that do not quite agree, by Newton's method with 50 digits.

Another way than that of the kernel: the gradient of the weighted sum of squares is brought to zero with
its full second derivatives, and the covariance is the inverse of the weighted normal matrix.
"""

import mpmath

PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89, 97, 101, 103, 107)
CORNERS = ((-300, -250, 0), (500, -200, 30), (100, 600, -40), (200, 100, 900), (-400, 300, 600))


def drawn(number):
    """Fractions that fill the unit cube evenly, always the same ones."""
    return [float(mpmath.frac(number * mpmath.sqrt(prime))) for prime in PRIMES]


def tapes(number):
    """Five known points, distances and tolerances, and the place that they were made from."""
    share = iter(drawn(number))
    place = [round(middle + 160 * next(share) - 80, 3) for middle in (80, 60, 400)]
    rows = []
    for corner in CORNERS:
        known = [round(c + 80 * next(share) - 40, 3) for c in corner]
        tolerance = round(0.5 + 5 * next(share), 2)
        distance = mpmath.sqrt(sum((p - k) ** 2 for p, k in zip(place, known)))
        off = tolerance * (2 * next(share) - 1)
        rows.append((known, round(float(distance) + off, 2), tolerance))
    return rows, place


def settled(rows, place):
    """The place of the least weighted sum of squares, and its covariance."""
    at = mpmath.matrix(place)
    for _ in range(40):
        gradient, second, normal = mpmath.zeros(3, 1), mpmath.zeros(3), mpmath.zeros(3)
        for known, distance, tolerance in rows:
            away = at - mpmath.matrix(known)
            length = mpmath.norm(away)
            weight, residual = 1 / mpmath.mpf(tolerance) ** 2, length - mpmath.mpf(distance)
            outer = away * away.T / length**2
            gradient += weight * residual * away / length
            second += weight * (outer + residual / length * (mpmath.eye(3) - outer))
            normal += weight * outer
        step = mpmath.lu_solve(second, gradient)
        at -= step
        if mpmath.norm(step) < mpmath.mpf(10) ** -40:
            return at, mpmath.inverse(normal) / 3
    raise ArithmeticError("no convergence")


def rows():
    """Forty places."""
    for number in range(1, 41):
        with mpmath.workdps(50):
            given, place = tapes(number)
            at, covariance = settled(given, place)
            upper = [covariance[i, j] for i in range(3) for j in range(i, 3)]
            flat = [value for known, distance, tolerance in given for value in (*known, distance, tolerance)]
            yield flat, [*at, *upper]
