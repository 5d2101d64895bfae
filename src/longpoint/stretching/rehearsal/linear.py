"""What every pull adds to the field that is left, for a fixed order, while cloth is taut.

Stapling is a chain of linear steps as long as no cloth is slack: where a staple holds the cloth depends on its
own pull and on all pulls before it, in proportion. So the field left is a fixed part (take-up, slackness) plus
one field for each pull, and all of them are found in one pass.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats, frozen
from longpoint.stretching.rehearsal.edge import rows_of
from longpoint.stretching.rehearsal.field import windows_of
from longpoint.stretching.rehearsal.orders import Order
from longpoint.stretching.rehearsal.rehearse import Hand
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.system import StapledCloth


@dataclass(frozen=True, slots=True, eq=False)
class PullFields:
    """The field left as a sum over groups of pulls.

    Attributes:
        groups: Names of the staples of each group.
        fixed: Window means with no pull at all, Tx Ty, shape (rows, columns, 2). [N/mm]
        per_share: What a full pull of each group adds, shape (groups, rows, columns, 2). [N/mm]
    """

    groups: tuple[tuple[str, ...], ...]
    fixed: Floats
    per_share: Floats

    def field(self, shares: Sequence[float]) -> Floats:
        """Window means for given shares of the full pull, shape (rows, columns, 2). [N/mm]"""
        return np.asarray(self.fixed + np.tensordot(np.asarray(shares), self.per_share, axes=1))


def pull_fields(
    system: EdgeSystem,
    frame: Floats,
    order: Order,
    hand: Hand,
    groups: Sequence[Sequence[str]],
    *,
    settling: float = 0.4,
    frame_creep: float = 0.0,
) -> PullFields:
    """What every group of pulls adds to the field left.

    Args:
        system: The canvas made ready.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        order: The order; its own shares do not matter but that a share of 0 means no pull.
        hand: How pulls are made; its reach is left out.
        groups: Names of the staples that are pulled alike.
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run.

    Returns:
        The fields.
    """
    grid, edge = system.sheet.grid, system.edge
    columns = 1 + len(groups)
    column_of = {name: 1 + k for k, group in enumerate(groups) for name in group}
    stapled = StapledCloth(system, frame, staple_give=hand.staple_give, one_way=False)
    places = np.zeros((0, columns))
    free = np.zeros((len(edge), columns))
    free[:, 0] = system.loose[edge]
    pushes = 1.0 if hand.reaction == "bar" else 0.0
    where = {place.name: place for place in order.places}
    for run in order.runs:
        for name in run.takes_out:
            k = stapled.names.index(name)
            places = np.delete(places, [2 * k, 2 * k + 1], axis=0)
            stapled.take_out(name)
        for name, share in zip(run.puts_in, run.shares, strict=True):
            place = where[name]
            crown = rows_of(grid, side=place.side, along=place.along, width=hand.held)
            pull = np.zeros(columns)
            own = np.zeros(len(edge))
            if share > 0 and name in column_of:
                pull[column_of[name]] = hand.at_lip
                jaw = rows_of(grid, side=place.side, along=place.along, width=hand.jaw)[0]
                own = system.give @ jaw + pushes * (frame @ jaw)
            parted = free + np.outer(own, pull)
            staples = stapled.forces_for(places - stapled.rows @ parted)
            at = crown @ (parted + stapled.both @ (stapled.rows.T @ staples))
            if share > 0:
                at[0, 0] -= hand.take_up
            stapled.put_in(name, crown, np.zeros(2))
            places = np.vstack([places, at])
    remains = 1 - settling
    settled = stapled.refreshed(frame * remains * (1 + frame_creep), staple_give=hand.staple_give * remains)
    staples = settled.forces_for(places - settled.rows @ free)
    movement = system.taut_movement(settled.rows.T @ staples)
    movement[:, 0] += system.loose
    sheet, windows = system.sheet, windows_of(grid)
    fields = np.empty((columns, len(windows.y), len(windows.x), 2))
    areas = sheet.areas.reshape(-1, 4)
    for k in range(columns):
        strain = (sheet.strain @ movement[:, k]).reshape(-1, 3)
        if k == 0:
            strain = strain + sheet.prestrain
        tension = (strain @ sheet.cloth.matrix)[:, :2].reshape(-1, 4, 2)
        per_element = np.einsum("epa,ep->ea", tension, areas) / areas.sum(axis=1)[:, None]
        fields[k] = remains * windows.means(per_element)
    return PullFields(tuple(tuple(group) for group in groups), frozen(fields[0]), frozen(fields[1:]))
