"""What members, sides and kinds are called in the reader's language."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.words.voice import Voice
from longpoint.frame import Kind, Side

_KIND_KEYS = {
    Kind.BAR: "member.bar",
    Kind.END_RAIL: "member.end-rail",
    Kind.CROSS_RAIL: "member.cross-rail",
    Kind.MIDDLE_PIECE: "member.middle-piece",
    Kind.PLATE: "member.plate",
}


def kind_words(kind: Kind, say: Voice) -> str:
    """A kind of member, e.g. ``cross rail``."""
    return say(_KIND_KEYS[kind])


def side_words(side: Side, say: Voice) -> str:
    """A side of the frame as it hangs, e.g. ``left``."""
    return say(f"side.{side}")


def member_words(name: str, say: Voice) -> str:
    """A member by its name in the frame, e.g. ``left bar`` or ``cross rail 2``."""
    for side in ("left", "right", "bottom", "top"):
        if name == f"{side} bar":
            return say("member.bar-at", side=say(f"side.{side}"))
        if name == f"{side} end rail":
            return say("member.end-rail-at", side=say(f"side.{side}"))
        if name in (f"{side} bar 1", f"{side} bar 2"):
            return say("member.bar-half-at", side=say(f"side.{side}"), half=name[-1])
        if name.startswith(f"{side} plate"):
            return say("member.plate-at", side=say(f"side.{side}"))
    return f"{kind_words(kind_of(name), say)} {name.rsplit(' ', 1)[-1]}"


def kind_of(name: str) -> Kind:
    """The kind of a member by its name."""
    return next((kind for kind in Kind if kind.value in name), Kind.BAR)


def members_words(members: Sequence[str], kind: Kind, say: Voice) -> str:
    """Members of one kind in one line; numbered ones as a range."""
    numbers = [name.rsplit(" ", 1)[-1] for name in members]
    sided = kind in (Kind.BAR, Kind.PLATE)  # these are told apart by their sides, not by numbers
    if len(members) > 1 and not sided and all(number.isdigit() for number in numbers):
        return say(f"{_KIND_KEYS[kind]}-many", numbers=ranges([int(number) for number in numbers]))
    return ", ".join(member_words(name, say) for name in members)


def ranges(numbers: list[int]) -> str:
    """Numbers in one line, neighbours as a range: 1–3, 5."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)
