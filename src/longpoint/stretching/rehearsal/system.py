"""The cloth on its frame as one system that staples are put into and taken out of.

Taut cloth and frame are linear, and a taut rest needs the edge alone: the compliance of edge and frame is kept dense,
and the staples answer on it (``rehearsal_staples``). Where cloth is slack it comes to rest in rounds on the same
factored sheet (``rehearsal_rest``), the staples and the frame answered exactly in every one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.strength.membrane.slack import TAUT, States, tension_without_compression
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.slack_cloth import SlackRest, come_to_rest_on
from longpoint.stretching.rehearsal.staples import Holding, Jaws, Staples


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


class StapledCloth(Staples):
    """A canvas, the staples that are in, and the rest they give.

    Attributes:
        system: The canvas on its edge.
    """

    def __init__(
        self, system: EdgeSystem, frame: Floats, *, staple_give: float, one_way: bool = True
    ) -> None:
        super().__init__(system.give, frame, staple_give=staple_give, one_way=one_way)
        self.system = system

    def refreshed(
        self, frame: Floats, *, staple_give: float, system: EdgeSystem | None = None
    ) -> StapledCloth:
        """The same staples on another frame, or with rounding swept out, the factor made anew.

        Args:
            frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
            staple_give: Give of a staple. [mm/N]
            system: The canvas, where its prestrain has changed.

        Returns:
            A new stapled cloth.
        """
        other = StapledCloth(system or self.system, frame, staple_give=staple_give, one_way=self.one_way)
        other.take_over(self)
        return other

    def _lips(self, forces: Floats, pull: float, jaws: Jaws | None) -> tuple[Floats, Floats]:
        """Movement of the lips, and the forces on the cloth's edge that they answer, shape (2 m,) each."""
        pushed = forces if jaws is None or jaws.reaction == "bar" else forces - pull * jaws.row
        return np.asarray(-(self.frame @ pushed)), pushed

    def taut_edge(self, jaws: Jaws | None = None) -> TautEdge:
        """Rest if all cloth is taut, on the edge.

        Args:
            jaws: A pull being held.

        Returns:
            The rest; whether the cloth really is taut is for ``EdgeSystem.is_taut`` to say.
        """
        system = self.system
        holding = Holding(self, jaws)
        staples, pull, forces = holding.answer(system.loose_edge)
        holding.keep()
        given = system.give @ forces
        edge = system.loose_edge + given
        lips, pushed = self._lips(forces, pull, jaws)
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

    def slack_rest(
        self, start: Floats, jaws: Jaws | None = None, *, scale: float, tolerance: float, limit: int
    ) -> SlackRest:
        """Rest with cloth that may be slack.

        Args:
            start: Movement to start from, shape (2 n_nodes,). [mm]
            jaws: A pull being held.
            scale: Energy norm that counts as 1. [√(N mm)]
            tolerance: Imbalance to reach, as a part of ``scale``.
            limit: Most rounds.

        Returns:
            The rest.
        """
        return come_to_rest_on(
            self.system, Holding(self, jaws), start, scale=scale, tolerance=tolerance, limit=limit
        )

    def lips_of(self, rest: SlackRest, jaws: Jaws | None = None) -> Floats:
        """Movement of the lips at a rest, shape (2 m,). [mm]"""
        return self._lips(rest.forces, rest.pull, jaws)[0]

    def slack_balance(self, rest: SlackRest, jaws: Jaws | None = None) -> Balance:
        """The whole face of a slack rest.

        Args:
            rest: The rest.
            jaws: The pull that was held.

        Returns:
            The balance.
        """
        sheet = self.system.sheet
        strain = sheet.strains(rest.movement)
        tension, state = tension_without_compression(sheet.cloth.matrix, strain, sheet.kept)
        lips, pushed = self._lips(rest.forces, rest.pull, jaws)
        cloth = float(sheet.areas @ np.einsum("na,na->n", tension, strain))
        cloth += float(sheet.springs @ rest.movement**2)
        stored = cloth - float(pushed @ lips) + self.staple_give * float(rest.staples @ rest.staples)
        return Balance(
            movement=rest.movement,
            frame=lips,
            staples=rest.staples,
            pull=rest.pull,
            tension=tension,
            state=state,
            energy=0.5 * stored,
            imbalance=rest.imbalance,
            rounds=rest.rounds,
        )
