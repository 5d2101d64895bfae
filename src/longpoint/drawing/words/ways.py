"""Ways out, in words: what obstacles are called, how a work is held, and why it stays."""

from __future__ import annotations

from math import ceil, degrees, floor

from longpoint.drawing.words.voice import Voice
from longpoint.handling.holds import Box, Hold
from longpoint.handling.obstacles import Obstacle, Stairs
from longpoint.handling.passing import Passing
from longpoint.handling.positions import raised_on_stairs
from longpoint.model.ways import Way
from longpoint.works.leaving import Stays


def obstacle_words(way: Way, index: int, say: Voice) -> str:
    """What an obstacle is called: by its name, else by its kind, numbered where there are several of one kind."""
    stated = way.obstacle[index]
    if stated.name is not None:
        return stated.name
    kind = say(f"leave.{stated.kind.replace(' ', '-')}")
    alike = [place for place, one in enumerate(way.obstacle) if one.kind == stated.kind and one.name is None]
    return kind if len(alike) == 1 else say("leave.numbered", kind=kind, number=alike.index(index) + 1)


def hold_words(hold: Hold, say: Voice) -> str:
    """How a work is held while it passes."""
    if hold.tilt != "none":
        return say(f"leave.hold-{hold.tilt}")
    if hold.up == "depth":
        return say("leave.hold-flat")
    if hold.along == "depth":
        return say("leave.hold-face")
    return say("leave.hold-upright" if hold.up == "height" else "leave.hold-turned")


def tilt_of(one: Passing) -> float:
    """The tilt that leaves most room: the middle of those at which it passes. [degrees]"""
    return degrees(sum(one.tilt) / 2)


def passing_words(obstacle: Obstacle, box: Box, one: Passing, say: Voice) -> str:
    """How a work passes, and the room it has."""
    hold, tilt = hold_words(one.hold, say), tilt_of(one)
    if isinstance(obstacle, Stairs) and one.hold.tilt == "none":
        tilt = degrees(raised_on_stairs(obstacle, box, one.hold, 0.0))
        if tilt >= _RAISED:
            hold = say("leave.hold-raise")
    room = f"+{say.kept(floor(one.room))}" if one.room >= 0 else f"−{say.part(ceil(-one.room))}"
    if one.hold.tilt == "none" and hold != say("leave.hold-raise"):
        return say("leave.cell", hold=hold, room=room)
    return say("leave.cell-tilted", hold=hold, tilt=say.number(tilt), room=room)


_RAISED = 3.0
"""From here on one end is said to be up on stairs. [degrees]"""


def stays_words(stays: Stays, say: Voice) -> str:
    """Why a work gets out on none of its ways, and what would help."""
    obstacle = obstacle_words(stays.way, stays.stop, say)
    helps = " ".join(say(f"leave.help-{one}") for one in stays.helps or ("none",))
    width, height = stays.largest or (0.0, 0.0)
    if not width or not height:
        return say("leave.stays-thick", obstacle=obstacle, way=stays.way.name, helps=helps)
    return say(
        "leave.stays",
        obstacle=obstacle,
        way=stays.way.name,
        missing=say.part(ceil(stays.missing), unit=True),
        largest=say("leave.stays-largest", face=say.face(width, height)),
        helps=helps,
    )
