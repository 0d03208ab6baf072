"""Pulled lines against the same problem set up in another way: equations of constraint.

The product condenses every line to springs at its crossings. Here the control points of all lines
together are the unknowns; crossings and pins are constraints with multipliers (Lagrange), bending
is scipy's exact integral of the third derivative over each span.
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import BSpline
from scipy.linalg import block_diag

from buckwright.lines.laying import Laid, LaidLine, lay_network
from buckwright.lines.pulling import pull_lines, with_battens
from buckwright.model.lines import LineSpec, Pin, PlacedLine

Array = np.ndarray


def arcs(seed: int) -> tuple[PlacedLine, ...]:
    """Three arcs in space, on one side only, that cross each other, with errors of 1 mm."""
    u = np.linspace(0.0, 1.0, 60)
    rng = np.random.default_rng(seed)
    bow = 120.0 * np.sin(np.pi * u)
    long = np.column_stack([1600.0 * u, -600.0 - 0.5 * bow, 900.0 + bow])
    found = {"long": long}
    for name, k in (("first", 15), ("second", 42)):
        across = long[k] + np.column_stack(
            [20.0 * (u - 0.5), -60.0 * np.sin(np.pi * u), 700.0 * (u - 0.5)]
        )
        found[name] = across + np.array([0.0, 60.0, 0.0])
    return tuple(
        PlacedLine(
            name=name,
            points=points + rng.normal(scale=0.6, size=points.shape),
            sigma=np.full(len(points), 1.0),
            closed=False,
        )
        for name, points in found.items()
    )


def energy(line: LaidLine) -> Array:
    """(3 m, 3 m) of a change of control points: data, and bending in the plane and across it."""
    batten = line.draft.batten
    m = len(line.control)
    bases = BSpline(batten.knots, np.eye(m), 3, extrapolate=False)
    data = (bases(batten.at) * batten.weights[:, None]).T @ bases(batten.at)
    ends = np.unique(batten.knots)
    third = bases(0.5 * (ends[1:] + ends[:-1]), nu=3)
    bending = (third * batten.limber[:, None]).T @ third
    axes, (plane, across) = batten.axes, line.draft.stiffness
    each = [data + stiff * bending for stiff in (plane, plane, across)]
    return sum(np.kron(one, np.outer(axis, axis)) for one, axis in zip(each, axes, strict=True))


def reading(line: LaidLine, at: float) -> Array:
    m = len(line.control)
    row = BSpline(line.draft.batten.knots, np.eye(m), 3, extrapolate=False)(at)
    return np.kron(row, np.eye(3))


def constrained(laid: Laid, name: str, share: float, moves: dict[int, float]) -> list[Array]:
    """Changes of control points of each line by the equations of constraint."""
    sizes = [3 * len(line.control) for line in laid.lines]
    first = np.concatenate([[0], np.cumsum(sizes)])
    hessian = block_diag(*(energy(line) for line in laid.lines))
    rows, right = [], []

    def add(parts: dict[int, Array], value: float) -> None:
        row = np.zeros(first[-1])
        for k, part in parts.items():
            row[first[k] : first[k + 1]] = part
        rows.append(row)
        right.append(value)

    for node in laid.nodes:
        (i, at), (j, other) = node.at.items()
        here, there = reading(laid.lines[i], at), reading(laid.lines[j], other)
        for axis in range(3):
            add({i: here[axis], j: -there[axis]}, 0.0)
    k = [line.draft.name for line in laid.lines].index(name)
    draft = laid.lines[k].draft
    pinned = reading(laid.lines[k], draft.start + share * (draft.end - draft.start))
    for axis, value in moves.items():
        add({k: pinned[axis]}, value)
    constraints = np.array(rows)
    count = len(rows)
    system = np.block([[hessian, constraints.T], [constraints, np.zeros((count, count))]])
    answer = np.linalg.solve(system, np.concatenate([np.zeros(first[-1]), right]))
    return [answer[a:b].reshape(-1, 3) for a, b in pairwise(first)]


@pytest.mark.parametrize(
    ("name", "share", "moves"),
    [
        ("long", 0.5, {2: 12.0}),
        ("long", 0.1, {0: 2.0, 1: -9.0}),
        ("first", 0.8, {1: 7.0, 2: 3.0}),
    ],
)
def test_a_pulled_network_lies_where_the_equations_of_constraint_put_it(
    name: str, share: float, moves: dict[int, float]
) -> None:
    placed = arcs(seed=3)
    laid = lay_network(placed, tuple(LineSpec(name=line.name) for line in placed))
    assert len(laid.nodes) == 2
    line = next(line for line in laid.lines if line.draft.name == name)
    draft = line.draft
    now = draft.batten.rows(np.array([draft.start + share * (draft.end - draft.start)]))[0]
    point = now @ line.control
    pin = Pin(
        line=name,
        share=share,
        point=tuple(float(point[k] + moves[k]) if k in moves else None for k in range(3)),
    )
    hand = with_battens(laid, ())
    pulled = pull_lines(hand, (pin,))
    for one, control, change in zip(
        hand.lines, pulled.controls, constrained(hand, name, share, moves), strict=True
    ):
        at = np.linspace(one.draft.start, one.draft.end, 200)
        rows = one.draft.batten.rows(at)
        np.testing.assert_allclose(rows @ (control - one.control), rows @ change, atol=1e-5)
