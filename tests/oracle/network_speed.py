"""Solves one network read from standard input by the same iteration with SciPy's sparse LU, and times it.

Started by `cargo bench --bench network -- PYTHON`. Prints the shortest time of a solve in milliseconds, then every mass
flow. The network: a line "nodes links", a line "1 pressure" or "0 taken" for each node, a line
"from to bore length roughness loss_sum" for each link. The liquid is that of benches/network.rs.
"""

import sys
import time

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

DENSITY, VISCOSITY = 998.2, 1.0e-3
CLOSED_TO = 1.0e-9


def colebrook(reynolds, ratio):
    """Darcy's factor and d ln f / d ln Re, by three Newton steps from Haaland's formula."""
    x = -1.8 * np.log10((ratio / 3.7) ** 1.11 + 6.9 / reynolds)
    smooth = 2.51 / reynolds
    for _ in range(3):
        inside = ratio / 3.7 + smooth * x
        x -= (x + 2.0 * np.log10(inside)) / (1.0 + 2.0 * smooth / (inside * np.log(10.0)))
    pulled = 2.0 / np.log(10.0) * smooth
    return 1.0 / (x * x), -2.0 * pulled / (ratio / 3.7 + smooth * x + pulled)


def loss(flow, bore, length, ratio, loss_sum, area):
    """Pressure loss and its slope, over mass flow; laminar, cubic join, Colebrook."""
    velocity = flow / DENSITY / area
    reynolds = np.maximum(np.abs(velocity) * bore * DENSITY / VISCOSITY, 1e-12)
    factor, slope = 64.0 / reynolds, -np.ones_like(reynolds)
    turbulent = reynolds >= 4000.0
    factor[turbulent], slope[turbulent] = colebrook(reynolds[turbulent], ratio[turbulent])
    between = (reynolds > 2000.0) & ~turbulent
    if between.any():
        width = np.log(2.0)
        end, end_slope = colebrook(np.full(between.sum(), 4000.0), ratio[between])
        t = np.log(reynolds[between] / 2000.0) / width
        start, rise = np.log(64.0 / 2000.0), np.log(end) - np.log(64.0 / 2000.0)
        m0, m1 = -width, width * end_slope
        second, third = 3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise
        factor[between] = np.exp(start + t * (m0 + t * (second + t * third)))
        slope[between] = (m0 + t * (2.0 * second + 3.0 * t * third)) / width
    head = 0.5 * DENSITY * np.abs(velocity)
    wall, local = factor * length / bore * head, loss_sum * head
    return (wall + local) * velocity, (wall * (2.0 + slope) + 2.0 * local) / (area * DENSITY)


def solve(held, value, start, end, bore, length, roughness, loss_sum):
    """Mass flows by Newton's method on flows and pressures."""
    area = np.pi / 4.0 * bore * bore
    law = (bore, length, roughness / bore, loss_sum, area)
    unknown = np.cumsum(~held) - 1
    count = int((~held).sum())
    pressures = np.where(held, value - value[held][0], 0.0)
    taken = np.where(held, 0.0, value)
    free_start, free_end = ~held[start], ~held[end]
    both = free_start & free_end
    rows = np.concatenate([unknown[start[free_start]], unknown[end[free_end]], unknown[start[both]], unknown[end[both]]])
    columns = np.concatenate([unknown[start[free_start]], unknown[end[free_end]], unknown[end[both]], unknown[start[both]]])

    def change(conductance, drive, imbalance):
        parts = [conductance[free_start], conductance[free_end], -conductance[both], -conductance[both]]
        matrix = csc_matrix((np.concatenate(parts), (rows, columns)), shape=(count, count))
        pushed = conductance * drive
        inflow = imbalance - np.bincount(start, pushed, len(held)) + np.bincount(end, pushed, len(held))
        moved = np.zeros(len(held))
        moved[~held] = splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}, diag_pivot_thresh=0.0).solve(inflow[~held])
        return moved, pushed + conductance * (moved[start] - moved[end])

    usual = area * DENSITY
    usual_loss, _ = loss(usual, *law)
    scale = np.abs(pressures).max()
    slope = usual_loss / usual * np.clip(np.sqrt(0.1 * scale / usual_loss), 1e-3, 1e3)
    moved, flow = change(1.0 / slope, pressures[start] - pressures[end], -taken)
    pressures = pressures + moved
    for _ in range(50):
        lost, slope = loss(flow, *law)
        drive = pressures[start] - pressures[end] - lost
        imbalance = np.bincount(end, flow, len(held)) - np.bincount(start, flow, len(held)) - taken
        largest = np.abs(lost).max()
        energy = (np.abs(drive) / np.maximum(np.abs(lost), 1e-3 * largest)).max()
        if energy <= CLOSED_TO and np.abs(imbalance[~held]).max() <= CLOSED_TO * np.abs(flow).max():
            return flow
        moved, step = change(1.0 / slope, drive, imbalance)
        pressures, flow = pressures + moved, flow + step
    raise ArithmeticError("no convergence")


def main():
    """Reads, solves a few times, prints."""
    tokens = sys.stdin.read().split()
    nodes, links = int(tokens[0]), int(tokens[1])
    table = np.array(tokens[2:2 + 2 * nodes], dtype=float).reshape(nodes, 2)
    lines = np.array(tokens[2 + 2 * nodes:], dtype=float).reshape(links, 6)
    arguments = (table[:, 0] > 0.5, table[:, 1], lines[:, 0].astype(int), lines[:, 1].astype(int),
                 lines[:, 2], lines[:, 3], lines[:, 4], lines[:, 5])
    times = []
    for _ in range(4 if nodes > 50_000 else 15):
        begin = time.perf_counter()
        flow = solve(*arguments)
        times.append(1e3 * (time.perf_counter() - begin))
    print(min(times))
    print("\n".join(repr(float(value)) for value in flow))


if __name__ == "__main__":
    main()
