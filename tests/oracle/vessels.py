"""Volumes of vessels below a tilted surface, by nested adaptive quadrature.

Upright columns are added up over the plan of the vessel, which shares nothing with sections along the axis. Inner
integrals are divided where the surface meets floor or roof; the outer one is adaptive on fixed panels.
"""

import math

from scipy.integrate import quad
from scipy.optimize import brentq

KINDS = ["lying", "upright", "box", "obround"]
ENDS = ["flat", "dished", "ellipsoidal", "conical", "torispherical"]
LOOKS = 160
PANELS = 64


def end_radius(ends, radius, first, second, out):
    """Radius of an end at a distance beyond the seam."""
    if ends == "dished":
        ball = (radius * radius + first * first) / (2 * first)
        return math.sqrt(max(ball * ball - (ball - first + out) ** 2, 0.0))
    if ends == "ellipsoidal":
        return radius * math.sqrt(max(1 - (out / first) ** 2, 0.0))
    if ends == "conical":
        return radius * (1 - out / first)
    crown, knuckle = first, second
    centre = -math.sqrt((crown - knuckle) ** 2 - (radius - knuckle) ** 2)
    joint = centre + crown * -centre / (crown - knuckle)
    if out <= joint:
        return radius - knuckle + math.sqrt(max(knuckle * knuckle - out * out, 0.0))
    return math.sqrt(max(crown * crown - (out - centre) ** 2, 0.0))


def end_depth(ends, radius, first, second):
    """How far an end stands out, and where its law changes."""
    if ends == "flat":
        return 0.0, []
    if ends != "torispherical":
        return first, []
    centre = -math.sqrt((first - second) ** 2 - (radius - second) ** 2)
    return centre + first, [centre + first * -centre / (first - second)]


class Vessel:
    """Floor and roof over each place of the plan."""

    def __init__(self, kind, size, ends, first, second):
        self.kind, self.size, self.ends = kind, size, ends
        self.first, self.second = first, second
        length, width, height = size
        self.low, self.high, self.turns = 0.0, length, []
        if kind == "lying":
            out, joints = end_depth(ends, width / 2, first, second)
            self.low, self.high = -out, length + out
            self.turns = [0.0, length] + [-j for j in joints] + [length + j for j in joints]

    def half_width(self, x):
        """Half the width of the plan at x."""
        length, width, height = self.size
        if self.kind == "upright":
            return math.sqrt(max((width / 2) ** 2 - (x - width / 2) ** 2, 0.0))
        return self.rim(x) if self.kind == "lying" else width / 2

    def rim(self, x):
        """Radius of a lying cylinder at x."""
        length, width, _ = self.size
        out = max(-x, x - length)
        if out <= 0:
            return width / 2
        return end_radius(self.ends, width / 2, self.first, self.second, out)

    def column(self, x, y):
        """Lowest and highest place over x, y."""
        length, width, height = self.size
        if self.kind == "lying":
            half = math.sqrt(max(self.rim(x) ** 2 - y * y, 0.0))
            return width / 2 - half, width / 2 + half
        if self.kind == "obround":
            radius = min(width, height) / 2
            beside = max(abs(y) - width / 2 + radius, 0.0)
            half = height / 2 - radius + math.sqrt(max(radius * radius - beside * beside, 0.0))
            return height / 2 - half, height / 2 + half
        return 0.0, height

    def slice(self, x, surface):
        """Area of the cut at x below the surface."""
        wide = self.half_width(x)

        def at(turn):
            y = wide * math.sin(turn)
            floor, roof = self.column(x, y)
            return y, floor, roof, surface(x, y)

        def filled(turn):
            y, floor, roof, top = at(turn)
            return max(min(top, roof) - floor, 0.0) * wide * math.cos(turn)

        places = [-math.pi / 2 + math.pi * i / LOOKS for i in range(LOOKS + 1)]
        breaks = []
        if self.kind == "obround" and self.size[1] > self.size[2]:
            straight = math.asin(1 - self.size[2] / self.size[1])
            breaks += [-straight, straight]
        for side in (1, 2):
            gap = [at(p)[3] - at(p)[side] for p in places]
            for i in range(LOOKS):
                if gap[i] * gap[i + 1] < 0:
                    breaks.append(brentq(lambda p: at(p)[3] - at(p)[side], places[i], places[i + 1], xtol=1e-14))
        edges = [-math.pi / 2] + sorted(breaks) + [math.pi / 2]
        parts = zip(edges, edges[1:])
        return sum(quad(filled, a, b, epsabs=1e-10, epsrel=1e-12, limit=200)[0] for a, b in parts if b > a)

    def volume(self, surface):
        """Volume below the surface."""
        high = self.size[1] if self.kind == "upright" else self.high
        edges = sorted({self.low, high, *self.turns} | {self.low + (high - self.low) * i / PANELS for i in range(PANELS)})

        def outer(a, b):
            # A root at either end of a panel is taken out by the same sine as inside.
            middle, half = (a + b) / 2, (b - a) / 2
            inside = lambda turn: self.slice(middle + half * math.sin(turn), surface) * half * math.cos(turn)
            return quad(inside, -math.pi / 2, math.pi / 2, epsabs=1e-5, epsrel=1e-12, limit=200)[0]

        return sum(outer(a, b) for a, b in zip(edges, edges[1:]))


def vessel_rows(sequence, root):
    """Vessels of every kind, each under some surfaces."""
    for index, point in enumerate(sequence(40, 7, root)):
        kind = ["lying", "lying", "lying", "upright", "obround", "box"][index % 6]
        pick = lambda i, low, high: float(f"{low + (high - low) * point[i]:.4g}")
        size = [pick(0, 200, 600), pick(1, 120, 300), pick(2, 100, 350)]
        if kind == "upright":
            size[0] = size[1]
        ends = ENDS[(index // 2) % 5] if kind == "lying" else "flat"
        radius = size[1] / 2
        first, second = 0.0, 0.0
        if ends in ("dished", "ellipsoidal", "conical"):
            first = float(f"{radius * (0.2 + 0.7 * point[3]):.4g}")
        elif ends == "torispherical":
            first, second = size[1], float(f"{0.1 * size[1]:.4g}")
        nose, roll = math.radians(pick(4, -40, 40)), math.radians(pick(5, -25, 25))
        up = [math.sin(nose), math.cos(nose) * math.sin(roll), math.cos(nose) * math.cos(roll)]
        # Brought to length 1 again after rounding, as whoever reads the file does.
        up = [float(f"{part:.9g}") for part in up]
        long = math.sqrt(sum(part * part for part in up))
        unit = [part / long for part in up]
        high = size[1] if kind == "lying" else size[2]
        middle = up[0] * size[0] / 2 + up[2] * high / 2
        most = float(f"{middle + 0.8 * high * (point[6] - 0.5):.6g}")
        vessel = Vessel(kind, size, ends, first, second)
        surface = lambda x, y: (most - unit[0] * x - unit[1] * y) / unit[2]
        numbers = [KINDS.index(kind), *size, ENDS.index(ends), first, second, *up, most]
        yield numbers, [vessel.volume(surface)]
