"""What is wrong with a stated cloth problem, all of it at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from math import isfinite

from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll
from longpoint.errors import Fault, Where

LARGEST = 1e7  # mm; ten kilometres is no piece of cloth


def faults_of(problem: ClothProblem) -> list[Fault]:
    """Everything wrong with the statement itself; whether pieces fit is found later.

    Args:
        problem: What was stated.

    Returns:
        The faults, none where all is well.
    """
    found: list[Fault] = []
    if not problem.pieces:
        found.append(Fault("no-cloth-pieces", "No piece of cloth is wanted.", "Name at least one piece."))
    if not problem.rolls:
        found.append(
            Fault("no-rolls", "There is no roll to cut from.", "Name at least one roll with its width.")
        )
    found.extend(_repeated("pieces", [piece.name for piece in problem.pieces]))
    found.extend(_repeated("rolls", [roll.name for roll in problem.rolls]))
    for at, piece in enumerate(problem.pieces):
        found.extend(_piece_faults(piece, f"pieces[{at}]"))
    for at, roll in enumerate(problem.rolls):
        found.extend(_roll_faults(roll, f"rolls[{at}]"))
    found.extend(_size("allowance", problem.allowance, "allowance", zero=True))
    found.extend(_size("seam allowance", problem.seam_allowance, "seam_allowance", zero=True))
    if problem.longest_length is not None:
        found.extend(_size("longest length taken off", problem.longest_length, "longest_length"))
    return found


def _repeated(key: str, names: list[str]) -> Iterator[Fault]:
    for name, times in Counter(names).items():
        if times > 1:
            yield Fault(
                "repeated-name",
                f'The name "{name}" is used {times} times.',
                "Give every one its own name.",
                Where(key),
            )


def _size(what: str, size: float, key: str, *, zero: bool = False) -> Iterator[Fault]:
    if isinstance(size, bool) or not isfinite(size) or size < 0 or (size == 0 and not zero) or size > LARGEST:
        least = "zero or more" if zero else "more than zero"
        yield Fault(
            "bad-size", f"The {what} is {size} mm.", f"State {least}, at most {LARGEST:.0f} mm.", Where(key)
        )


def _money(what: str, money: Decimal, key: str) -> Iterator[Fault]:
    if not money.is_finite() or money < 0:
        yield Fault("bad-price", f"The {what} is {money}.", "State zero or more per metre.", Where(key))


def _piece_faults(piece: ClothPiece, key: str) -> Iterator[Fault]:
    name = f'piece "{piece.name}"'
    if not piece.name:
        yield Fault("no-name", "A piece has no name.", "Give it one.", Where(key))
    yield from _size(f"size of {name} across the warp", piece.across_warp, f"{key}.across_warp")
    yield from _size(f"size of {name} along the warp", piece.along_warp, f"{key}.along_warp")
    if isinstance(piece.count, bool) or not isinstance(piece.count, int) or not 1 <= piece.count <= 100_000:
        yield Fault(
            "bad-count",
            f"The count of {name} is {piece.count}.",
            "State a whole number from 1.",
            Where(f"{key}.count"),
        )
    if piece.seam_at is not None and not 0 < piece.seam_at < piece.across_warp:
        yield Fault(
            "seam-outside",
            f"The seam of {name} is wanted at {piece.seam_at} mm, outside its {piece.across_warp} mm across the warp.",
            "State a place between its edges.",
            Where(f"{key}.seam_at"),
        )


def _roll_faults(roll: ClothRoll, key: str) -> Iterator[Fault]:
    name = f'roll "{roll.name}"'
    if not roll.name:
        yield Fault("no-name", "A roll has no name.", "Give it one.", Where(key))
    bad = list(_size(f"width of {name}", roll.width, f"{key}.width"))
    if roll.length is not None:
        bad.extend(_size(f"length of {name}", roll.length, f"{key}.length"))
    for what, size, part in (
        ("selvedge left off", roll.selvedge, "selvedge"),
        ("length taken off to square the end", roll.square_up, "square_up"),
        ("shortest length kept", roll.shortest_kept, "shortest_kept"),
        ("step of sale", roll.step, "step"),
    ):
        bad.extend(_size(f"{what} of {name}", size, f"{key}.{part}", zero=True))
    yield from bad
    yield from _money(f"price of {name}", roll.price, f"{key}.price")
    yield from _money(f"worth of {name}", roll.worth, f"{key}.worth")
    if bad:
        return
    if 2 * roll.selvedge >= roll.width:
        yield Fault(
            "selvedge-eats-roll",
            f"Two selvedges of {roll.selvedge} mm leave nothing of {name}, {roll.width} mm wide.",
            "State the selvedge of one edge.",
            Where(f"{key}.selvedge"),
        )
    if roll.length is not None and roll.square_up >= roll.length:
        yield Fault(
            "square-up-eats-roll",
            f"Taking {roll.square_up} mm off to square the end leaves nothing of {name}, {roll.length} mm long.",
            "State less, or leave the roll out.",
            Where(f"{key}.square_up"),
        )
    if roll.whole and roll.length is None:
        yield Fault(
            "whole-roll-without-length",
            f"{name.capitalize()} is sold only whole but has no length.",
            "State its length.",
            Where(f"{key}.length"),
        )
    if not roll.at_hand and roll.worth > roll.price:
        yield Fault(
            "worth-above-price",
            f"What remains of {name} is worth {roll.worth} a metre, more than its price {roll.price}.",
            "State a worth of at most the price; otherwise it would pay to buy cloth only to keep it.",
            Where(f"{key}.worth"),
        )
    for at, flaw in enumerate(roll.flaws):
        x_to = roll.width if flaw.x_to is None else flaw.x_to
        inside = 0 <= flaw.x_from < x_to <= roll.width and 0 <= flaw.y_from < flaw.y_to
        if not inside or (roll.length is not None and flaw.y_from >= roll.length):
            yield Fault(
                "flaw-outside-roll",
                f"The {flaw.what} at {flaw.x_from}-{x_to} mm across and {flaw.y_from}-{flaw.y_to} mm along does not "
                f"lie on {name}.",
                "Measure from the left edge and from the free end; say where it begins before where it ends.",
                Where(f"{key}.flaws[{at}]"),
            )
