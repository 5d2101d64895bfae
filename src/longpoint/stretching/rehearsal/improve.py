"""A better way to staple the same work: what was found, and what it gained over the best of the orders people use.

Nothing is called better whose staples go over their limit where an order as people use it stays within, or whose
field is no better when rehearsed step by step, with slack.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal.hand_words import pulls_in_words
from longpoint.stretching.rehearsal.rehearse import Hand, Rehearsal
from longpoint.stretching.rehearsal.search import FITTED, MARGIN, Search, Task, Try
from longpoint.stretching.rehearsal.search import score as score
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.tables import habit

#: Rehearsals with slack that an improvement may spend on trying; the last ones, step by step, come on top.
TRIES = 20


@dataclass(frozen=True, slots=True, eq=False)
class Improvement:
    """What became of the orders.

    Attributes:
        plain: The best of the orders begun from, as rehearsed: within the staples' limit where any is.
        best: The best found, rehearsed step by step; ``plain`` itself where nothing better was found.
        hand: The hand for the best: its full pull.
        changes: What was changed and kept, in words; empty where nothing better was found.
        tried: Everything tried: words, score, lowest and highest window mean over the mean.
        pulls: Sides and how they are pulled, in words.
        gain: Score of the best over that of the plain order; below 1 is better, 1 where nothing better was found.
        told: What was gained, in a sentence.
    """

    plain: Rehearsal
    best: Rehearsal
    hand: Hand
    changes: tuple[str, ...]
    tried: tuple[tuple[str, float, float, float], ...]
    pulls: tuple[tuple[str, str], ...]
    gain: float
    told: str


def improve(
    system: EdgeSystem,
    frame: Floats,
    starts: Sequence[Rehearsal],
    hand: Hand,
    *,
    tension: float,
    tear_load: float,
    clean: CleanSides = CleanSides.UPRIGHT,
    most_force: float | None = None,
    settling: float = 0.4,
    frame_creep: float = 0.0,
    shrinks: float = 0.0,
    trying: tuple[EdgeSystem, Floats] | None = None,
    tries: int = TRIES,
    say: Callable[[str], None] | None = None,
) -> Improvement:
    """Improves on the orders people use.

    Args:
        system: The canvas made ready.
        frame: Compliance of the lips, shape (2 m, 2 m). [mm/N]
        starts: Orders as they are, rehearsed step by step with ``hand``; the best of them are begun from.
        hand: The hand; its full pull may change.
        tension: Mean tension wished when settled, or when shrunk. [N/mm]
        tear_load: What a staple may carry. [N]
        clean: The pair of sides without folds.
        most_force: Most that hand, cloth and staples allow at the pliers; a hard pull by hand where None. [N]
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run, as a part.
        shrinks: How much the held cloth shrinks after the last staple, as a part; above 0 the mean is left to it.
        trying: System and frame on a coarser grid for what is only tried; the same ones where None.
        tries: Rehearsals that may be spent on trying, at least one.
        say: Told what is being tried.

    Returns:
        The improvement.
    """
    most = habit("hand pull, hard").value if most_force is None else most_force
    task = Task(
        system=system,
        frame=frame,
        trying=(system, frame) if trying is None else trying,
        hand=hand,
        tension=tension,
        tear_load=tear_load,
        clean=clean,
        top=most / hand.force,
        settling=settling,
        frame_creep=frame_creep,
        shrinks=shrinks,
    )
    search = Search(task, max(tries, 1), say)
    plain = min(starts, key=task.merit)
    leader = search.run(starts)
    best = _step_by_step(task, leader, say)
    tried = tuple(_line(task, one) for one in search.every)
    if task.merit(best) >= task.merit(plain):
        told = (
            f"Nothing better was found within hand, cloth and staples than {plain.order.name} as it is "
            f"({len(tried)} rehearsals tried)."
        )
        return Improvement(plain, plain, plain.hand, (), tried, pulls_in_words(plain.order), 1.0, told)
    return Improvement(
        plain=plain,
        best=best,
        hand=best.hand,
        changes=_changes(leader, best),
        tried=tried,
        pulls=pulls_in_words(best.order),
        gain=task.badness(best) / task.badness(plain),
        told=_told(plain, best, tear_load),
    )


def _step_by_step(task: Task, leader: Try, say: Callable[[str], None] | None) -> Rehearsal:
    """The best of the search rehearsed step by step, its pulls fitted again until staples are within their limit."""
    order, hand = leader.found.order, leader.found.hand
    for turn in range(3):
        if say is not None:
            say("Rehearsing the improved order step by step")
        whole = task.rehearsed(order, hand, brief=False)
        stepwise = np.array([step.worst_staple for step in whole.steps])
        if turn == 2 or stepwise.max() <= task.tear_load:
            break  # within, or beyond only once the cloth has shrunk, which no pull prevents
        if turn == 0:
            order, hand = task.better(whole, stepwise=stepwise)
        else:
            hand = replace(hand, force=hand.force * MARGIN * task.tear_load / float(stepwise.max()))
    return whole


def _line(task: Task, one: Try) -> tuple[str, float, float, float]:
    left = one.found.left
    mean = max(0.5 * (left.mean_level + left.mean_upright), 1e-9)
    return one.words, task.badness(one.found), left.lowest / mean, left.highest / mean


def _changes(leader: Try, best: Rehearsal) -> tuple[str, ...]:
    """What was changed and kept, in words."""
    fitted = ("pulls fitted by least squares",) if FITTED in leader.words else ()
    return (
        leader.words.split("; ")[0].replace(FITTED, ""),
        *fitted,
        f"full pull {best.hand.force:.0f} N at the pliers",
    )


def _told(plain: Rehearsal, best: Rehearsal, tear_load: float) -> str:
    """What was gained, in a sentence."""

    def mean(one: Rehearsal) -> float:
        return 500 * (one.left.mean_level + one.left.mean_upright)

    return (
        f"Spread {100 * best.left.spread:.0f} % instead of {100 * plain.left.spread:.0f} % for the best plain order "
        f"({plain.order.name}), mean {mean(best):.0f} instead of {mean(plain):.0f} N/m, greatest load on a staple "
        f"{best.peak_load[0]:.0f} instead of {plain.peak_load[0]:.0f} N, of the {tear_load:.0f} N at which cloth may "
        f"tear; {len(best.order.runs)} turns from side to side instead of {len(plain.order.runs)} (estimates)."
    )
