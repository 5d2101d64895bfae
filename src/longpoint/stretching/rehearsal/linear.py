"""What every pull adds to the field that is left, and to the staples' loads, for a fixed order of taut cloth.

Stapling is a chain of linear steps as long as no cloth is slack: where a staple holds the cloth depends on its
own pull and on all pulls before it, in proportion. So the field left is a fixed part (take-up, slackness) plus
one field for each pull, the load on every staple after every step likewise, and all of them are found in one pass.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats, Whole, frozen
from longpoint.stretching.rehearsal.edge import rows_of
from longpoint.stretching.rehearsal.field import windows_of
from longpoint.stretching.rehearsal.orders import Order
from longpoint.stretching.rehearsal.rehearse import Hand
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.system import StapledCloth


@dataclass(frozen=True, slots=True, eq=False)
class PullLoads:
    """Loads on staples as a sum over groups of pulls, after every step.

    Attributes:
        names: Staple of each entry, k of them.
        steps: Step after which it holds, from 1, shape (k,).
        fixed: Outward and sideways load with no pull at all, shape (k, 2). [N]
        per_share: What a full pull of each group adds, shape (groups, k, 2). [N]
    """

    names: tuple[str, ...]
    steps: Whole
    fixed: Floats
    per_share: Floats

    def loads(self, shares: Sequence[float] | Floats) -> Floats:
        """Loads for given shares of the full pull, shape (k, 2). [N]"""
        return np.asarray(self.fixed + np.tensordot(np.asarray(shares), self.per_share, axes=1))


@dataclass(frozen=True, slots=True, eq=False)
class PullFields:
    """The field left as a sum over groups of pulls.

    Attributes:
        groups: Names of the staples of each group.
        fixed: Window means with no pull at all, Tx Ty, shape (rows, columns, 2). [N/mm]
        per_share: What a full pull of each group adds, shape (groups, rows, columns, 2). [N/mm]
        loads: The staples' loads likewise; None where they were not asked for.
    """

    groups: tuple[tuple[str, ...], ...]
    fixed: Floats
    per_share: Floats
    loads: PullLoads | None = None

    def field(self, shares: Sequence[float] | Floats) -> Floats:
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
    with_loads: bool = False,
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
        with_loads: Whether the staples' loads after every step are kept.

    Returns:
        The fields.
    """
    grid, edge = system.sheet.grid, system.edge
    columns = 1 + len(groups)
    column_of = {name: 1 + k for k, group in enumerate(groups) for name in group}
    stapled = StapledCloth(system, frame, staple_give=hand.staple_give, one_way=False)
    places = np.zeros((0, columns))
    loose = system.loose[edge]  # stands in the first column only
    pushes = 1.0 if hand.reaction == "bar" else 0.0
    where = {place.name: place for place in order.places}
    loads: list[Floats] = []
    names: list[str] = []
    ends: list[int] = []
    for run in order.runs:
        for name in run.takes_out:
            k = stapled.names.index(name)
            places = np.delete(places, [2 * k, 2 * k + 1], axis=0)
            stapled.take_out(name)
        for name, share in zip(run.puts_in, run.shares, strict=True):
            place = where[name]
            crown = rows_of(grid, side=place.side, along=place.along, width=hand.held)
            own = np.zeros(len(edge))
            pulled = column_of[name] if share > 0 and name in column_of else None
            if pulled is not None:
                jaw = rows_of(grid, side=place.side, along=place.along, width=hand.jaw)[0]
                own = hand.at_lip * (system.give @ jaw + pushes * (frame @ jaw))
            apart = places.copy()
            apart[:, 0] -= stapled.rows @ loose
            if pulled is not None:
                apart[:, pulled] -= stapled.rows @ own
            staples = stapled.forces_for(apart)
            at = (crown @ stapled.parted.T) @ staples
            at[:, 0] += crown @ loose
            if pulled is not None:
                at[:, pulled] += crown @ own
            if share > 0:
                at[0, 0] -= hand.take_up
            stapled.put_in(name, crown, np.zeros(2))
            places = np.vstack([places, at])
            if with_loads:
                apart = places.copy()
                apart[:, 0] -= stapled.rows @ loose
                loads.append(stapled.forces_for(apart))
                names += stapled.names
                ends.append(len(stapled.names))
    remains = 1 - settling
    settled = stapled.refreshed(frame * remains * (1 + frame_creep), staple_give=hand.staple_give * remains)
    apart = places.copy()
    apart[:, 0] -= settled.rows @ loose
    movement = system.taut_movement(settled.rows.T @ settled.forces_for(apart))
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
    return PullFields(
        tuple(tuple(group) for group in groups),
        frozen(fields[0]),
        frozen(fields[1:]),
        _loads(loads, names, ends) if with_loads else None,
    )


def _loads(loads: Sequence[Floats], names: Sequence[str], ends: Sequence[int]) -> PullLoads:
    both = np.concatenate(loads).reshape(len(names), 2, -1)
    steps = np.repeat(np.arange(1, len(ends) + 1), ends)
    return PullLoads(
        tuple(names),
        steps,
        frozen(both[..., 0]),
        frozen(np.ascontiguousarray(both[..., 1:].transpose(2, 0, 1))),
    )
