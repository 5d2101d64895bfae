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
from longpoint.strength.membrane_grid import Floats
from longpoint.strength.membrane_slack import TAUT, States, accelerated, tension_without_compression
from longpoint.stretching.rehearsal_sheet import EdgeSystem

Reaction = Literal["bar", "painter"]

#: Least give of a staple: keeps apart staples that sit on the same edge nodes. [mm/N]
LEAST_GIVE = 1e-6


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


@dataclass(frozen=True, slots=True, eq=False)
class TautEdge:
    """Rest of cloth, staples and frame as long as all cloth is taut, known on the edge alone.

    Attributes:
        edge: Movement of the cloth's edge, shape (2 m,). [mm]
        frame: Movement of the lips, shape (2 m,). [mm]
        forces: Forces on the cloth's edge, shape (2 m,). [N]
        staples: Outward and sideways force of every staple on the cloth, shape (2 s,). [N]
        pull: Force that the jaws hold. [N]
        energy: Stored in cloth, frame and staples. [N mm]
        tension: Mean Tx Ty Txy of the face, shape (3,). [N/mm]
    """

    edge: Floats
    frame: Floats
    forces: Floats
    staples: Floats
    pull: float
    energy: float
    tension: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Answering:
    """How staples and frame answer a pull, per force of it.

    Attributes:
        coupled: How far each staple would be parted from its lip, shape (2 s,). [mm/N]
        through: Force each staple takes back, shape (2 s,).
        soft: Movement of the jaws. [mm/N]
    """

    coupled: Floats
    through: Floats
    soft: float


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
        factor = np.zeros((size + 2, size + 2), order="F")
        if size:
            shared = self.parted @ rows.T  # (2 s, 2)
            above: Floats = np.asarray(solve_triangular(self.factor, shared, trans="T", check_finite=False))
            own = own - above.T @ above
            factor[:size, :size], factor[:size, size:] = self.factor, above
        factor[size:, size:] = np.linalg.cholesky(own).T
        self.factor = factor
        if size + 2 > self._room.shape[1]:
            self._room = np.concatenate([self._room, np.zeros_like(self._room)], axis=1)
        self._room[0, size : size + 2], self._room[1, size : size + 2] = rows, parted
        self.names.append(name)
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
        self.factor = np.asfortranarray(factor * np.where(np.diag(factor) < 0, -1.0, 1.0)[:, None])
        kept = np.delete(np.arange(size), [2 * k, 2 * k + 1])
        self._room[:, : size - 2] = self._room[:, kept]
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
        other.names, other.places = list(self.names), self.places
        other._room = self._room.copy()
        other._room[1] = other._room[0] @ other.both
        block = other.parted @ other.rows.T + other.staple_give * np.eye(len(other.rows))
        if len(block):
            other.factor = np.asfortranarray(np.linalg.cholesky(0.5 * (block + block.T)).T)
        return other

    def _answer(
        self, free: Floats, jaws: Jaws | None, answering: _Answering | None
    ) -> tuple[Floats, float, Floats]:
        """Staple forces (2 s,), pull, and forces on the cloth's edge (2 m,), from the edge's free movement."""
        apart = self.forces_for(self.places - self.rows @ free)
        if jaws is None or answering is None:
            return apart, 0.0, apart @ self.rows
        without = float(jaws.row @ free + answering.coupled @ apart)  # movement of the jaws with no pull
        pull = min(jaws.force, max((jaws.reach - without) / answering.soft, 0.0))
        staples = apart - answering.through * pull
        return staples, pull, staples @ self.rows + pull * jaws.row

    def _answering(self, jaws: Jaws | None) -> _Answering | None:
        """How staples and frame answer a pull, per force of it."""
        if jaws is None:
            return None
        # parts edge and lip, per force
        own = (self.both if jaws.reaction == "bar" else self.system.give) @ jaws.row
        coupled = self.rows @ own
        through = self.forces_for(coupled)
        return _Answering(coupled, through, float(jaws.row @ own - coupled @ through))

    def _lips(self, staples: Floats, pull: float, jaws: Jaws | None) -> Floats:
        """Movement of the lips, shape (2 m,)."""
        pushed = staples @ self.rows
        if jaws is not None and jaws.reaction == "bar":
            pushed = pushed + pull * jaws.row
        return np.asarray(-(self.frame @ pushed))

    def taut_edge(self, jaws: Jaws | None = None) -> TautEdge:
        """Rest if all cloth is taut, on the edge.

        Args:
            jaws: A pull being held.

        Returns:
            The rest; whether the cloth really is taut is for ``EdgeSystem.is_taut`` to say.
        """
        system = self.system
        staples, pull, forces = self._answer(system.loose_edge, jaws, self._answering(jaws))
        given = system.give @ forces
        edge = system.loose_edge + given
        lips = self._lips(staples, pull, jaws)
        pushed = forces if jaws is None or jaws.reaction == "bar" else forces - pull * jaws.row
        stored = float(forces @ given) - float(pushed @ lips) + self.staple_give * float(staples @ staples)
        strain = system.mean_strain @ edge + system.sheet.prestrain[0]
        return TautEdge(
            edge=edge,
            frame=lips,
            forces=forces,
            staples=staples,
            pull=pull,
            energy=system.loose_energy + 0.5 * stored,
            tension=strain @ system.sheet.cloth.matrix,
        )

    def taut_balance(self, rest: TautEdge) -> Balance:
        """The whole face of a taut rest.

        Args:
            rest: The rest on the edge.

        Returns:
            The balance.
        """
        sheet = self.system.sheet
        movement = self.system.loose + self.system.taut_movement(rest.forces)
        tension = sheet.strains(movement) @ sheet.cloth.matrix
        return Balance(
            movement=movement,
            frame=rest.frame,
            staples=rest.staples,
            pull=rest.pull,
            tension=tension,
            state=np.full(len(tension), TAUT, dtype=np.int8),
            energy=rest.energy,
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
        answering = self._answering(jaws)
        latest: list[tuple[Floats, float]] = [(np.zeros(0), 0.0)]

        def advance(movement: Floats) -> tuple[Floats, Floats]:
            holding = sheet.holding_forces(movement)
            free = movement[system.edge] - system.edge_answer(holding)
            staples, pull, forces = self._answer(free, jaws, answering)
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
