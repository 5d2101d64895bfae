"""The bare engine for people who only have lists: parts and boards in, cuts out, as plain JSON values.

Read strictly: an unknown key, a wrong type or a number that cannot be is a fault with its place, and all
faults come together. Lengths stay exact: they are counted in the finest step that the numbers given need.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from longpoint.cutting.boards.checked import checked
from longpoint.cutting.boards.faults import nearest_word
from longpoint.cutting.boards.plan import assemble
from longpoint.cutting.boards.search.core import build_core
from longpoint.cutting.boards.search.solve import solve_core
from longpoint.cutting.boards.values import Board, BoardPlan, BoardProblem, End, Kind, Shop, WantedPart
from longpoint.errors import Fault, FaultsError, Where, refuse

MM_PER_UNIT = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(127, 5)}
WIDEST_KERF_MM = 25  # estimate, as in `faults`
LARGEST = 2**52  # steps; keeps every sum of sizes well inside 64 bits
MOST_PARTS = 100_000
MOST_OF_ONE = 10**9
MOST_ON_ONE = 20_000  # parts that one board could give; more are a slip of the unit
FARTHEST = 30  # digits before or behind the point


class _Reader:
    """Takes a JSON object apart and collects what is wrong with it."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def fault(self, code: str, key: str, what: str, remedy: str) -> None:
        self.faults.append(Fault(code, what, remedy, Where(key=key)))

    def known_keys(self, given: Mapping[str, Any], known: list[str], key: str) -> None:
        for word in given:
            if word not in known:
                near = nearest_word(str(word), known)
                remedy = f"Did you mean {near}?" if near else f"Known here: {', '.join(known)}."
                self.fault("unknown-key", f"{key}{word}", f"There is no key {word} here.", remedy)

    def number(
        self, given: Mapping[str, Any], word: str, key: str, *, default: Fraction | None
    ) -> Fraction | None:
        if word not in given:
            if default is None:
                self.fault("missing-key", f"{key}{word}", f"{word} is missing.", f"Give {word} as a number.")
            return default
        value = given[word]
        if isinstance(value, bool) or not isinstance(value, int | float | Decimal | Fraction):
            self.fault(
                "not-a-number", f"{key}{word}", f"{word} is {_shown(value)}, not a number.", "Give a number."
            )
            return None
        if not _is_in_reach(value):
            what = f"{word} is {_shown(value)}: no such number can be reckoned with."
            self.fault("not-a-number", f"{key}{word}", what, "Check its digits and the unit.")
            return None
        return Fraction(Decimal(repr(value))) if isinstance(value, float) else Fraction(value)

    def count(self, given: Mapping[str, Any], word: str, key: str, *, least: int) -> int | None:
        value = given[word]
        if isinstance(value, Decimal | float) and _is_in_reach(value) and value == int(value):
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault("not-a-count", f"{key}{word}", f"{word} is {_shown(value)}.", "Give a whole number.")
            return None
        if value > MOST_OF_ONE:
            what = f"{word} is more than a thousand million."
            self.fault("not-a-count", f"{key}{word}", what, "Give null where there is no limit.")
            return None
        if value < least:
            self.fault(
                "not-a-count", f"{key}{word}", f"{word} is {value}.", f"Give a whole number from {least} on."
            )
            return None
        return value

    def name(self, given: Mapping[str, Any], key: str, seen: dict[str, str]) -> str:
        value = given.get("name")
        if not isinstance(value, str) or not value.strip():
            self.fault("no-name", f"{key}name", f"name is {_shown(value)}.", "Give a name in quotes.")
            return ""
        if not value.isprintable():
            what = f"the name {_shown(value)} holds signs that cannot be printed."
            self.fault("no-name", f"{key}name", what, "Write it anew.")
            return ""
        if value in seen:
            self.fault(
                "duplicate-name",
                f"{key}name",
                f"{value} stands here and at {seen[value]}.",
                "Give each its own name.",
            )
        seen.setdefault(value, key.rstrip("."))
        return value

    def objects(self, given: Mapping[str, Any], word: str) -> list[tuple[str, Mapping[str, Any]]]:
        value = given.get(word)
        if not isinstance(value, list) or not value:
            what = f"{word} is missing." if word not in given else f"{word} is {_shown(value)}."
            self.fault("no-list", word, what, "Give a list with at least one entry.")
            return []
        found: list[tuple[str, Mapping[str, Any]]] = []
        for index, entry in enumerate(value):
            if isinstance(entry, Mapping):
                found.append((f"{word}[{index}].", entry))
            else:
                self.fault(
                    "not-an-object",
                    f"{word}[{index}]",
                    f"It is {_shown(entry)}.",
                    "Give an object in braces.",
                )
        return found


def _is_in_reach(value: int | float | Decimal | Fraction) -> bool:
    """Whether a number is finite, and neither so large nor so small that its digits would fill the memory."""
    if isinstance(value, int | Fraction):
        return bool(abs(value) < 10**FARTHEST)
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    if not exact.is_finite() or len(exact.as_tuple().digits) > 10 * FARTHEST:
        return False
    return not exact or -FARTHEST < exact.adjusted() < FARTHEST


def _shown(value: object) -> str:
    if value is None:
        return "null or missing"
    if isinstance(value, int) and abs(value) >= 10**FARTHEST:
        return "a number of many digits"
    text = json.dumps(value, default=str, ensure_ascii=False)
    return text if len(text) <= 40 else text[:37] + "…"


def parse_cut_list(text: str, *, file: str = "") -> dict[str, Any]:
    """JSON text as values, decimals kept exact.

    Args:
        text: The text.
        file: Its name, for messages.

    Returns:
        The object.

    Raises:
        FaultsError: If it is not JSON, says a key twice, or is not an object.
    """
    doubled: list[str] = []

    def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
        seen: dict[str, Any] = {}
        for word, value in found:
            if word in seen:
                doubled.append(word)
            seen[word] = value
        return seen

    try:
        value = json.loads(text, parse_float=Decimal, object_pairs_hook=pairs)
    except (json.JSONDecodeError, RecursionError) as problem:
        line = problem.lineno if isinstance(problem, json.JSONDecodeError) else None
        why = problem.msg if isinstance(problem, json.JSONDecodeError) else "it is nested too deeply"
        raise refuse(
            "not-json",
            f"This is not JSON: {why}.",
            "Check commas, quotes and braces there.",
            Where(file=file, line=line),
        ) from problem
    except ValueError as problem:  # numbers of absurd length
        raise refuse(
            "not-json", "A number in the file has thousands of digits.", "Shorten it.", Where(file=file)
        ) from problem
    if doubled:
        raise FaultsError(
            Fault(
                "doubled-key",
                f"The key {word} is given twice.",
                "Keep one of them.",
                Where(key=word, file=file),
            )
            for word in dict.fromkeys(doubled)
        )
    if not isinstance(value, dict):
        raise refuse(
            "not-an-object",
            f"The file holds {_shown(value)}.",
            "Give one object in braces.",
            Where(file=file),
        )
    return value


def cut_list(given: Mapping[str, Any]) -> dict[str, Any]:
    """Cut square-ended parts out of boards at the least cost.

    Args:
        given: ``unit``, ``kerf``, ``end_trim``, ``at_hand`` (name, length, price, how_many or null) and
            ``wanted`` (name, length, how_many).

    Returns:
        ``cost``, ``at_least``, ``proven`` and ``boards`` (from, parts, used, remains), lengths in the unit.

    Raises:
        FaultsError: With every fault of what was given, or what cannot be had and why.
    """
    reader = _Reader()
    problem, per_unit = _problem_of(given, reader)
    if reader.faults or problem is None:
        raise FaultsError(reader.faults)
    core = build_core(problem)
    solved = solve_core(core)
    if solved.columns is None:
        wanted = sum(part.length * part.how_many for part in problem.parts)
        there = sum(
            (board.length - 2 * problem.shop.trim) * (board.how_many or 0) for board in problem.boards
        )
        known = (
            "The boards are too few"
            if solved.impossible
            else "No way was found to get all parts from the boards"
        )
        raise refuse(
            "boards-too-few",
            f"{known}: the parts are {_out(Fraction(wanted) / per_unit)} {given.get('unit', 'mm')} in all, the boards "
            f"{_out(Fraction(there) / per_unit)} between their trims, and cuts take more.",
            "Add boards, or give one length how_many null.",
            Where(key="at_hand"),
        )
    plan = checked(problem, assemble(problem, core, solved))
    return _answer(plan, problem, per_unit)


def _problem_of(given: Mapping[str, Any], reader: _Reader) -> tuple[BoardProblem | None, int]:
    reader.known_keys(given, ["unit", "kerf", "end_trim", "at_hand", "wanted"], "")
    unit = given.get("unit", "mm")
    if not isinstance(unit, str) or unit not in MM_PER_UNIT:
        reader.fault("unknown-unit", "unit", f"unit is {_shown(unit)}.", f"Known: {', '.join(MM_PER_UNIT)}.")
        unit = "mm"
    kerf = reader.number(given, "kerf", "", default=Fraction(0))
    trim = reader.number(given, "end_trim", "", default=Fraction(0))
    for word, value in (("kerf", kerf), ("end_trim", trim)):
        if value is not None and value < 0:
            reader.fault("negative-length", word, f"{word} is {_out(value)}.", "Give 0 or more.")
    if kerf is not None and kerf * MM_PER_UNIT[unit] > WIDEST_KERF_MM:
        reader.fault(
            "absurd-kerf",
            "kerf",
            f"A kerf of {_out(kerf)} {unit} is wider than any saw takes.",
            f"Measure one cut in waste wood; up to {WIDEST_KERF_MM} mm is accepted.",
        )
    boards = _read_boards(given, reader)
    parts = _read_parts(given, reader)
    if reader.faults or kerf is None or trim is None:
        return None, 1
    lengths = [kerf, trim, *(length for _, length, _, _ in boards), *(length for _, length, _ in parts)]
    per_unit = math.lcm(*(length.denominator for length in lengths))
    if max(lengths) * per_unit > LARGEST:
        # Digits finer than the engine counts: parts are rounded up and boards down in its finest step.
        per_unit = 1
        while max(lengths) * per_unit * 10 <= LARGEST:
            per_unit *= 10
    if max(lengths) > LARGEST or sum(length * count for _, length, count in parts) * per_unit > 2**62:
        reader.fault("too-large", "wanted", "The lengths given are too large.", "Check the unit.")
        return None, 1
    if sum(count for _, _, count in parts) > MOST_PARTS:
        reader.fault("too-many", "wanted", f"More than {MOST_PARTS} parts are wanted.", "Split the list.")
        return None, 1
    if boards and parts:
        longest, shortest = max(board[1] for board in boards), min(part[1] for part in parts)
        count = sum(count for _, _, count in parts)
        if longest > MOST_ON_ONE * (shortest + kerf) and count > MOST_ON_ONE:
            what = f"One board of {_out(longest)} {unit} would give more than {MOST_ON_ONE} parts."
            reader.fault("too-many", "wanted", what, "Check the units, or ask for fewer at a time.")
            return None, 1
    count = sum(count for _, _, count in parts)
    boards = [
        (name, length, price, None if how_many is None else min(how_many, count))
        for name, length, price, how_many in boards
    ]
    for name, length, _ in parts:
        _check_makeable(name, length, boards, trim, unit, reader)
    problem = BoardProblem(
        "the list",
        1,
        1,
        tuple(
            WantedPart(name, math.ceil(length * per_unit), count, kind=Kind.BLOCK, ends=End.SQUARE)
            for name, length, count in parts
        ),
        tuple(
            Board(name, math.floor(length * per_unit), price, how_many=how_many)
            for name, length, price, how_many in boards
        ),
        Shop(kerf=math.ceil(kerf * per_unit), trim=math.ceil(trim * per_unit)),
    )
    return problem, per_unit


def _read_boards(
    given: Mapping[str, Any], reader: _Reader
) -> list[tuple[str, Fraction, Fraction, int | None]]:
    boards: list[tuple[str, Fraction, Fraction, int | None]] = []
    seen: dict[str, str] = {}
    entries = reader.objects(given, "at_hand")
    priced = [key for key, entry in entries if "price" in entry]
    for key, entry in entries:
        reader.known_keys(entry, ["name", "length", "price", "how_many"], key)
        name = reader.name(entry, key, seen)
        length = reader.number(entry, "length", key, default=None)
        if length is not None and length <= 0:
            reader.fault(
                "not-a-length", f"{key}length", f"length is {_out(length)}.", "Give a length above 0."
            )
        # Without any price the least timber is sought; a price here and none there cannot be compared.
        price = reader.number(entry, "price", key, default=None) if priced else length
        if price is not None and price < 0:
            reader.fault("negative-price", f"{key}price", f"price is {_out(price)}.", "Give 0 or more.")
        how_many: int | None = None
        if "how_many" not in entry:
            reader.fault(
                "missing-key",
                f"{key}how_many",
                "how_many is missing.",
                "Give a whole number, or null for no limit.",
            )
        elif entry["how_many"] is not None:
            how_many = reader.count(entry, "how_many", key, least=0)
        if length is not None and price is not None:
            boards.append((name, length, price, how_many))
    return boards


def _read_parts(given: Mapping[str, Any], reader: _Reader) -> list[tuple[str, Fraction, int]]:
    parts: list[tuple[str, Fraction, int]] = []
    seen: dict[str, str] = {}
    for key, entry in reader.objects(given, "wanted"):
        reader.known_keys(entry, ["name", "length", "how_many"], key)
        name = reader.name(entry, key, seen)
        length = reader.number(entry, "length", key, default=None)
        if length is not None and length <= 0:
            reader.fault(
                "not-a-length", f"{key}length", f"length is {_out(length)}.", "Give a length above 0."
            )
        count = reader.count(entry, "how_many", key, least=1) if "how_many" in entry else 1
        if length is not None and count is not None:
            parts.append((name, length, count))
    return parts


def _check_makeable(
    name: str,
    length: Fraction,
    boards: list[tuple[str, Fraction, Fraction, int | None]],
    trim: Fraction,
    unit: str,
    reader: _Reader,
) -> None:
    there = [board for board in boards if board[3] != 0]
    if not there:
        reader.fault("no-board-gives", name, f"{name} finds no board: there are none.", "Add boards.")
        return
    nearest = max(there, key=lambda board: board[1])
    missing = length - (nearest[1] - 2 * trim)
    if missing > 0:
        trims = f" less two trims of {_out(trim)}" if trim else ""
        reader.fault(
            "no-board-gives",
            name,
            f"No board gives {name}, {_out(length)} {unit}. {nearest[0]}, {_out(nearest[1])} {unit}{trims}, comes "
            f"nearest: it is {_out(missing)} {unit} too short.",
            "Add a longer board or shorten the part.",
        )


def _out(value: Fraction) -> int | float:
    """A number as JSON shows it."""
    return int(value) if value.denominator == 1 else float(value)


def _answer(plan: BoardPlan, problem: BoardProblem, per_unit: int) -> dict[str, Any]:
    kerf, trim = problem.shop.kerf, problem.shop.trim
    lengths = {part.name: part.length for part in problem.parts}
    boards = []
    for board in plan.boards:
        parts = [cut.part for cut in board.cuts]
        taken = 2 * trim + sum(lengths[part] for part in parts) + (len(parts) - 1) * kerf
        boards.append(
            {
                "from": board.board,
                "parts": parts,
                "used": _out(Fraction(taken, per_unit)),
                "remains": _out(Fraction(board.remains, per_unit)),
            }
        )
    answer: dict[str, Any] = {
        "cost": _out(plan.cost),
        "at_least": _out(plan.at_least),
        "proven": plan.proven,
        "boards": boards,
    }
    if plan.refereed is not None and not plan.refereed.passed:
        answer["refused"] = {
            "faults": [fault.what for fault in plan.refereed.faults],
            "instead": plan.refereed.instead,
            "case": plan.refereed.case,
        }
    return answer
