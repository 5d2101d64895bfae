"""The cloth on its frame as one system that staples are put into and taken out of.

Taut cloth and frame are linear, so all that a staple changes is one small constraint on the edge. The compliance
of edge and frame is kept dense; the staples' own block (how far they would part per force on them) is kept
factored, and the factor grows by two columns with each staple and shrinks by two when one comes out, with an
effort of its square. (An inverse kept instead loses its digits: a sheet held by one staple still turns freely,
a thousand times softer than it stretches.) Where cloth is slack, what
it does not carry is put back as a load on the same factored sheet (``membrane_slack``), the staples and the
frame answered exactly in every round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.linalg import cho_solve, qr_delete, solve_triangular

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane import Cloth, in_plane_freedoms
from longpoint.strength.membrane_grid import Floats, MembraneGrid
from longpoint.strength.membrane_slack import (
    KEPT,
    TAUT,
    Sheet,
    States,
    accelerated,
    prepare_sheet,
    tension_without_compression,
)

Reaction = Literal["bar", "painter"]

#: Least give of a staple: keeps apart staples that sit on the same edge nodes. [mm/N]
LEAST_GIVE = 1e-6
#: Soft springs on the edge as a part of the cloth's stiffness: cloth lies on its frame with a little friction.
SOFT = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class EdgeSystem:
    """A canvas made ready on its edge; the same for every order and every frame.

    Attributes:
        sheet: The sheet.
        edge: In-plane freedoms of the edge, shape (2 m,).
        answer: Movement of every freedom per force on the edge, taut, shape (2 n_nodes, 2 m). [mm/N]
        give: The same on the edge alone, symmetric, shape (2 m, 2 m). [mm/N]
        loose: Movement of every freedom from the prestrain alone, taut, shape (2 n_nodes,). [mm]
    """

    sheet: Sheet
    edge: np.ndarray
    answer: Floats
    give: Floats
    loose: Floats


def edge_system(
    grid: MembraneGrid, cloth: Cloth, *, slackness: float = 0.0, kept: float = KEPT
) -> EdgeSystem:
    """Makes a canvas ready for rehearsals.

    Args:
        grid: A rectangular grid.
        cloth: The cloth while it is stretched.
        slackness: How much longer than the face the cloth lies at the start, both ways, as a part; below 0 it
            would be too short.
        kept: Part of the taut stiffness kept in slack cloth.

    Returns:
        The system.
    """
    edge = in_plane_freedoms(grid.edge)
    springs = np.zeros(2 * grid.node_count)
    springs[edge] = SOFT * math.sqrt(cloth.warp_stiffness * cloth.weft_stiffness)
    sheet = prepare_sheet(grid, cloth, prestrain=(-slackness, -slackness, 0.0), springs=springs, kept=kept)
    unit = np.zeros((2 * grid.node_count, len(edge)))
    unit[edge, np.arange(len(edge))] = 1.0
    answer = np.ascontiguousarray(sheet.solve(unit))
    give = 0.5 * (answer[edge] + answer[edge].T)
    before = sheet.forces @ (sheet.prestrain @ cloth.matrix).ravel()
    return EdgeSystem(sheet=sheet, edge=edge, answer=answer, give=give, loose=-sheet.solve(before))


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


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """Cloth, staples and frame at rest.

    Attributes:
        movement: In-plane movement of every freedom of the cloth, shape (2 n_nodes,). [mm]
        frame: Movement of the lips, x y of each edge point, shape (2 m,). [mm]
        staples: Outward and sideways force of every staple on the cloth, shape (2 s,). [N]
        pull: Force that the jaws hold. [N]
        tension: Tx Ty Txy at every point, shape (n_points, 3). [N/mm]
        state: State of every point of the cloth, shape (n_points,).
        energy: Stored in cloth, frame and staples. [N mm]
        imbalance: Part still out of balance. [-]
        rounds: Rounds it took; 0 where all cloth is taut.
    """

    movement: Floats
    frame: Floats
    staples: Floats
    pull: float
    tension: Floats
    state: States
    energy: float
    imbalance: float
    rounds: int

    @property
    def taut(self) -> bool:
        """Whether all cloth is taut."""
        return self.rounds == 0


class StapledCloth:
    """The staples that are in, and the rest they give; changed staple by staple.

    Attributes:
        system: The canvas on its edge.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        names: Names of the staples that are in.
        places: Where each staple wants its stretch of cloth, relative to the lip, shape (2 s,). [mm]
    """

    def __init__(self, system: EdgeSystem, frame: Floats, *, staple_give: float) -> None:
        size = len(system.edge)
        if frame.shape != (size, size):
            msg = f"the frame's compliance has shape {frame.shape}; this canvas needs ({size}, {size})"
            raise OutOfRangeError(msg)
        self.system, self.frame, self.staple_give = system, frame, max(staple_give, LEAST_GIVE)
        self.both = system.give + frame
        self.names: list[str] = []
        self.places: Floats = np.zeros(0)
        self.rows: Floats = np.zeros((0, size))  # (2 s, 2 m)
        self.parted: Floats = np.zeros((0, size))  # rows @ both, (2 s, 2 m)
        self.factor: Floats = np.zeros((0, 0))  # upper, block = factorᵀ factor, (2 s, 2 s)

    def forces_for(self, parted: Floats) -> Floats:
        """Forces on the staples that part them by so much, shape (2 s,) or (2 s, k)."""
        if not len(self.factor):
            return np.zeros_like(parted)
        return np.asarray(cho_solve((self.factor, False), parted, check_finite=False))

    def put_in(self, name: str, rows: Floats, place: Floats) -> None:
        """Puts a staple in.

        Args:
            name: Its name, not in yet.
            rows: Mean movement of its crown, shape (2, 2 m).
            place: Where it holds the cloth, relative to the lip, shape (2,). [mm]
        """
        parted = rows @ self.both
        own: Floats = np.asarray(parted @ rows.T + self.staple_give * np.eye(2))
        size = len(self.factor)
        factor = np.zeros((size + 2, size + 2))
        if size:
            shared = self.parted @ rows.T  # (2 s, 2)
            above: Floats = np.asarray(solve_triangular(self.factor, shared, trans="T", check_finite=False))
            own = own - above.T @ above
            factor[:size, :size], factor[:size, size:] = self.factor, above
        factor[size:, size:] = np.linalg.cholesky(own).T
        self.factor = factor
        self.names.append(name)
        self.rows, self.parted = np.vstack([self.rows, rows]), np.vstack([self.parted, parted])
        self.places = np.concatenate([self.places, place])

    def take_out(self, name: str) -> None:
        """Takes a staple out.

        Args:
            name: A staple that is in.
        """
        k = self.names.index(name)
        size = len(self.factor)
        _, factor = qr_delete(np.eye(size), self.factor, 2 * k, p=2, which="col", check_finite=False)
        factor = factor[: size - 2]
        self.factor = np.ascontiguousarray(factor * np.where(np.diag(factor) < 0, -1.0, 1.0)[:, None])
        kept = np.delete(np.arange(size), [2 * k, 2 * k + 1])
        self.rows, self.parted = self.rows[kept], self.parted[kept]
        self.places = self.places[kept]
        del self.names[k]

    def refreshed(self, frame: Floats, *, staple_give: float) -> StapledCloth:
        """The same staples on another frame, or with rounding swept out, the factor made anew.

        Args:
            frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
            staple_give: Give of a staple. [mm/N]

        Returns:
            A new stapled cloth.
        """
        other = StapledCloth(self.system, frame, staple_give=staple_give)
        other.names, other.rows, other.places = list(self.names), self.rows, self.places
        other.parted = other.rows @ other.both
        block = other.parted @ other.rows.T + other.staple_give * np.eye(len(other.rows))
        if len(block):
            other.factor = np.asarray(np.linalg.cholesky(0.5 * (block + block.T)).T)
        return other

    def _answer(self, free: Floats, jaws: Jaws | None) -> tuple[Floats, float, Floats]:
        """Staple forces (2 s,), pull, and forces on the cloth's edge (2 m,), from the edge's free movement."""
        if jaws is None:
            staples = self.forces_for(self.places - self.rows @ free)
            return staples, 0.0, staples @ self.rows
        pushes = 1.0 if jaws.reaction == "bar" else 0.0
        own = self.system.give @ jaws.row + pushes * (self.frame @ jaws.row)  # parts edge and lip, per force
        coupled = self.rows @ own
        through = self.forces_for(coupled)
        apart = self.forces_for(self.places - self.rows @ free)
        without = float(jaws.row @ free + coupled @ apart)  # movement of the jaws with no pull
        soft = float(jaws.row @ own - coupled @ through)
        pull = min(jaws.force, max((jaws.reach - without) / soft, 0.0))
        staples = apart - through * pull
        return staples, pull, staples @ self.rows + pull * jaws.row

    def _lips(self, staples: Floats, pull: float, jaws: Jaws | None) -> Floats:
        """Movement of the lips, shape (2 m,)."""
        pushed = staples @ self.rows
        if jaws is not None and jaws.reaction == "bar":
            pushed = pushed + pull * jaws.row
        return np.asarray(-(self.frame @ pushed))

    def taut_balance(self, jaws: Jaws | None = None, *, unasked: bool = False) -> Balance | None:
        """Rest if all cloth is taut.

        Args:
            jaws: A pull being held.
            unasked: True treats cloth as taut whether it is or not.

        Returns:
            The balance; None if some of the cloth would be slack.
        """
        system, sheet = self.system, self.system.sheet
        staples, pull, forces = self._answer(system.loose[system.edge], jaws)
        movement = system.loose + system.answer @ forces
        strain = sheet.strains(movement)
        tension = strain @ sheet.cloth.matrix
        x, y, shear = tension[:, 0], tension[:, 1], tension[:, 2]
        if not unasked and (x.min() < 0 or y.min() < 0 or np.any(x * y < shear * shear)):
            return None
        return Balance(
            movement=movement,
            frame=self._lips(staples, pull, jaws),
            staples=staples,
            pull=pull,
            tension=tension,
            state=np.full(len(tension), TAUT, dtype=np.int8),
            energy=self._energy(movement, strain, tension, staples, pull, jaws),
            imbalance=0.0,
            rounds=0,
        )

    def slack_balance(
        self, start: Floats, jaws: Jaws | None = None, *, stored: float, tolerance: float, limit: int
    ) -> Balance:
        """Rest with cloth that may be slack.

        Args:
            start: Movement to start from, shape (2 n_nodes,). [mm]
            jaws: A pull being held.
            stored: Energy that counts as the whole. [N mm]
            tolerance: Imbalance to reach, as a part of the whole.
            limit: Most rounds.

        Returns:
            The balance.
        """
        system, sheet = self.system, self.system.sheet
        latest: list[tuple[Floats, float]] = [(np.zeros(0), 0.0)]

        def advance(movement: Floats) -> tuple[Floats, Floats]:
            holding = sheet.holding_forces(movement)
            free = movement[system.edge] - holding @ system.answer
            staples, pull, forces = self._answer(free, jaws)
            latest[0] = (staples, pull)
            holding *= -1.0
            holding[system.edge] += forces
            return sheet.solve(holding), holding

        step, imbalance = advance(start)
        scale = math.sqrt(max(2 * stored, float(step @ imbalance), 1e-12))
        movement, left, rounds = accelerated(
            advance, start + step, scale=scale, tolerance=tolerance, limit=limit, memory=6
        )
        if left >= tolerance:
            advance(movement)  # the best place is not the last one looked at
        strain = sheet.strains(movement)
        tension, state = tension_without_compression(sheet.cloth.matrix, strain, sheet.kept)
        staples, pull = latest[0]
        return Balance(
            movement=movement,
            frame=self._lips(staples, pull, jaws),
            staples=staples,
            pull=pull,
            tension=tension,
            state=state,
            energy=self._energy(movement, strain, tension, staples, pull, jaws),
            imbalance=left,
            rounds=rounds + 1,
        )

    def _energy(
        self,
        movement: Floats,
        strain: Floats,
        tension: Floats,
        staples: Floats,
        pull: float,
        jaws: Jaws | None,
    ) -> float:
        """Energy in cloth, springs, frame and staples. [N mm]"""
        sheet = self.system.sheet
        cloth = float(sheet.areas @ np.einsum("na,na->n", tension, strain)) + float(
            sheet.springs @ movement**2
        )
        lips = self._lips(staples, pull, jaws)
        pushed = staples @ self.rows
        if jaws is not None and jaws.reaction == "bar":
            pushed = pushed + pull * jaws.row
        return 0.5 * (cloth - float(pushed @ lips) + self.staple_give * float(staples @ staples))
