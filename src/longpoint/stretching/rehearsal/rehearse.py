"""The rehearsal: a canvas stapled on the screen in any order, before it is stapled on the bench.

Start: a sheet on the frame, a little too long, held by nothing. Each step takes out what comes out, pulls one
short stretch of edge square to itself until the hand's force or its reach is used up, staples it there, and lets
go. The edge between staples is free, slack cloth does not push, the frame gives way. After the last step the
cloth settles. Everything moves little; cloth and frame are elastic but for the settling.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from longpoint.errors import Fault, FaultsError, Where
from longpoint.strength.membrane.grid import Floats, frozen
from longpoint.strength.membrane.slack import TAUT
from longpoint.stretching.rehearsal.edge import SIDES, rows_of, side_nodes
from longpoint.stretching.rehearsal.field import Field, Windows, field_of, windows_of
from longpoint.stretching.rehearsal.hand import Hand as Hand
from longpoint.stretching.rehearsal.hand import hand_for_tension as hand_for_tension
from longpoint.stretching.rehearsal.orders import Order, check_order
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.slack_cloth import SlackRest
from longpoint.stretching.rehearsal.staples import Jaws
from longpoint.stretching.rehearsal.system import Balance, StapledCloth, TautEdge
from longpoint.threads import on_one_thread

#: Imbalance at which a step counts as at rest, of what is stored at about the tension that is left. [-]
TOLERANCE = 3e-3
#: Part of the pulled tension that is left in the end, roughly: it sets what an imbalance is measured against.
ROUGHLY_LEFT = 0.4
#: Part of the face below which not being taut is worth the try whether all of it is taut by now.
NEARLY_TAUT = 0.05
#: Most rounds of one rest.
LIMIT = 400


@dataclass(frozen=True, slots=True)
class Step:
    """What one staple did.

    Attributes:
        number: From 1.
        run: Number of its run, from 1.
        staple: Its name.
        out: Staples taken out before it.
        share: Share of the full pull that was asked.
        pull: Force that arrived at the lip. [N]
        travel: How far the jaws drew the cloth over the lip. [mm]
        stopped_by: "force", "reach" or "snug".
        mean_level: Mean Tx over the face afterwards. [N/mm]
        mean_upright: Mean Ty. [N/mm]
        taut: Part of the face that is taut.
        pulled_in: How far bottom, right, top and left bar are drawn in, the most of each, from a string between
            their ends. [mm]
        worst_staple: Greatest load on any staple. [N]
        worst_name: Which one.
        energy: Energy stored in cloth and frame afterwards. [N mm]
        work: Most work the pull can have done. [N mm]
        rounds: Rounds until slack cloth was at rest; 0 where all is taut.
        imbalance: Part still out of balance.
    """

    number: int
    run: int
    staple: str
    out: tuple[str, ...]
    share: float
    pull: float
    travel: float
    stopped_by: str
    mean_level: float
    mean_upright: float
    taut: float
    pulled_in: tuple[float, float, float, float]
    worst_staple: float
    worst_name: str
    energy: float
    work: float
    rounds: int
    imbalance: float


@dataclass(frozen=True, slots=True, eq=False)
class LeftIf:
    """What would be left if the held cloth shrank by another part.

    Attributes:
        shrunk: That part.
        field: The field.
        pulled_in: Bars drawn in: bottom, right, top, left. [mm]
        load: Greatest load on a staple, while stapling or after it. [N]
    """

    shrunk: float
    field: Field
    pulled_in: tuple[float, float, float, float]
    load: float


@dataclass(frozen=True, slots=True, eq=False)
class Rehearsal:
    """One order rehearsed.

    Attributes:
        order: The order.
        hand: The hand.
        steps: One for each staple driven; empty where the rehearsal was brief.
        maps: After each run: Tx and Ty of every window, shape (rows, columns, 2) [N/mm]; empty if not asked for.
        at_once: The field when the last staple is in.
        left: The field after shrinking and settling.
        settled: Part of the tension that settling took.
        shrunk: Part by which the held cloth shrank both ways after the last staple.
        left_if: What would be left had it shrunk by each of some other parts instead, in their order.
        pulled_in: Bars drawn in after settling: bottom, right, top, left. [mm]
        staple_loads: Load on every staple left in, after the last step, by name. [N]
        peak_load: Greatest load any staple ever had, while stapling or after it, [N] and its name; of the end alone
            where it was brief.
        balance: Cloth and frame at the last step.
    """

    order: Order
    hand: Hand
    steps: tuple[Step, ...]
    maps: tuple[Floats, ...]
    at_once: Field
    left: Field
    settled: float
    shrunk: float
    left_if: tuple[LeftIf, ...]
    pulled_in: tuple[float, float, float, float]
    staple_loads: dict[str, float]
    peak_load: tuple[float, str]
    balance: Balance


def _bars(system: EdgeSystem) -> tuple[csr_matrix, list[int]]:
    """How far each point of each bar is drawn in from a string between its ends, from the lips' movement.

    Bottom, right, top, left below one another: sparse, shape (nodes of all sides, 2 m), and where each ends.
    """
    grid, size = system.sheet.grid, len(system.edge)
    inward = {"bottom": (1, 1.0), "right": (0, -1.0), "top": (1, -1.0), "left": (0, 1.0)}
    made = []
    for side in SIDES:
        nodes = side_nodes(grid, side)
        axis, sign = inward[side]
        at = grid.nodes[grid.edge[nodes], 1 - axis]
        part = (at - at[0]) / (at[-1] - at[0])
        rows = np.zeros((len(nodes), size))
        rows[np.arange(len(nodes)), 2 * nodes + axis] += sign
        rows[:, 2 * nodes[0] + axis] -= sign * (1 - part)
        rows[:, 2 * nodes[-1] + axis] -= sign * part
        made.append(rows)
    return csr_matrix(np.vstack(made)), [int(end) for end in np.cumsum([len(rows) for rows in made])[:3]]


class _Bench:
    """The state of a rehearsal between steps: on the edge always, over the face where it is asked for."""

    def __init__(self, system: EdgeSystem, frame: Floats, hand: Hand, tolerance: float, pushes: bool) -> None:
        self.system, self.hand, self.tolerance, self.pushes = system, hand, tolerance, pushes
        self.stapled = StapledCloth(system, frame, staple_give=hand.staple_give, one_way=not pushes)
        self.areas = system.sheet.areas
        self.face = float(self.areas.sum())
        self.scale = _whole(system, hand.tension * ROUGHLY_LEFT)
        self.places: dict[tuple[str, float, float], Floats] = {}
        self.rows_of_bars = _bars(system)
        points = len(self.areas)
        self.taken(
            Balance(
                movement=np.zeros(len(system.loose)),
                frame=np.zeros(len(system.edge)),
                staples=np.zeros(0),
                pull=0.0,
                tension=np.zeros((points, 3)),
                state=np.zeros(points, dtype=np.int8),
                energy=0.0,
                imbalance=0.0,
                rounds=1,
            )
        )

    def taken(self, found: Balance | TautEdge) -> None:
        """Makes a rest the present state."""
        self.lips, self.forces, self.energy = found.frame, found.staples, found.energy
        self.at_rest = True
        if isinstance(found, TautEdge):
            self.edge, self.mean, self.taut, self.imbalance = found.edge, found.tension, 1.0, 0.0
            self.on_edge: TautEdge | None = found
            self.whole: Balance | None = None
            self.movement: Floats | None = None
        else:
            self.edge = found.movement[self.system.edge]
            self.mean = self.areas @ found.tension / self.face
            self.taut = float(self.areas @ (found.state == TAUT)) / self.face
            self.imbalance = found.imbalance
            self.on_edge, self.whole, self.movement = None, found, found.movement

    def passed(self, found: SlackRest, jaws: Jaws) -> None:
        """Makes a rest under a pull the present state, as far as the next one needs it."""
        self.movement, self.edge = found.movement, found.movement[self.system.edge]
        self.lips, self.forces = self.stapled.lips_of(found, jaws), found.staples
        self.on_edge, self.whole, self.at_rest = None, None, False

    @property
    def now(self) -> Balance:
        """The present state over the whole face."""
        if self.whole is None and self.on_edge is not None:
            self.whole = self.stapled.taut_balance(self.on_edge)
        if self.whole is None:
            msg = "a rehearsal is always in some state"
            raise AssertionError(msg)
        return self.whole

    def rows(self, side: str, along: float, width: float) -> Floats:
        key = (side, along, width)
        if key not in self.places:
            self.places[key] = rows_of(self.system.sheet.grid, side=side, along=along, width=width)
        return self.places[key]

    @property
    def may_be_taut(self) -> bool:
        """Whether it is worth the try that all cloth is taut."""
        return self.pushes or self.taut > 1 - NEARLY_TAUT

    def rest(self) -> int:
        """Comes to rest with what is in now, at once where all cloth is taut; the rounds it took."""
        if self.may_be_taut:
            found = self.stapled.taut_edge()
            if self.pushes or self.system.is_taut(found.forces[:, None]):
                self.taken(found)
                return 0
        slack = self.slack_rest()
        self.taken(self.stapled.slack_balance(slack))
        return slack.rounds

    def slack_rest(self, jaws: Jaws | None = None) -> SlackRest:
        start = self.now.movement if self.movement is None else self.movement
        return self.stapled.slack_rest(start, jaws, scale=self.scale, tolerance=self.tolerance, limit=LIMIT)

    def jaws(self, side: str, along: float, force: float) -> Jaws:
        """A pull from where the cloth now lies."""
        row = self.rows(side, along, self.hand.jaw)[0]
        at = self.moved_by(row, self.edge, self.lips)
        return Jaws(row=row, force=force, reach=at + self.hand.reach, reaction=self.hand.reaction)

    def moved_by(self, row: Floats, edge: Floats, lips: Floats) -> float:
        """Movement of the jaws as the pull counts it: over the lip, or in the room for a painter. [mm]"""
        moved = float(row @ edge)
        return moved - float(row @ lips) if self.hand.reaction == "bar" else moved

    def staple(
        self, name: str, side: str, along: float, share: float, *, let_go: bool = True
    ) -> tuple[float, float, str, int, float]:
        """Pulls, staples, lets go: pull, travel, what stopped it, rounds and work.

        Without the letting go the state is that under the pull, with the staple in: cloth, staples and frame come
        to the same rest in the end, whatever the way, so whoever asks only for the end may leave it out.
        """
        rows = self.rows(side, along, self.hand.held)
        if not share > 0:
            if not self.at_rest:
                self.rest()
            self.stapled.put_in(name, rows, rows @ (self.edge - self.lips))
            self.at_rest = False  # the next snug staple must hold the cloth where this one lets it lie
            return 0.0, 0.0, "snug", self.rest() if let_go else 0, 0.0
        held = self.jaws(side, along, share * self.hand.at_lip)
        back = np.array([self.hand.take_up, 0.0])
        begin = held.reach - self.hand.reach
        if self.may_be_taut:
            pulled = self.stapled.taut_edge(held)
            self.stapled.put_in(name, rows, rows @ (pulled.edge - pulled.frame) - back)
            freed = self.stapled.taut_edge()
            if self.pushes or self.system.is_taut(np.stack([pulled.forces, freed.forces], axis=1)):
                self.taken(freed)
                travel = self.moved_by(held.row, pulled.edge, pulled.frame) - begin
                return (*_pull_of(held, pulled.pull, travel), 0, pulled.pull * max(travel, 0.0))
            self.stapled.take_out(name)
        slack = self.slack_rest(held)
        self.passed(slack, held)
        travel = self.moved_by(held.row, self.edge, self.lips) - begin
        self.stapled.put_in(name, rows, rows @ (self.edge - self.lips) - back)
        rounds = slack.rounds + (self.rest() if let_go else 0)
        return (*_pull_of(held, slack.pull, travel), rounds, slack.pull * max(travel, 0.0))

    def loads(self) -> Floats:
        """Load on every staple that is in, shape (s,). [N]"""
        return np.asarray(np.hypot(self.forces[0::2], self.forces[1::2]))

    def greatest(self) -> tuple[float, str]:
        """The greatest load on a staple [N], and which."""
        loads = self.loads()
        worst = int(np.argmax(loads))
        return float(loads[worst]), self.stapled.names[worst]

    def pulled_in(self) -> tuple[float, float, float, float]:
        """How far each bar is drawn in: bottom, right, top, left. [mm]"""
        rows, ends = self.rows_of_bars
        off = rows @ self.lips
        found = [part[np.abs(part).argmax()] for part in np.split(off, ends)]
        return (float(found[0]), float(found[1]), float(found[2]), float(found[3]))

    def settled(self, frame: Floats, remains: float, shrinks: float) -> _Bench:
        """The same staples come to rest on another frame, with cloth that has shrunk; this bench stays as it is."""
        other = copy(self)
        other.movement = self.now.movement
        give = self.hand.staple_give * remains
        if shrinks:
            other.system = self.system.strained(shrinks)
            # what an imbalance is measured against grows with the tension that shrinking brings
            other.scale = max(self.scale, _whole(other.system, other.system.tension_of(shrinks)))
        other.stapled = self.stapled.refreshed(frame, staple_give=give, system=other.system)
        other.taut = 1.0  # worth the try, for shrinking tightens
        other.rest()
        return other

    def window_means(self, windows: Windows) -> Floats:
        weights = self.areas.reshape(-1, 4)
        per_element = np.einsum("epa,ep->ea", self.now.tension[:, :2].reshape(-1, 4, 2), weights)
        return windows.means(per_element / weights.sum(axis=1)[:, None])


def _whole(system: EdgeSystem, tension: float) -> float:
    """Energy norm of the face at a tension in its stiffer direction: what an imbalance is measured against."""
    cloth = system.sheet.cloth
    stiffer = max(cloth.warp_stiffness, cloth.weft_stiffness)
    return tension * float(np.sqrt(system.sheet.areas.sum() / stiffer))


def _pull_of(held: Jaws, pull: float, travel: float) -> tuple[float, float, str]:
    """Pull, travel, and what stopped it."""
    return pull, travel, "force" if pull >= held.force * (1 - 1e-9) else "reach"


@on_one_thread
def rehearse(
    system: EdgeSystem,
    frame: Floats,
    order: Order,
    hand: Hand,
    *,
    settling: float = 0.4,
    frame_creep: float = 0.0,
    shrinks: float = 0.0,
    may_shrink: Sequence[float] = (),
    maps: bool = False,
    brief: bool = False,
    tolerance: float = TOLERANCE,
    pushes: bool = False,
    say: Callable[[str], None] | None = None,
) -> Rehearsal:
    """Rehearses an order.

    Args:
        system: The canvas made ready.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        order: The order.
        hand: How pulls are made and staples driven.
        settling: Part of the tension that held cloth loses in the first days, 0 to below 1.
        frame_creep: How much more the frame gives way in the long run, as a part of what it gives at once.
        shrinks: How much the held cloth shrinks both ways after the last staple, as a part, before it settles.
        may_shrink: Other parts for which the field left is wanted as well.
        maps: True keeps a map after every run.
        brief: True asks only what is left in the end: no steps and no maps are kept, and staples are driven one
            after another without the rest between two pulls. The end is the same, in about half the time.
        tolerance: Imbalance at which a step counts as at rest.
        pushes: True lets cloth push as if it were a sheet of board: quick, linear in the pulls, and wrong where
            cloth is slack; for comparison, and as the first step of an improvement.
        say: Told what is being done, now and then.

    Returns:
        The rehearsal.

    Raises:
        FaultsError: With every fault of order and hand.
    """
    found = hand.faults()
    if not 0 <= settling < 1:
        what = f"a settling of {settling:g} is not a part of the tension."
        found.append(Fault("settling", what, "State 0 to below 1.", Where("settling")))
    if found:
        raise FaultsError(found)
    check_order(order)
    bench = _Bench(system, frame, hand, tolerance, pushes)
    windows = windows_of(system.sheet.grid)
    places = {place.name: place for place in order.places}
    steps: list[Step] = []
    kept_maps: list[Floats] = []
    peak = (0.0, "")
    number = 0
    for index, run in enumerate(order.runs, start=1):
        for name in run.takes_out:
            bench.stapled.take_out(name)
        if run.takes_out and not brief:
            bench.rest()
        for place_in_run, (name, share) in enumerate(zip(run.puts_in, run.shares, strict=True)):
            number += 1
            place = places[name]
            pull, travel, stopped, rounds, work = bench.staple(
                name, place.side, place.along, share, let_go=not brief
            )
            if brief:
                continue
            worst, worst_name = bench.greatest()
            if worst > peak[0]:
                peak = (worst, worst_name)
            steps.append(
                Step(
                    number=number,
                    run=index,
                    staple=name,
                    out=run.takes_out if place_in_run == 0 else (),
                    share=share,
                    pull=pull,
                    travel=travel,
                    stopped_by=stopped,
                    mean_level=float(bench.mean[0]),
                    mean_upright=float(bench.mean[1]),
                    taut=bench.taut,
                    pulled_in=bench.pulled_in(),
                    worst_staple=worst,
                    worst_name=worst_name,
                    energy=bench.energy,
                    work=work,
                    rounds=rounds,
                    imbalance=bench.imbalance,
                )
            )
        if maps and not brief:
            kept_maps.append(frozen(bench.window_means(windows)))
        if say is not None:
            say(f"{order.name}: run {index} of {len(order.runs)}")
    if not bench.at_rest:
        bench.rest()
    at_once = _field(bench, windows)
    if brief:
        peak = bench.greatest()
    by_name = {name: float(load) for name, load in zip(bench.stapled.names, bench.loads(), strict=True)}
    balance = bench.now
    # settling: what is held loses a part of its tension, and the frame comes back a little. Softer cloth by
    # (1 − settling) on the same frame is the same cloth on a frame stiffer by as much, all forces scaled.
    remains = 1 - settling
    softer = frame * remains * (1 + frame_creep)
    end = bench.settled(softer, remains, shrinks)
    others = [(part, bench.settled(softer, remains, part)) for part in may_shrink]
    left_if = tuple(
        LeftIf(
            shrunk=part,
            field=_field(other, windows, remains),
            pulled_in=other.pulled_in(),
            load=max(peak[0], other.greatest()[0] * remains),
        )
        for part, other in others
    )
    load, name = end.greatest()
    if load * remains > peak[0]:
        peak = (load * remains, name)
    return Rehearsal(
        order=order,
        hand=hand,
        steps=tuple(steps),
        maps=tuple(kept_maps),
        at_once=at_once,
        left=_field(end, windows, remains),
        settled=settling,
        shrunk=shrinks,
        left_if=left_if,
        pulled_in=end.pulled_in(),
        staple_loads=by_name,
        peak_load=peak,
        balance=balance,
    )


def _field(bench: _Bench, windows: Windows, remains: float = 1.0) -> Field:
    return field_of(
        bench.system.sheet.grid,
        windows,
        tension=bench.now.tension * remains,
        state=bench.now.state,
        areas=bench.areas,
        movement=bench.now.movement,
    )
