"""The network of lines against exact geometry, and against a system written down another way."""

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse.linalg import spsolve

from buckwright.lines import fair_network
from buckwright.lines.laying import lay_network
from buckwright.lines.offsets import hold_offsets, lines_of_offsets, table_of_offsets
from buckwright.lines.springs import Sprung, make_springs
from buckwright.model.offsets import OffsetRow
from lattices_on_paper import ball_lattice, on_ball, placed_line, specs_of

# Wigley's parabolic hull, a standard form of ship hydrodynamics:
# y = B/2 (1 - (2x/L)^2) (1 - (z/T)^2); W. C. S. Wigley, 'Ship wave resistance', Trans. NECIES
# 47 (1931). Taken here with L = 3,000, B = 1,200 and T = 900 mm.
LENGTH, BREADTH, DRAUGHT = 3000.0, 1200.0, 900.0
LEVELS = (0.0, 150.0, 300.0, 450.0, 600.0)
STATIONS = np.linspace(-1350.0, 1350.0, 19)


def wigley(x: float, z: float) -> float:
    return 0.5 * BREADTH * (1.0 - (2.0 * x / LENGTH) ** 2) * (1.0 - (z / DRAUGHT) ** 2)


def test_offsets_of_wigleys_form_go_in_as_a_table_and_come_out_between_its_stations() -> None:
    """Source of the values: the formula above, exact."""
    rows = [
        OffsetRow(row=k, line=f"level {z:.0f}", station=x, half_breadth=wigley(x, z), height=z)
        for k, (z, x) in enumerate(((z, x) for z in LEVELS for x in STATIONS), start=2)
    ]
    placed = lines_of_offsets(rows, sigma=0.02)
    network = fair_network(placed, specs_of(placed))
    between = STATIONS[1:-2] + 75.0
    for stations in (STATIONS[1:-1], between):
        table = table_of_offsets(network, stations)
        assert len(table) == len(LEVELS) * len(stations)
        for one in table:
            assert one.half_breadth == pytest.approx(wigley(one.station, one.height), abs=0.05)
            assert one.height == pytest.approx(float(one.line.split()[1]), abs=0.05)
    # The same table read again over these lines asks for nothing.
    inner = [row for row in rows if abs(row.station) < 1300.0]
    held = hold_offsets(inner, network, (), (), reason="")
    assert (held.held, held.findings) == (0, ())


def test_crossings_of_meridians_and_parallels_lie_where_a_ball_has_them() -> None:
    """Source of the values: the exact ball."""
    meridians, parallels = 5, 4
    network = fair_network(*ball_lattice(meridians, parallels))
    assert len(network.crossings) == meridians * parallels
    turns, rises = np.linspace(0.9, 1.9, meridians), np.linspace(0.1, 0.9, parallels)
    for crossing in network.crossings:
        first, second = (int(name.split()[1]) for name in crossing.lines)
        exact = on_ball(turns[first], rises[second])[0]
        assert np.linalg.norm(crossing.point - exact) < 0.03


def test_crossings_of_circles_on_a_torus_lie_where_it_has_them() -> None:
    """Source of the values: the exact torus; closed lines that cross each other twice."""
    big, small, middle = 900.0, 300.0, np.array([0.0, -2000.0, 800.0])
    round_ = 2.0 * np.pi * np.arange(48) / 48

    def torus(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        u, v = np.broadcast_arrays(u, v)
        out = big + small * np.cos(v)
        return middle + np.column_stack([out * np.cos(u), small * np.sin(v), out * np.sin(u)])

    round_big = {f"ring {k}": torus(round_, v) for k, v in enumerate((0.4, 1.9))}
    round_small = {f"hoop {k}": torus(u, round_) for k, u in enumerate((0.3, 2.0, 4.4))}
    placed = tuple(
        placed_line(name, points, 0.02, closed=True)
        for name, points in (round_big | round_small).items()
    )
    network = fair_network(placed, specs_of(placed))
    assert len(network.crossings) == 6
    exact = [torus(np.array(u), np.array(v))[0] for v in (0.4, 1.9) for u in (0.3, 2.0, 4.4)]
    for crossing in network.crossings:
        assert min(np.linalg.norm(crossing.point - point) for point in exact) < 0.03


def test_springs_with_multipliers_give_the_constrained_minimum_of_a_direct_solution() -> None:
    """Source of the values: scipy's `spsolve` on the system with constraints as rows of their own,
    built from each line's energy by another road than `springs` takes (Kronecker products).
    """
    laid = lay_network(*ball_lattice(4, 5, sigma=0.5))
    lines = laid.lines
    springs = make_springs(
        [
            Sprung(
                line.draft.batten,
                line.draft.stiffness,
                line.sided.share,
                line.held.at,
                line.held.node,
                line.held.side,
            )
            for line in lines
        ],
        np.zeros(len(laid.nodes), dtype=bool),
    )
    rng = np.random.default_rng(3)
    rest = [rng.normal(size=line.control.shape) for line in lines]
    blocks, rows = [], []
    for line in lines:
        batten, stiffness = line.draft.batten, line.draft.stiffness
        data = batten.basis.T @ np.diag(batten.weights) @ batten.basis
        bending = batten.third.T @ np.diag(batten.limber) @ batten.third
        firm = batten.axes.T @ np.diag(stiffness[[0, 0, 1]]) @ batten.axes
        blocks.append(line.sided.share * (np.kron(data, np.eye(3)) + np.kron(bending, firm)))
        rows.append(np.kron(batten.rows(line.held.at), np.eye(3)))
    nodes = np.concatenate([line.held.node for line in lines])
    of_node = np.kron(np.eye(len(laid.nodes))[nodes], np.eye(3))
    energy = sparse.block_diag([*blocks, sparse.csr_matrix((of_node.shape[1],) * 2)])
    gaps = sparse.hstack([sparse.block_diag(rows), -sparse.csr_matrix(of_node)])
    whole = sparse.bmat([[energy, gaps.T], [gaps, None]], format="csc")
    start = np.concatenate([*(one.ravel() for one in rest), np.zeros(of_node.shape[1])])
    right = np.concatenate([np.zeros(energy.shape[0]), -gaps @ start])
    exact = spsolve(whole, right)[: energy.shape[0]]
    ours = springs.settle(gaps @ start)
    assert np.abs(springs.gaps @ (start + ours)).max() < 1e-6
    for number, line in enumerate(lines):
        place = line.draft.batten.rows(np.linspace(line.draft.start, line.draft.end, 50))
        begin = 3 * springs.starts[number]
        theirs = exact[begin : begin + line.control.size].reshape(-1, 3)
        np.testing.assert_allclose(place @ springs.of_line(ours, number), place @ theirs, atol=1e-4)
