"""The staples that are in, kept as one small factored block, and how they answer the cloth.

All that a staple changes is one small constraint on the edge. The staples' own block (how far cloth and lips part
per force on them) is kept factored; the factor grows by two columns with each staple and shrinks by two when one
comes out, with an effort of its square. (An inverse kept instead loses its digits: a sheet held by one staple still
turns freely, a thousand times softer than it stretches.)

A staple holds the cloth back, it does not push: between it and the lip lies cloth, and cloth is a string. So where
the face would rather lie further out than its staple lets go of it, the strip round the edge hangs loose and carries
nothing outward. Which strips hang loose is found with the forces, by exchanging those with the wrong sign until none
is left (a linear complementarity problem on the same block; its matrix is positive definite, so there is one answer).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.linalg import solve_triangular
from scipy.linalg.lapack import dpotrs

from longpoint.compiling import compiled
from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, Whole

Reaction = Literal["bar", "painter"]

#: Least give of a staple: keeps apart staples that sit on the same edge nodes. [mm/N]
LEAST_GIVE = 1e-6
#: Exchanges of loose strips all at once, before they are exchanged one by one.
AT_ONCE = 12
#: Exchanges at most.
EXCHANGES = 400


@compiled
def _without_columns(factor: Floats, first: int) -> Floats:  # pragma: no cover - runs compiled
    """An upper factor (n, n) with columns ``first`` and the next left out, turned back into a triangle."""
    size = factor.shape[0]
    left = size - 2
    work = np.empty((size, left))
    for row in range(
        size
    ):  # slices set from slices take the compiler four seconds: it makes their refusal in words
        for column in range(left):
            work[row, column] = factor[row, column if column < first else column + 2]
    for column in range(first, left):
        for below in (column + 2, column + 1):
            a, b = work[below - 1, column], work[below, column]
            length = np.hypot(a, b)
            if length > 0.0:
                c, s = a / length, b / length
                for k in range(column, left):
                    x, y = work[below - 1, k], work[below, k]
                    work[below - 1, k] = c * x + s * y
                    work[below, k] = c * y - s * x
        if work[column, column] < 0.0:
            for k in range(column, left):
                work[column, k] = -work[column, k]
    return work[:left]


@compiled
def _taken(
    ends: Whole, picks: Whole, weights: Floats, free: Floats
) -> Floats:  # pragma: no cover - runs compiled
    """Means over crowns, shape (2 s,), from the movement of the edge (2 m,)."""
    means = np.zeros(ends.shape[0] - 1)
    for row in range(means.shape[0]):
        for k in range(ends[row], ends[row + 1]):
            means[row] += weights[k] * free[picks[k]]
    return means


@compiled
def _spread(
    ends: Whole, picks: Whole, weights: Floats, forces: Floats, on_edge: Floats
) -> None:  # pragma: no cover - runs compiled
    """Adds forces on crowns (2 s,) to the forces on the edge (2 m,)."""
    for row in range(forces.shape[0]):
        for k in range(ends[row], ends[row + 1]):
            on_edge[picks[k]] += weights[k] * forces[row]


@dataclass(frozen=True, slots=True, eq=False)
class Jaws:
    """A pull that is being held.

    Attributes:
        row: Mean outward movement of the jaws' stretch of edge, shape (2 m,).
        force: Force the cloth gets at the lip at most. [N]
        reach: Movement at which the hand stops, counted as ``row`` does. [mm]
        reaction: What the pull pushes against.
    """

    row: Floats
    force: float
    reach: float
    reaction: Reaction


class Staples:
    """The staples that are in; changed staple by staple.

    Attributes:
        give: Movement of the taut cloth's edge per force on it, shape (2 m, 2 m). [mm/N]
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        names: Names of the staples that are in.
        places: Where each staple wants its stretch of cloth, relative to the lip, shape (2 s,). [mm]
        loose: Names of those whose strip round the edge hung loose at the last rest.
        one_way: Whether staples only hold back; False lets them push as well, which is linear and wrong.
        ends: The rows once more, sparse: where each begins and ends, shape (2 s + 1,).
        picks: Edge freedoms of each row.
        weights: Their weights.
    """

    def __init__(self, give: Floats, frame: Floats, *, staple_give: float, one_way: bool = True) -> None:
        size = len(give)
        if frame.shape != (size, size):
            msg = f"the frame's compliance has shape {frame.shape}; this canvas needs ({size}, {size})"
            raise OutOfRangeError(msg)
        self.give, self.frame, self.staple_give = give, frame, max(staple_give, LEAST_GIVE)
        self.one_way = one_way
        self.both = give + frame
        self.names: list[str] = []
        self.places: Floats = np.zeros(0)
        self.loose: set[str] = set()
        self.ends: Whole = np.zeros(1, dtype=np.intp)
        self.picks: Whole = np.zeros(0, dtype=np.intp)
        self.weights: Floats = np.zeros(0)
        self._room: Floats = np.zeros((2, 64, size))  # rows, and rows @ both, with room for more staples
        self.factor: Floats = np.zeros((0, 0))  # upper, block = factorᵀ factor, (2 s, 2 s)

    @property
    def rows(self) -> Floats:
        """Mean movement of every staple's crown, outward and sideways, shape (2 s, 2 m)."""
        return self._room[0, : 2 * len(self.names)]

    @property
    def parted(self) -> Floats:
        """How far cloth and lips part under every staple's unit force, shape (2 s, 2 m). [mm/N]"""
        return self._room[1, : 2 * len(self.names)]

    def forces_for(self, parted: Floats) -> Floats:
        """Forces on the staples that part them by so much, shape (2 s,) or (2 s, k)."""
        if not len(self.factor):
            return np.zeros_like(parted)
        answer, _ = dpotrs(self.factor, parted)
        return np.asarray(answer)

    def put_in(self, name: str, rows: Floats, place: Floats) -> None:
        """Puts a staple in.

        Args:
            name: Its name, not in yet.
            rows: Mean movement of its crown, shape (2, 2 m).
            place: Where it holds the cloth, relative to the lip, shape (2,). [mm]
        """
        picked = np.flatnonzero(rows.any(axis=0))
        few: Floats = rows[:, picked]
        parted = few @ self.both[picked]
        own: Floats = np.asarray(parted[:, picked] @ few.T + self.staple_give * np.eye(2))
        size = len(self.factor)
        factor = np.zeros((size + 2, size + 2), order="F")
        if size:
            shared = self.parted[:, picked] @ few.T  # (2 s, 2)
            above: Floats = np.asarray(solve_triangular(self.factor, shared, trans="T", check_finite=False))
            own = own - above.T @ above
            factor[:size, :size], factor[:size, size:] = self.factor, above
        factor[size:, size:] = np.linalg.cholesky(own).T
        self.factor = factor
        if size + 2 > self._room.shape[1]:
            self._room = np.concatenate([self._room, np.zeros_like(self._room)], axis=1)
        self._room[0, size : size + 2], self._room[1, size : size + 2] = rows, parted
        for row in rows:
            places = np.flatnonzero(row)
            self.ends = np.append(self.ends, self.ends[-1] + len(places))
            self.picks = np.concatenate([self.picks, places])
            self.weights = np.concatenate([self.weights, row[places]])
        self.names.append(name)
        self.places = np.concatenate([self.places, place])

    def take_out(self, name: str) -> None:
        """Takes a staple out.

        Args:
            name: A staple that is in.
        """
        k = self.names.index(name)
        size = len(self.factor)
        self.factor = np.asfortranarray(_without_columns(np.ascontiguousarray(self.factor), 2 * k))
        kept = np.delete(np.arange(size), [2 * k, 2 * k + 1])
        self._room[:, : size - 2] = self._room[:, kept]
        self.places = self.places[kept]
        self.loose.discard(name)
        first, last = self.ends[2 * k], self.ends[2 * k + 2]
        self.ends = np.concatenate([self.ends[: 2 * k], self.ends[2 * k + 2 :] - (last - first)])
        self.picks = np.delete(self.picks, slice(first, last))
        self.weights = np.delete(self.weights, slice(first, last))
        del self.names[k]

    def take_over(self, other: Staples) -> None:
        """Takes over another's staples where they are, the factor made anew.

        Args:
            other: On the same edge.
        """
        self.names, self.places, self.loose = list(other.names), other.places, set(other.loose)
        self.ends, self.picks, self.weights = other.ends, other.picks, other.weights
        self._room = other._room.copy()
        self._room[1] = self._room[0] @ self.both
        block = self.parted @ self.rows.T + self.staple_give * np.eye(len(self.rows))
        if len(block):
            self.factor = np.asfortranarray(np.linalg.cholesky(0.5 * (block + block.T)).T)


class Holding:
    """How the staples that are in, and a pull, answer the free movement of the edge; for one rest."""

    def __init__(self, staples: Staples, jaws: Jaws | None) -> None:
        self.staples, self.jaws = staples, jaws
        self._ends, self._picks, self._weights = staples.ends, staples.picks, staples.weights
        self._columns: dict[int, Floats] = {}
        if jaws is not None:
            parts = (staples.both if jaws.reaction == "bar" else staples.give) @ jaws.row
            self._coupled = self._crowns(parts)  # how far each staple is parted from its lip, per force
            self._straight = staples.forces_for(self._coupled)
            self._own = float(jaws.row @ parts)
        self._let(np.array([name in staples.loose for name in staples.names], dtype=np.bool_))

    def _crowns(self, moved: Floats) -> Floats:
        """Means of a movement of the edge over the crowns, shape (2 s,)."""
        return np.asarray(_taken(self._ends, self._picks, self._weights, moved))

    def _let(self, loose: np.ndarray) -> None:
        """Makes these staples' strips the loose ones, shape (s,)."""
        self._is_loose = loose
        self._loose = 2 * np.flatnonzero(loose)
        new = [k for k in self._loose.tolist() if k not in self._columns]
        if new:
            unit = np.zeros((len(self.staples.factor), len(new)), order="F")
            unit[new, np.arange(len(new))] = 1.0
            self._columns.update(zip(new, self.staples.forces_for(unit).T, strict=True))
        if len(self._loose):
            columns = np.array([self._columns[k] for k in self._loose.tolist()])
            self._slip = np.linalg.inv(columns[:, self._loose])
            self._gain = self._slip @ columns
        if self.jaws is not None:
            self._through = self._held(self._straight)
            self._soft = self._own - float(self._coupled @ self._through)

    def _held(self, apart: Floats) -> Floats:
        """Forces with nothing on the loose strips, from those with all of them holding, shape (2 s,)."""
        return apart - apart[self._loose] @ self._gain if len(self._loose) else apart

    def answer(self, free: Floats) -> tuple[Floats, float, Floats]:
        """Forces of the staples and the pull.

        Args:
            free: Movement of the cloth's edge with no force on it, shape (2 m,). [mm]

        Returns:
            Force of every staple on the cloth (2 s,) [N]; pull [N]; forces on the cloth's edge (2 m,) [N].
        """
        jaws, staples = self.jaws, self.staples
        apart = staples.forces_for(staples.places - self._crowns(free))
        at = 0.0 if jaws is None else float(jaws.row @ free)
        pull, forces = self._pulled(apart, at)
        if staples.one_way and len(apart):
            for exchange in range(EXCHANGES):
                wrong = self._wrong(apart if jaws is None else apart - pull * self._straight, forces)
                if not len(wrong):
                    break
                changed = self._is_loose.copy()
                changed[wrong if exchange < AT_ONCE else wrong[-1:]] ^= True
                self._let(changed)
                pull, forces = self._pulled(apart, at)
        on_edge = np.zeros(len(free)) if jaws is None else pull * jaws.row
        _spread(self._ends, self._picks, self._weights, forces, on_edge)
        return forces, pull, on_edge

    def _pulled(self, apart: Floats, at: float) -> tuple[float, Floats]:
        """Pull and forces of the staples with the loose strips as they are."""
        held = self._held(apart)
        if self.jaws is None:
            return 0.0, held
        without = at + float(self._coupled @ held)  # movement of the jaws with no pull
        pull = min(self.jaws.force, max((self.jaws.reach - without) / self._soft, 0.0))
        return pull, held - self._through * pull

    def _wrong(self, apart: Floats, forces: Floats) -> Whole:
        """Staples that push though they hold, and loose ones that would hold, rising."""
        outward = forces[0::2]
        least = 1e-9 * (1.0 + float(np.abs(forces).max()))
        wrong = (outward < -least) & ~self._is_loose
        if len(self._loose):
            would = (
                self._slip @ apart[self._loose]
            )  # how far loose strips would be stretched, were they to hold
            wrong[self._loose[would > least * self.staples.staple_give] // 2] = True
        return np.flatnonzero(wrong)

    def keep(self) -> None:
        """Lets the staples know which strips hang loose now, as a first guess for the next rest."""
        self.staples.loose = {
            name for name, loose in zip(self.staples.names, self._is_loose, strict=True) if loose
        }
