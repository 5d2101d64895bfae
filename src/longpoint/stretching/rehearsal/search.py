"""The search for a better way to staple: what is tried, in which order, with how many rehearsals.

Several usual orders are begun from. For each the best pulls of a few zones are one small least-squares problem (see
``fit``), put into words a hand can tell apart and rehearsed with slack. Then ways of going outwards one change apart,
second pulls, and single pulls one word up or down. What is limited is the number of rehearsals, not the time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal.fit import fitted_shares, load_limits
from longpoint.stretching.rehearsal.hand_words import (
    FIRST,
    WORDS,
    Zone,
    in_words,
    pull_of,
    told,
    words_by_zone,
    zones_of,
)
from longpoint.stretching.rehearsal.linear import PullFields, pull_fields
from longpoint.stretching.rehearsal.orders import Order, Place, with_second_pass
from longpoint.stretching.rehearsal.outward_ways import BEGIN, OutwardWay
from longpoint.stretching.rehearsal.rehearse import TOLERANCE, Hand, Rehearsal, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem

#: What a face that is all slack adds to the score, against a spread of 1. Estimate.
SLACK_WEIGHT = 0.5
#: What a millimetre of bent thread adds to the score. [1/mm] Estimate: 20 mm count as much as 10 % of spread.
BENT_WEIGHT = 0.005
#: What a difference between the means both ways adds, as a part of the mean. Estimate: 10 % count as 1 % of spread.
UNLIKE_WEIGHT = 0.1
#: What a mean that stays below the one wished adds, as a part of it. Estimate, as above.
SHORT_WEIGHT = 0.1

#: Usual orders begun from.
STARTS = 4
#: Those whose score is more than so many times that of the best are not. Estimate.
HOPEFUL = 2.0
#: Imbalance at which a step counts as at rest while trying.
TRYING = 1e-2
#: Least share of the full pull that is asked for: a third, as the words have it.
LEAST = 1 / 3
#: Part of the limit on a staple that is used, for rests are not exact.
MARGIN = 0.97
#: Share of the full pull at first pulls and holding staples that have not been fitted yet. Estimate.
UNFITTED = 0.5
#: Staples pulled a second time where tension stayed low.
AGAIN = 8

FITTED = ", pulls fitted"


def score(rehearsal: Rehearsal, *, tension: float | None = None) -> float:
    """How bad a field is: spread, with slack, bent threads, unlike means and a mean too low counted in.

    Args:
        rehearsal: The rehearsal.
        tension: Mean wished; None leaves it out. [N/mm]

    Returns:
        Smaller is better.
    """
    left = rehearsal.left
    mean = 0.5 * (left.mean_level + left.mean_upright)
    slack = float(np.mean(left.rippled > 0.5))
    unlike = abs(left.mean_level - left.mean_upright) / mean if mean > 0 else 1.0
    short = 0.0 if tension is None else max(0.0, 1.0 - mean / tension)
    bent = BENT_WEIGHT * left.bent
    return left.spread + SLACK_WEIGHT * slack + bent + UNLIKE_WEIGHT * unlike + SHORT_WEIGHT * short


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Task:
    """What is to be stapled, and within which limits.

    Attributes:
        system: The canvas made ready.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        trying: The same on a coarser grid, for what is tried; or once more the same.
        hand: The hand; its full pull may change.
        tension: Mean wished when settled. [N/mm]
        tear_load: What a staple may carry. [N]
        clean: The pair of sides without folds.
        top: Greatest share of the hand's full pull that hand, cloth and staples allow.
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run, as a part.
        shrinks: How much the held cloth shrinks after the last staple; above 0 the mean is left to it.
        passes: Linear passes made so far, by what is driven when: they do not depend on how hard.
    """

    system: EdgeSystem
    frame: Floats
    trying: tuple[EdgeSystem, Floats]
    hand: Hand
    tension: float
    tear_load: float
    clean: CleanSides
    top: float
    settling: float
    frame_creep: float
    shrinks: float
    passes: dict[object, PullFields] = field(default_factory=dict)

    def badness(self, found: Rehearsal) -> float:
        """The score, smaller is better."""
        return score(found, tension=None if self.shrinks else self.tension)

    def merit(self, found: Rehearsal) -> tuple[bool, float]:
        """Within the staples' limit first, then the better field; for rehearsals step by step."""
        return found.peak_load[0] > self.tear_load, self.badness(found)

    def rehearsed(self, order: Order, hand: Hand, *, brief: bool) -> Rehearsal:
        """An order rehearsed, briefly and roughly or step by step."""
        return rehearse(
            *(self.trying if brief else (self.system, self.frame)),
            order,
            hand,
            settling=self.settling,
            frame_creep=self.frame_creep,
            shrinks=self.shrinks,
            brief=brief,
            maps=not brief,
            tolerance=TRYING if brief else TOLERANCE,
        )

    def fields(self, order: Order, zones: Sequence[Zone]) -> PullFields:
        """What each zone's pull adds to the field and to the staples' loads."""
        key = tuple(
            (run.puts_in, run.takes_out, tuple(share > 0 for share in run.shares)) for run in order.runs
        )
        if key not in self.passes:
            self.passes[key] = pull_fields(
                *self.trying,
                order,
                self.hand,
                [zone.names for zone in zones],
                settling=self.settling,
                frame_creep=self.frame_creep,
                with_loads=True,
            )
        return self.passes[key]

    def shares(self, found: Rehearsal, zones: Sequence[Zone]) -> Floats:
        """Shares of this hand's full pull that were rehearsed, one for each zone, shape (zones,)."""
        pulls, full = pull_of(found.order), found.hand.force / self.hand.force
        means = []
        for zone in zones:
            pulled = [pulls[name] for name in zone.names if pulls.get(name, 0.0) > 0]
            means.append(full * (sum(pulled) / len(pulled) if pulled else UNFITTED))
        return np.array(means)

    def better(self, found: Rehearsal, *, stepwise: Floats | None = None) -> tuple[Order, Hand]:
        """An order with the pulls that least squares give it, in words, and the hand with its full pull.

        Args:
            found: The order, rehearsed.
            stepwise: Greatest load on a staple after every step, shape (steps,) [N]; None where not known.
        """
        zones = zones_of(found.order)
        now = np.stack([found.left.level, found.left.upright], axis=-1)
        grow, mean = 1.0, float(now.mean())
        if not mean > 0:  # all slack: nothing to even out
            return found.order, found.hand
        fields, shares = self.fields(found.order, zones), self.shares(found, zones)
        if not self.shrinks:  # towards the mean wished, as far as the hand goes
            grow = min(self.tension / mean, self.top / float(shares.max()))
        shares, now, mean = grow * shares, grow * now, grow * mean
        limits = None
        if fields.loads is not None:
            steps = None if stepwise is None else grow * stepwise
            limits = load_limits(fields.loads, shares, tear_load=MARGIN * self.tear_load, found=steps)
        low = LEAST * min(float(shares.max()), self.top)
        fitted = fitted_shares(
            fields, shares=shares, now=now, target=mean, low=low, high=self.top, limits=limits
        )
        return self.in_words(
            found.order, dict(zip([zone.name for zone in zones], fitted.tolist(), strict=True))
        )

    def in_words(self, order: Order, shares: Mapping[str, float]) -> tuple[Order, Hand]:
        """An order with shares of this hand's full pull by zone, put into words, and the hand they belong to."""
        full = max(shares.values())
        words = {name: in_words(share / full)[0] for name, share in shares.items()}
        return told(order, words), replace(self.hand, force=full * self.hand.force)


@dataclass(frozen=True, slots=True, eq=False)
class Try:
    """An order with its pulls, rehearsed.

    Attributes:
        found: The rehearsal.
        words: What it is.
        way: The way it goes outwards; None for another order.
        again: Staples that are pulled a second time.
    """

    found: Rehearsal
    words: str
    way: OutwardWay | None = None
    again: tuple[str, ...] = ()


@dataclass(slots=True)
class Search:
    """The search, and what it has tried.

    Attributes:
        task: What is to be stapled.
        left: Rehearsals that may still be spent.
        say: Told what is being tried.
        every: Everything tried.
    """

    task: Task
    left: int
    say: Callable[[str], None] | None
    every: list[Try] = field(default_factory=list)

    def run(self, starts: Sequence[Rehearsal]) -> Try:
        """The best that the tries allow, from some orders as they are."""
        ranked = sorted(starts, key=self.task.badness)[:STARTS]
        for start in ranked:
            if self.task.badness(start) <= HOPEFUL * self.task.badness(ranked[0]):
                self._fit(Try(start, start.order.name))
        for way in BEGIN:
            self._attempt_way(way)
            self._fit(self.every[-1])
        for one in self._leaders(2):
            self._fit(one)
        for way in self._leader.way.neighbours() if self._leader.way else ():
            if way not in {one.way for one in self.every}:
                self._attempt_way(way)
        self._fit(self._leader)
        self._second_pulls(self._leader)
        self._fit(self._leader)
        while self.left > 0:
            before = self._leader
            self._one_word(before)
            if self._leader is before:
                break
        return self._leader

    @property
    def _leader(self) -> Try:
        return self._leaders(1)[0]

    def _leaders(self, count: int) -> list[Try]:
        """The best tried so far, no order twice."""
        ranked: dict[tuple[str, tuple[str, ...]], Try] = {}
        for one in sorted(self.every, key=lambda one: self.task.badness(one.found)):
            ranked.setdefault((one.found.order.name, one.again), one)
        return list(ranked.values())[:count]

    def _attempt(
        self,
        order: Order,
        hand: Hand,
        words: str,
        *,
        way: OutwardWay | None = None,
        again: Iterable[str] = (),
    ) -> None:
        """Rehearses an order briefly, as long as tries are left, unless the very same has been tried."""
        same = (order.runs, round(hand.force, 1))
        if self.left <= 0 or any(
            (one.found.order.runs, round(one.found.hand.force, 1)) == same for one in self.every
        ):
            return
        self.left -= 1
        if self.say is not None:
            self.say(f"Trying {words}")
        self.every.append(Try(self.task.rehearsed(order, hand, brief=True), words, way, tuple(again)))

    def _fit(self, one: Try) -> None:
        """Tries an order with the pulls that least squares give it."""
        if self.left > 0:
            words = f"{one.words.removesuffix(FITTED)}{FITTED}"
            self._attempt(*self.task.better(one.found), words, way=one.way, again=one.again)

    def _attempt_way(self, way: OutwardWay) -> None:
        """Tries a way with the pulls of the best so far."""
        best = self._leader.found
        places = [place for place in best.order.places if not place.holding]
        order = way.order(
            width=best.order.width, height=best.order.height, places=places, clean=self.task.clean
        )
        zones = zones_of(best.order)
        known = dict(zip((zone.name for zone in zones), self.task.shares(best, zones).tolist(), strict=True))
        unfitted = UNFITTED * max(known.values())
        shares = {zone.name: known.get(zone.name, unfitted) for zone in zones_of(order)}
        self._attempt(*self.task.in_words(order, shares), way.name, way=way)

    def _second_pulls(self, one: Try) -> None:
        """Tries a second pull at the first staples of each side, and where tension stayed low."""
        found = one.found
        first = next((zone.names for zone in zones_of(found.order) if zone.where == FIRST), ())
        for words, names in (
            ("a second pull at the first staples of each side", first),
            (f"a second pull at {AGAIN} low places", _low_places(found, AGAIN)),
        ):
            if names and not one.again:
                order = told(with_second_pass(found.order, names), words_by_zone(found.order))
                self._attempt(order, found.hand, f"{one.words}, {words}", way=one.way, again=names)

    def _one_word(self, one: Try) -> None:
        """Tries the best changes of one zone's pull by one word, as far as the linear field tells them."""
        task, found, zones = self.task, one.found, zones_of(one.found.order)
        shares, now = task.shares(found, zones), np.stack([found.left.level, found.left.upright], axis=-1)
        fields, full = task.fields(found.order, zones), found.hand.force / task.hand.force
        steps = sorted(value for value, _ in WORDS)
        ranked: list[tuple[float, int, float]] = []
        for k, share in enumerate(shares.tolist()):
            at = steps.index(in_words(share / full)[0])
            for to in (at - 1, at + 1):
                if 0 <= to < len(steps):
                    then = now + fields.per_share[k] * (steps[to] * full - share)
                    means = then.mean(axis=(0, 1))
                    spread = float(np.sqrt(np.mean((then - means) ** 2)))
                    unlike = UNLIKE_WEIGHT * abs(float(means[0] - means[1]))
                    ranked.append(((spread + unlike) / float(means.mean()), k, steps[to]))
        for _, k, word in sorted(ranked)[:2]:
            by_zone = {zone.name: float(value) for zone, value in zip(zones, shares, strict=True)}
            by_zone[zones[k].name] = word * full
            words = f"{one.words.split('; ')[0]}; {zones[k].name} {in_words(word)[1]}"
            self._attempt(*task.in_words(found.order, by_zone), words, way=one.way, again=one.again)


def _low_places(found: Rehearsal, count: int) -> tuple[str, ...]:
    """Staples nearest to the windows where the pull across their side is lowest."""
    left = found.left
    ranked: list[tuple[float, str]] = []
    for place in found.order.places:
        if not place.holding:
            ranked.append((_across(left.x, left.y, left.level, left.upright, place), place.name))
    return tuple(name for _, name in sorted(ranked)[:count])


def _across(x: Floats, y: Floats, level: Floats, upright: Floats, place: Place) -> float:
    """Tension across a side in the window at a place. [N/mm]"""
    lies = place.side in ("bottom", "top")
    k = int(np.argmin(np.abs((x if lies else y) - place.along)))
    row = 0 if place.side in ("bottom", "left") else -1
    return float(upright[row, k] if lies else level[k, row])
