"""A better way to staple the same work: pulls first, then the order, then a second pass.

For a fixed order the field left is linear in the pulls while cloth is taut, so the best pulls within what hand
and cloth allow are one bounded least-squares problem. Its answer is put into words a hand can follow and
rehearsed again with slack. Then a few changes of the order are tried, and a second pass where cloth stayed low.
What is not better when rehearsed is not taken.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import lsq_linear

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.rehearsal.linear import PullFields, pull_fields
from longpoint.stretching.rehearsal.orders import Order, with_second_pass, with_shares
from longpoint.stretching.rehearsal.rehearse import Hand, Rehearsal, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.tables import habit

#: Shares a hand can tell apart, and their words.  Estimate.
WORDS: tuple[tuple[float, str], ...] = (
    (1.0, "firm"),
    (0.75, "three quarters of firm"),
    (2 / 3, "two thirds of firm"),
    (0.5, "half of firm"),
    (1 / 3, "a third of firm"),
)
#: Weight on shares that differ from their mean, against the field. Estimate; keeps the answer from leaping.
EVENNESS = 0.05


#: What a face that is all slack adds to the score, against a spread of 1. Estimate.
SLACK_WEIGHT = 0.5
#: What a millimetre of bent thread adds to the score. [1/mm] Estimate: 20 mm count as much as 10 % of spread.
BENT_WEIGHT = 0.005


@dataclass(frozen=True, slots=True)
class Zone:
    """Staples that are pulled alike.

    Attributes:
        name: In words, e.g. "upright sides, near the corners".
        names: Staples.
    """

    name: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Improvement:
    """What became of an order.

    Attributes:
        plain: The order as it was, rehearsed.
        best: The best found, rehearsed.
        hand: The hand for the best: its full pull.
        changes: What was changed and kept, in words.
        tried: Everything tried: words, score, lowest and highest window mean over the mean.
        pulls: Zone and the pull in words.
        gain: Score of the best over that of the plain order; below 1 is better.
    """

    plain: Rehearsal
    best: Rehearsal
    hand: Hand
    changes: tuple[str, ...]
    tried: tuple[tuple[str, float, float, float], ...]
    pulls: tuple[tuple[str, str], ...]
    gain: float


def zones_of(order: Order, *, corner: float = 150.0) -> tuple[Zone, ...]:
    """Middle, outer part and corner of the level and of the upright sides.

    Args:
        order: The order.
        corner: Nearer than this to a corner counts as at the corner. [mm]

    Returns:
        The zones that have staples; holding staples belong to the corners.
    """
    found: dict[str, list[str]] = {}
    for place in order.places:
        length = order.width if place.side in ("bottom", "top") else order.height
        pair = "bottom and top" if place.side in ("bottom", "top") else "left and right"
        near = order.from_corner(place)
        if near < min(corner, 0.25 * length):
            where = "near the corners"
        elif near > 0.3 * length:
            where = "in the middle"
        else:
            where = "between"
        found.setdefault(f"{pair}, {where}", []).append(place.name)
    return tuple(Zone(name, tuple(names)) for name, names in sorted(found.items()))


def best_shares(fields: PullFields, *, tension: float, low: float, high: float) -> Floats:
    """Shares of the full pull that leave the most even field, by bounded least squares.

    Args:
        fields: What every group adds.
        tension: Tension wished, both ways. [N/mm]
        low: Least share.
        high: Greatest share: what hand, cloth and staples allow.

    Returns:
        Shares, shape (groups,).
    """
    count = len(fields.groups)
    matrix = fields.per_share.reshape(count, -1).T
    wished = tension - fields.fixed.ravel()
    even = np.eye(count) - 1.0 / count
    weight = EVENNESS * float(np.linalg.norm(matrix)) / np.sqrt(count)
    answer = lsq_linear(
        np.vstack([matrix, weight * even]),
        np.concatenate([wished, np.zeros(count)]),
        bounds=(low, high),
        method="bvls",
    )
    return np.asarray(answer.x)


def in_words(share: float) -> tuple[float, str]:
    """The share a hand can tell nearest to one wished, and its words."""
    return min(WORDS, key=lambda pair: abs(pair[0] - share))


def score(rehearsal: Rehearsal) -> float:
    """How bad a field is: spread of the window means, slack and bent threads counted in. Smaller is better."""
    field = rehearsal.left
    slack = float(np.mean(field.rippled > 0.5))
    return field.spread + SLACK_WEIGHT * slack + BENT_WEIGHT * field.bent


def _first_places(order: Order, count: int) -> list[str]:
    """The staples driven first on each side, whose pull later pulls have undone most."""
    seen: dict[str, list[str]] = {}
    for run in order.runs:
        for name in run.puts_in:
            if not name.startswith("hold"):
                seen.setdefault(run.side, []).append(name)
    return [name for names in seen.values() for name in names[:count]]


def _low_places(rehearsal: Rehearsal, count: int) -> list[str]:
    """Staples nearest to the windows where the pull across their side is lowest."""
    order, field = rehearsal.order, rehearsal.left
    ranked: list[tuple[float, str]] = []
    for place in order.places:
        if place.name.startswith("hold"):
            continue
        level = place.side in ("bottom", "top")
        table = field.upright if level else field.level
        along = field.x if level else field.y
        k = int(np.argmin(np.abs(along - place.along)))
        row = 0 if place.side in ("bottom", "left") else -1
        value = table[row, k] if level else table[k, row]
        ranked.append((float(value), place.name))
    return [name for _, name in sorted(ranked)[:count]]


def improve(
    system: EdgeSystem,
    frame: Floats,
    order: Order,
    hand: Hand,
    *,
    tension: float,
    others: Sequence[Order] = (),
    most_force: float | None = None,
    settling: float = 0.4,
    frame_creep: float = 0.0,
    passes: bool = True,
    tolerance: float = 1e-2,
    say: Callable[[str], None] | None = None,
) -> Improvement:
    """Improves an order of stapling.

    Args:
        system: The canvas made ready.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        order: The order to begin from.
        hand: The hand; its full pull may change.
        tension: Mean tension wished when settled. [N/mm]
        others: Changes of the order to try.
        most_force: Most that hand, cloth and staples allow at the pliers; a hard pull by hand where None. [N]
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run, as a part.
        passes: False leaves second passes out.
        tolerance: Imbalance at which a step counts as at rest, while trying.
        say: Told what is being tried.

    Returns:
        The improvement; the plain and the best order are rehearsed alike.
    """
    tried: list[tuple[str, float, float, float]] = []
    changes: list[str] = []
    most = habit("hand pull, hard").value if most_force is None else most_force

    def run(candidate: Order, with_hand: Hand, words: str) -> Rehearsal:
        if say is not None:
            say(f"Trying {words}")
        found = rehearse(
            system,
            frame,
            candidate,
            with_hand,
            settling=settling,
            frame_creep=frame_creep,
            tolerance=tolerance,
            brief=True,
        )
        mean = 0.5 * (found.left.mean_level + found.left.mean_upright)
        tried.append((words, score(found), found.left.lowest / mean, found.left.highest / mean))
        return found

    plain = run(order, hand, f"{order.name} as it is")
    best, firm, words_of = plain, hand, {}

    def shared(candidate: Order) -> tuple[Order, Hand, dict[str, str]]:
        zones = zones_of(candidate)
        fields = pull_fields(system, frame, candidate, firm, [z.names for z in zones], settling=settling)
        top = most / firm.force
        shares = best_shares(fields, tension=tension, low=0.2 * min(top, 1.0), high=top)
        full = float(shares.max())
        told = {z.name: in_words(s / full) for z, s in zip(zones, shares, strict=True)}
        by_name = {n: told[z.name][0] for z in zones for n in z.names}
        snug = {n for r in candidate.runs for n, s in zip(r.puts_in, r.shares, strict=True) if s == 0}
        by_name = {n: s for n, s in by_name.items() if n not in snug}
        stronger = replace(firm, force=min(full * firm.force, most))
        return with_shares(candidate, by_name), stronger, {z: w for z, (_, w) in told.items()}

    def take(candidate: Order, with_hand: Hand, words: str, told: dict[str, str]) -> None:
        nonlocal best, words_of
        found = run(candidate, with_hand, words)
        if score(found) < score(best) - 1e-3:
            best, words_of = found, told
            changes.append(words)

    fitted, stronger, told = shared(order)
    take(fitted, stronger, "pulls fitted by least squares", told)
    for other in others:
        fitted, stronger, told = shared(other)
        take(fitted, stronger, f"{other.name}, pulls fitted", told)
        if best.order is not fitted:
            take(other, best.hand, f"{other.name}, its own pulls", {})
    if passes:
        for words, names in (
            ("a second pull at the first staples of each side", _first_places(best.order, 3)),
            ("a second pull where it stayed low", _low_places(best, 8)),
        ):
            take(with_second_pass(best.order, names), best.hand, words, words_of)
    mean = 0.5 * (best.left.mean_level + best.left.mean_upright)
    scaled = replace(best.hand, force=min(best.hand.force * tension / mean, most)) if mean > 0 else best.hand
    if abs(scaled.force / best.hand.force - 1) > 0.02:
        again = run(best.order, scaled, "the full pull set to the tension wished")
        if score(again) < score(best) + 0.02:
            best = again
            changes.append(f"full pull {scaled.force:.0f} N at the pliers")
    if say is not None:
        say("Rehearsing the improved order step by step")
    whole = rehearse(
        system, frame, best.order, best.hand, settling=settling, frame_creep=frame_creep, maps=True
    )
    return Improvement(
        plain=plain,
        best=whole,
        hand=best.hand,
        changes=tuple(changes),
        tried=tuple(tried),
        pulls=tuple(sorted(words_of.items())),
        gain=score(whole) / score(plain),
    )
