"""Random networks and their answers, for network.csv of generate.py.

The method is not the one of the Rust solver: only the pressures are unknown, each link's flow is found from its pressure
difference by its own root search, and scipy.optimize.least_squares balances the nodes. A last Newton polish brings the
balances to rounding, so that the printed digits do not depend on where the library stopped.
"""

import math
import random

import numpy as np
from fluids import friction
from scipy.optimize import brentq, least_squares

NETWORKS = 40
MOST_NODES = 30


def rounded(value):
    """A given number, rounded to the digits that get printed."""
    return float(f"{value:.6g}")


def factor(reynolds, ratio):
    """Darcy's factor: 64/Re, Colebrook, and between 2000 and 4000 the cubic of ln f over ln Re that joins them."""
    if reynolds <= 2000.0:
        return 64.0 / reynolds
    if reynolds >= 4000.0:
        return friction.Colebrook(reynolds, ratio)
    end = friction.Colebrook(4000.0, ratio)
    x = 1.0 / math.sqrt(end)
    pulled = 2.0 / math.log(10.0) * 2.51 / 4000.0
    width = math.log(2.0)
    end_slope = -2.0 * pulled / (ratio / 3.7 + 2.51 / 4000.0 * x + pulled) * width
    t = math.log(reynolds / 2000.0) / width
    start, rise = math.log(64.0 / 2000.0), math.log(end) - math.log(64.0 / 2000.0)
    second, third = 3.0 * rise + 2.0 * width - end_slope, end_slope - width - 2.0 * rise
    return math.exp(start + t * (-width + t * (second + t * third)))


class Link:
    """One link: ends, liquid, law, valve."""

    def __init__(self, start, end, kind, numbers, density, lift, opens):
        self.start, self.end, self.kind, self.numbers = start, end, kind, numbers
        self.density, self.lift, self.opens = density, lift, opens

    def loss(self, flow):
        """Loss of a volume flow, Pa."""
        n = self.numbers
        if self.kind == "run":
            bore, length, roughness, loss_sum, viscosity = n
            velocity = flow / (math.pi / 4.0 * bore * bore)
            reynolds = abs(velocity) * bore * self.density / viscosity
            if reynolds < 1e-9:
                return 32.0 * viscosity * length / (bore * bore) * velocity
            return (factor(reynolds, roughness / bore) * length / bore + loss_sum) * 0.5 * self.density * velocity * abs(velocity)
        if self.kind == "loss":
            return n[0] * flow + n[1] * flow * abs(flow)
        if self.kind == "pump":
            return n[1] * flow * abs(flow) - n[0]
        return (flow - n[0]) / n[1]

    def flow(self, difference):
        """Mass flow that a pressure difference drives."""
        drive = difference - self.lift - (self.opens or 0.0)
        if self.opens is not None and drive <= self.loss(0.0):
            return 0.0
        high = 1e-9
        while self.loss(high) < drive:
            high *= 4.0
        low = -1e-9
        while self.loss(low) > drive:
            low *= 4.0
        return self.density * brentq(lambda q: self.loss(q) - drive, low, high, xtol=1e-300, rtol=9e-16, maxiter=500)

    def slope(self, flow):
        """Change of the mass flow with the pressure difference."""
        if self.opens is not None and flow <= 0.0:
            return 0.0
        q = flow / self.density
        step = max(abs(q) * 1e-6, 1e-12)
        return self.density * 2.0 * step / (self.loss(q + step) - self.loss(q - step))


def element(numbers, pump):
    """A kind of link with its numbers."""
    between = lambda low, high: rounded(low * (high / low) ** numbers.random())
    if pump:
        flow, rise = between(1e-4, 2e-3), between(5e4, 4e5)
        if numbers.random() < 0.5:
            return "pump", [rise, rounded(rise / (flow * flow))]
        return "gear", [flow, rounded(0.05 * flow / rise)]
    if numbers.random() < 0.2:
        return "loss", [between(1e6, 1e9), between(1e9, 1e13)]
    bore = between(0.004, 0.04)
    return "run", [bore, between(0.2, 10.0), rounded(bore * between(1e-5, 1e-2)), rounded(5.0 * numbers.random()), between(4e-4, 0.4)]


def network(numbers):
    """Nodes (held?, pressure or taken) and links; every free node hangs on a held one by two-way links."""
    free, held = 2 + numbers.randrange(MOST_NODES - 4), 1 + numbers.randrange(2)
    nodes = [(True, rounded(1e5 + 4e5 * numbers.random())) for _ in range(held)]
    links = []

    def add(start, end, pump=False, opens=None):
        kind, values = element(numbers, pump)
        lift = rounded(2e4 * (numbers.random() - 0.5)) if numbers.random() < 0.4 else 0.0
        links.append(Link(start, end, kind, values, rounded(750.0 + 250.0 * numbers.random()), lift, opens))

    for node in range(held, held + free):
        taken = rounded(0.05 * numbers.random()) if numbers.random() < 0.3 else 0.0
        nodes.append((False, taken))
        add(numbers.randrange(node), node)
    for _ in range(numbers.randrange(free) + 1):
        start, end = numbers.randrange(len(nodes)), numbers.randrange(len(nodes))
        if start != end:
            pump = numbers.random() < 0.2
            opens = rounded(5e4 * numbers.random()) if numbers.random() < 0.3 else 0.0
            add(start, end, pump, opens if pump or numbers.random() < 0.4 else None)
    return nodes, links


def solve(nodes, links):
    """Pressures of all nodes and mass flows of all links."""
    unknown = [i for i, (held, _) in enumerate(nodes) if not held]
    place = {node: i for i, node in enumerate(unknown)}
    taken = np.array([value for held, value in nodes if not held])
    fixed = [value if held else 0.0 for held, value in nodes]

    def pressures(x):
        return [x[place[i]] if i in place else fixed[i] for i in range(len(nodes))]

    def balance(x):
        p = pressures(x)
        flows = [link.flow(p[link.start] - p[link.end]) for link in links]
        out, slopes = -taken.copy(), np.zeros((len(unknown), len(unknown)))
        for link, flow in zip(links, flows):
            slope = link.slope(flow)
            ends = [(link.start, -1.0), (link.end, 1.0)]
            for node, sign in ends:
                if node in place:
                    out[place[node]] += sign * flow
                    for other, turn in ends:
                        if other in place:
                            slopes[place[node], place[other]] -= sign * turn * slope
        return out, slopes, flows

    start = np.full(len(unknown), max(fixed))
    found = least_squares(lambda x: balance(x)[0], start, jac=lambda x: balance(x)[1], x_scale="jac",
                          ftol=1e-15, xtol=1e-15, gtol=1e-15, max_nfev=300)
    x = found.x
    for _ in range(12):
        out, slopes, flows = balance(x)
        x = x - np.linalg.solve(slopes, out)
    out, _, flows = balance(x)
    largest = max(abs(flow) for flow in flows)
    if np.abs(out).max() > 1e-11 * largest:
        return None
    for link, flow in zip(links, flows):
        # Beyond the flow at which it raises nothing a pump is no pump.
        if link.kind == "pump" and flow / link.density > math.sqrt(link.numbers[0] / link.numbers[1]):
            return None
    return pressures(x), [0.0 if abs(flow) < 1e-11 * largest else flow for flow in flows]


def rows():
    """One row for each node and each link of every network."""
    numbers = random.Random(2024)
    done = 0
    while done < NETWORKS:
        nodes, links = network(numbers)
        answer = solve(nodes, links)
        if answer is None:
            continue
        done += 1
        for index, ((held, value), pressure) in enumerate(zip(nodes, answer[0])):
            yield [done, "held" if held else "free", index, "", "", "", "", value, "", "", "", ""], [f"{pressure:.10g}"]
        for link, flow in zip(links, answer[1]):
            values = [*link.numbers, "", "", "", ""][:5]
            opens = "" if link.opens is None else link.opens
            yield [done, link.kind, link.start, link.end, link.density, link.lift, opens, *values], [f"{flow:.10g}"]
