"""Many lines as one sparse system: control points as unknowns, crossings as stiff springs.

A dense system over the crossings has three unknowns for each, and every crossing of a line feels
every other one: with ten thousand of them that is a matrix of seven gigabytes. Over the control
points it is sparse, since a cubic feels its own span and two beside it: ten thousand crossings of
two hundred lines are factored in some seconds, once, and solved for an edit in a twentieth of one.

The springs are stiff, not rigid, so that the matrix stays positive definite; what gap they leave is
taken off by the method of multipliers (Hestenes, 'Multiplier and gradient methods', J. Optimization
Theory and Applications 4 (1969), doi:10.1007/BF00927673), a solution or two more.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from buckwright.geometry.factor import OrderedFactor, factor_positive
from buckwright.lines.batten import Batten

__all__ = ["Asked", "Springs", "Sprung", "make_springs"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SPRING = 1000.0
"""How many times as stiff as a line's own control points the springs at its crossings are."""
CLOSED = 1e-7
"""mm of gap at a crossing that is none."""
ROUNDS = 12


@dataclass(frozen=True, eq=False, slots=True)
class Sprung:
    """One line of the network."""

    batten: Batten
    stiffness: Array
    share: float
    at: Array
    """(k,) parameters of its crossings, mm."""
    node: Index
    side: Array
    """(k,) -1 where the line passes the node's mirror image, else 1."""


@dataclass(frozen=True, eq=False, slots=True)
class Asked:
    """Moves that are given: readings (c, unknowns) of the system, and what each must be."""

    rows: sparse.csr_matrix
    moves: Array


@dataclass(frozen=True, eq=False, slots=True)
class Springs:
    """The factored system: unknowns are moves of control points, line by line, then of nodes."""

    starts: Index
    """(lines + 1,) first control point of each line; the last is the first node."""
    free: NDArray[np.bool_]
    """(3 n,) unknowns; those that are not are zero."""
    gaps: sparse.csr_matrix
    """(3 g, 3 n) gaps at the crossings read off the unknowns."""
    spring: Array
    """(3 g,)."""
    factor: OrderedFactor

    @property
    def size(self) -> int:
        """Number of unknowns, free or not."""
        return len(self.free)

    def solve(self, force: Array) -> Array:
        """(3 n,) moves under a force on each unknown."""
        moves = np.zeros_like(force)
        moves[self.free] = self.factor.solve(force[self.free])
        return moves

    def settle(self, gap: Array, asked: Asked | None = None) -> Array:
        """(3 n,) moves of least energy that close the gaps (3 g,) and are what is asked."""
        pull, ways = np.zeros(len(gap)), None
        if asked is not None:
            ways = np.column_stack([self.solve(row) for row in asked.rows.toarray()])
            firm = np.linalg.inv(asked.rows @ ways)
        moves, now = np.zeros(self.size), gap
        for _ in range(ROUNDS):
            if ways is None or np.any(gap) or np.any(pull):
                moves = self.solve(-(self.gaps.T @ (pull + self.spring * gap)))
            if asked is not None and ways is not None:
                moves = moves + ways @ (firm @ (asked.moves - asked.rows @ moves))
            now = gap + self.gaps @ moves
            if np.abs(now).max(initial=0.0) < CLOSED:
                break
            pull = pull + self.spring * now
        return moves

    def of_line(self, moves: Array, number: int) -> Array:
        """(m, 3) moves of one line's control points."""
        return moves.reshape(-1, 3)[self.starts[number] : self.starts[number + 1]]

    def of_nodes(self, moves: Array) -> Array:
        """(nodes, 3) moves of the crossings."""
        return moves.reshape(-1, 3)[self.starts[-1] :]

    def reading(self, point: int, weights: Array, axis: int) -> sparse.csr_matrix:
        """(1, 3 n) one coordinate of weights @ the unknown points from `point` on."""
        columns = 3 * (point + np.arange(len(weights))) + axis
        shape = (1, self.size)
        return sparse.csr_matrix((weights, (np.zeros_like(columns), columns)), shape=shape)


def make_springs(lines: Sequence[Sprung], on_plane: NDArray[np.bool_]) -> Springs:
    """The system of these lines and nodes; `on_plane` (nodes,) cannot leave the centre plane.

    Cost of the factors for 200 lines with 10,000 crossings: some five seconds.
    """
    starts = np.cumsum([0, *(line.batten.basis.shape[1] for line in lines)])
    count = int(starts[-1]) + len(on_plane)
    gaps, spring = _gaps(lines, starts, count)
    own, graph = _own(lines, starts, count)
    stiff = sparse.diags(spring)
    matrix = own + gaps.T @ stiff @ gaps
    free = np.ones(3 * count, dtype=bool)
    free[3 * (int(starts[-1]) + np.flatnonzero(on_plane)) + 1] = False
    order = (3 * _order(graph, gaps)[:, None] + np.arange(3)).ravel()
    order = order[free[order]]
    place = np.cumsum(free) - 1
    factor = OrderedFactor(matrix[free][:, free], place[order])
    return Springs(starts, free, gaps, spring, factor)


def _gaps(lines: Sequence[Sprung], starts: Index, count: int) -> tuple[sparse.csr_matrix, Array]:
    """Where each line passes its nodes less where these are, and how stiff that is held."""
    rows, columns, values, spring = [], [], [], []
    first = 0
    for line, start in zip(lines, starts[:-1], strict=True):
        weights = line.batten.rows(line.at)
        place, control = np.nonzero(weights)
        rows += [first + place, first + np.arange(len(line.at))]
        columns += [start + control, starts[-1] + line.node]
        values += [np.repeat(weights[place, control], 3), _sides(-line.side).ravel()]
        spring.append(np.full(3 * len(line.at), SPRING * line.share * _typical(line)))
        first += len(line.at)
    # The mirror image of a line's place is compared with the node: only y is turned, see `_sides`.
    row, column = _thrice(rows), _thrice(columns)
    matrix = sparse.csr_matrix(
        (np.concatenate(values), (row, column)), shape=(3 * first, 3 * count)
    )
    return matrix, np.concatenate(spring)


def _sides(sign: Array) -> Array:
    """(k, 3) what a node's coordinates count for: y turns with the side."""
    ones = -np.ones_like(sign)
    return np.stack([ones, sign, ones], axis=1)


def _thrice(parts: Sequence[Index]) -> Index:
    return np.asarray((3 * np.concatenate(parts)[:, None] + np.arange(3)).ravel())


def _typical(line: Sprung) -> float:
    """How firmly one control point is held by its line, the way that it is held most."""
    batten = line.batten
    data = np.einsum("ij,i,ij->j", batten.basis, batten.weights, batten.basis)
    bending = np.einsum("ij,i,ij->j", batten.third, batten.limber, batten.third)
    return float(np.mean(data + line.stiffness.max() * bending))


def _own(
    lines: Sequence[Sprung], starts: Index, count: int
) -> tuple[sparse.csr_matrix, sparse.csr_matrix]:
    """The energies of all lines by themselves, and which control points feel each other."""
    rows, columns, blocks = [], [], []
    for line, start in zip(lines, starts[:-1], strict=True):
        row, column, block = _blocks(line)
        rows.append(start + row)
        columns.append(start + column)
        blocks.append(line.share * block)
    row, column, values = (np.concatenate(parts) for parts in (rows, columns, blocks))
    axis, other = np.repeat(np.arange(3), 3), np.tile(np.arange(3), 3)
    where = ((3 * row[:, None] + axis).ravel(), (3 * column[:, None] + other).ravel())
    own = sparse.csr_matrix((values.ravel(), where), shape=(3 * count, 3 * count))
    graph = sparse.csr_matrix((np.ones(len(row)), (row, column)), shape=(count, count))
    return own, graph


def _blocks(line: Sprung) -> tuple[Index, Index, Array]:
    """Pairs of control points that feel each other, and the (3, 3) energies between them."""
    batten = line.batten
    data = (batten.basis * batten.weights[:, None]).T @ batten.basis
    bending = (batten.third * batten.limber[:, None]).T @ batten.third
    count = len(data)
    ridge = 1e-12 * (np.trace(data) + batten.floor * np.trace(bending)) / count
    across = np.outer(batten.axes[2], batten.axes[2])
    firm = line.stiffness[0] * (np.eye(3) - across) + line.stiffness[1] * across
    data = data + ridge * np.eye(count) + _rigid(batten, _typical(line))
    row, column = np.nonzero(np.abs(data) + np.abs(bending))
    one, two = data[row, column][:, None, None], bending[row, column][:, None, None]
    return row, column, one * np.eye(3) + two * firm


def _rigid(batten: Batten, typical: float) -> Array:
    """(m, m) what stands against moves that none of the batten's modes can make."""
    count, free = batten.modes.shape
    if count == free:
        return np.zeros((count, count))
    base, _ = np.linalg.qr(batten.modes)
    stiff = np.eye(count) - base @ base.T
    stiff[np.abs(stiff) < 1e-12] = 0.0
    return np.asarray(1e3 * typical * stiff)


def _order(graph: sparse.csr_matrix, gaps: sparse.csr_matrix) -> Index:
    """(n,) points in an order that fills the factors little: minimum degree, x, y, z together."""
    ties = abs(gaps[::3][:, ::3])
    touched = sparse.csr_matrix(graph + ties.T @ ties)
    touched.data[:] = 1.0
    heavy = sparse.diags(np.asarray(touched.sum(axis=1)).ravel() + 1.0)
    return np.argsort(factor_positive(heavy - 0.5 * touched).perm_c)
