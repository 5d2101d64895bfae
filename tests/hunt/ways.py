"""Works and obstacles as studios have them: what passes and by how much, against brute force."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from shapely import box as rectangle
from shapely.affinity import rotate

from hunt.kinds import Checked, Kind, register
from longpoint.handling.holds import EDGES, Box, passes
from longpoint.handling.obstacles import Corner, Door, Obstacle, QuarterLanding, Space, Stairs
from longpoint.handling.passing import FINEST, LARGEST, first_stop, longest_side, passing
from oracles.turning import rounds

STEP = 1.0
"""Of every tilt that brute force tries. [degrees]"""

TURN_STEP = 1.5
"""Of every angle that it turns through. [degrees]"""


def work_of(random: np.random.Generator) -> Box:
    """A painting, wrapped; now and then something as thick as a crate, or a strip."""
    width = float(np.exp(random.uniform(np.log(300), np.log(3600))))
    height = width * float(np.exp(random.uniform(-1.0, 1.0)))
    if random.random() < 0.08:
        height = width * float(random.uniform(0.03, 0.15))
    depth = float(random.uniform(25, 110)) if random.random() < 0.85 else float(random.uniform(110, 700))
    whole = random.random() < 0.5
    return Box(
        width=round(width) if whole else width,
        height=max(60.0, round(height) if whole else height),
        depth=round(depth) if whole else depth,
    )


def obstacle_of(random: np.random.Generator) -> Obstacle:
    """One obstacle."""

    def some(low: float, high: float) -> float:
        return float(round(random.uniform(low, high)))

    step = {"rise": some(150, 220), "going": some(200, 320)}
    match int(random.integers(5)):
        case 0:
            return Door(width=some(500, 1800), height=some(1700, 2600))
        case 1:
            return Corner(before=some(600, 2000), after=some(600, 2000), height=some(1900, 3200))
        case 2:
            landing = some(700, 2000) if random.random() < 0.4 else None
            headroom = some(1700, 2800)
            return Stairs(
                width=some(550, 1500), headroom=headroom, height=some(headroom, 3200), landing=landing, **step
            )
        case 3:
            return QuarterLanding(
                before=some(600, 1500), after=some(600, 1500), height=some(1900, 4500), **step
            )
        case _:
            width, height = some(800, 2200), some(1200, 2500)
            return Space(
                width=width, height=height, depth=some(1000, 4300),
                door_width=some(0.6 * width, width + 50), door_height=some(0.7 * height, height + 50),
            )  # fmt: skip


def case_of(seed: int) -> tuple[Obstacle, Box]:
    """The obstacle and the work of a seed."""
    random = np.random.default_rng([seed, 15])
    return obstacle_of(random), work_of(random)


def poses(box: Box, *, raised: bool) -> Iterator[tuple[float, float, float]]:
    """Every pose tried, as what it takes along, across and up: bounds of a polygon that is turned."""
    for along in EDGES:
        for up in EDGES:
            if up == along:
                continue
            (across,) = (edge for edge in EDGES if edge not in (along, up))
            x, y, z = box.edge(along), box.edge(across), box.edge(up)
            for angle in np.arange(0, 90 + STEP / 2, STEP):
                one, high = turned(x if raised else y, z, angle)
                yield (one, y, high) if raised else (x, one, high)


def turned(flat: float, tall: float, angle: float) -> tuple[float, float]:
    """Width and height of a rectangle that is turned."""
    low_x, low_y, high_x, high_y = rotate(rectangle(0, 0, flat, tall), angle, origin=(0, 0)).bounds
    return high_x - low_x, high_y - low_y


def least(pairs: Iterator[tuple[float, float]]) -> list[tuple[float, float]]:
    """Those pairs beside which none is smaller in both."""
    kept: list[tuple[float, float]] = []
    for one, other in sorted(set(pairs)):
        if not kept or other < kept[-1][1]:
            kept.append((one, other))
    return kept


def plan_turns(before: float, after: float, one: float, other: float) -> bool:
    """Whether a rectangle turns a right-angled corner, any way round."""
    return rounds(
        before=before, after=after, turn=math.pi / 2,
        long=max(one, other), thick=max(0.5, min(one, other)), step=TURN_STEP,
    )  # fmt: skip


def by_force(obstacle: Obstacle, box: Box) -> bool:
    """Whether a work passes in any pose of the grids, any place and any angle between."""
    leaning = list(poses(box, raised=False))
    raised = list(poses(box, raised=True))
    match obstacle:
        case Door():
            return any(y <= obstacle.width and z <= obstacle.height for _, y, z in leaning)
        case Space():
            width, height = obstacle.opening
            swung = [(x, z, y) for x, y, z in raised]  # the same turned about the upright
            every = (*leaning, *raised, *swung)
            return any(x <= obstacle.depth and y <= width and z <= height for x, y, z in every)
        case Corner():
            plans = least((max(x, y), min(x, y)) for x, y, z in (*leaning, *raised) if z <= obstacle.height)
            return any(plan_turns(obstacle.before, obstacle.after, *plan) for plan in plans)
        case QuarterLanding():
            steep = obstacle.rise / obstacle.going
            plans = least(
                (max(x, y), min(x, y))
                for x, y, z in (*leaning, *raised)
                if z + steep * max(0.0, math.hypot(x, y) - obstacle.before) <= obstacle.height
            )
            return any(plan_turns(obstacle.before, obstacle.after, *plan) for plan in plans)
        case Stairs():
            return _climbs(obstacle, leaning)


def _climbs(stairs: Stairs, leaning: list[tuple[float, float, float]]) -> bool:
    sides = []
    for x, y, z in leaning[:: 3 if stairs.landing is not None else 1]:
        if y > stairs.width:
            continue
        if stairs.landing is not None:
            tail = max(0.0, math.hypot(x, y) - stairs.landing)
            if tail > 0 and z + tail * stairs.rise / stairs.going > stairs.headroom:
                continue
        sides.append((x, z, y))
    if stairs.landing is None:
        return any(goes_up(stairs, *side) for side in least((x, z) for x, z, _ in sides))
    ways_up: dict[tuple[float, float], bool] = {}
    for long, tall, wide in sorted(sides, key=lambda side: side[2]):
        if any(not up and low <= long and lie <= tall for (low, lie), up in ways_up.items()):
            continue  # something smaller did not go up
        ways_up[long, tall] = ways_up.get((long, tall)) or goes_up(stairs, long, tall)
        if ways_up[long, tall] and plan_turns(stairs.width, stairs.landing, long, wide):
            return True
    return False


def goes_up(stairs: Stairs, long: float, tall: float) -> bool:
    """Whether a side turns by the pitch at the foot, and back at the head."""
    ends = (stairs.height, stairs.clear)
    return all(
        rounds(
            before=one, after=two, turn=stairs.pitch,
            long=long, thick=max(0.5, tall), step=TURN_STEP,
        )
        for one, two in (ends, ends[::-1])
    )  # fmt: skip


def tipping(obstacle: Obstacle, box: Box) -> float:
    """By how much a work could grow and still pass in some hold, to a quarter of a millimetre."""
    low, high = -max(box.width, box.height, box.depth), 30_000.0
    while high - low > FINEST:
        middle = (low + high) / 2
        low, high = (middle, high) if passes(obstacle, box.grown(middle)) else (low, middle)
    return low


def check_way(seed: int) -> Checked:
    """One work at one obstacle."""
    obstacle, box = case_of(seed)
    wrong: list[str] = []
    told = passing(obstacle, box)
    room = tipping(obstacle, box)
    if told.passes != passes(obstacle, box):
        wrong.append("passing and passes disagree")
    if told.room > room + FINEST or (told.room < room - FINEST and told.room < 20):
        wrong.append(f"{told.room} mm to spare are told, {room} are there")
    below, above = box.grown(room - slack_of(box.grown(room))), box.grown(room + 4.0)
    if min(below.width, below.height) > 50 and not by_force(obstacle, below):
        wrong.append(f"passes with {room:.1f} mm to spare; brute force finds no way")
    if by_force(obstacle, above):
        wrong.append(f"does not pass {room + 4:.1f} mm larger; brute force finds a way")
    wrong += larger_is_easier(obstacle, box)

    def shaped(longer: float) -> Box:
        share = longer / max(box.width, box.height)
        return replace(box, width=share * box.width, height=share * box.height)

    longest = longest_side([obstacle], shaped)
    if longest and first_stop([obstacle], shaped(longest)) is not None:
        wrong.append("the largest that passes does not")
    if longest < LARGEST and first_stop([obstacle], shaped(longest + 1)) is None:
        wrong.append("larger than the largest passes")
    way = "passes" if told.passes else "stays"
    return Checked(tuple(wrong), (f"{type(obstacle).__name__} {way}", f"held {told.hold.tilt}"))


def slack_of(box: Box) -> float:
    """What a grid of a degree and a half may miss."""
    return 8.0 + 0.04 * max(box.width, box.height, box.depth)


def larger_is_easier(obstacle: Obstacle, box: Box) -> list[str]:
    """What passes, passes with more room, and thinner."""
    if not passes(obstacle, box):
        return []
    wrong = []
    for name in obstacle.__slots__:
        value = getattr(obstacle, name)
        if name in ("rise", "going") or value is None:
            continue
        if not passes(replace(obstacle, **{name: value + 7.0}), box):
            wrong.append(f"passes, and does not with {name} 7 mm more")
    if not passes(obstacle, replace(box, depth=0.8 * box.depth)):
        wrong.append("passes, and does not when it is thinner")
    return wrong


register(Kind("ways", lambda seed: repr(case_of(seed)), check_way, 25))
