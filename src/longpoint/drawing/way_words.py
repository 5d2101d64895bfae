"""Ways out, in words: what obstacles are called, how a work is held, and why it stays."""

from __future__ import annotations

from math import ceil, degrees, floor

from longpoint.drawing.voice import Voice
from longpoint.handling.holds import Hold
from longpoint.handling.passing import Passing
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


def passing_words(one: Passing, say: Voice) -> str:
    """How a work passes, and the room it has."""
    hold = hold_words(one.hold, say)
    room = f"+{say.kept(floor(one.room))}" if one.room >= 0 else f"−{say.part(ceil(-one.room))}"
    if one.hold.tilt == "none":
        return say("leave.cell", hold=hold, room=room)
    return say("leave.cell-tilted", hold=hold, tilt=say.number(tilt_of(one)), room=room)


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
