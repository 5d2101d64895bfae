"""Lists of rectangles as JSON: read strictly, laid, and answered in the unit they came in."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from longpoint.cutting.lay.evidence import evidence_rows
from longpoint.cutting.lay.problem import LaidRectangle, LayPiece, LayProblem
from longpoint.cutting.lay.strip import lay_pieces
from longpoint.errors import Fault, FaultsError, Where
from longpoint.refereed import Refereed
from longpoint.units import MILLIMETRES, QuantityError, parse_length

KEYS = ("unit", "roll_width", "spacing", "any_cut", "wanted")
PIECE_KEYS = ("name", "across", "along", "how_many", "may_turn")
MOST = 5000  # rectangles in one list
LARGEST = Fraction(10**7)  # mm
SMALLEST = Fraction(1, 1000)  # mm; sizes are counted in whole nanometres
LONGEST_TEXT = 60  # characters of a length that is written as text


def lay_list(stated: Mapping[str, Any], *, effort: int = 20_000) -> dict[str, Any]:
    """Lay a list.

    Args:
        stated: ``{"unit", "roll_width", "spacing", "any_cut", "wanted": [{"name", "across", "along", "how_many",
            "may_turn"}]}``; lengths in the unit, mm where none is given.
        effort: See `lay_pieces`.

    Returns:
        ``{"unit", "length", "at_least", "proven", "placed": [{"name", "x", "y", "across", "along", "turned"}],
        "bound_by", "evidence", "refereed": {"passed", "faults", "instead", "case"}}``, lengths in the unit; what the
        referee found as in `LayPlan` and `Refereed`, evidence as in `evidence_rows`.

    Raises:
        FaultsError: If the list is badly stated or a piece is wider than the roll; carries every fault.
    """
    problem, unit = read_lay_list(stated)
    plan = lay_pieces(problem, effort=effort)
    per_unit = MILLIMETRES[unit] * 10**6
    return {
        "unit": unit,
        "length": _in_unit(plan.length, per_unit),
        "at_least": _in_unit(plan.at_least, per_unit),
        "proven": plan.proven,
        "placed": [_placed(problem, each, per_unit) for each in plan.laid],
        "bound_by": plan.bound_by,
        "evidence": evidence_rows(plan.evidence),
        "refereed": _refereed(plan.refereed),
    }


def _refereed(found: Refereed | None) -> dict[str, Any]:
    """What the referee found; the list as it was asked where something was refused."""
    assert found is not None, "every lay is checked"
    return {
        "passed": found.passed,
        "faults": [fault.what for fault in found.faults],
        "instead": found.instead,
        "case": found.case,
    }


def read_lay_list(stated: Mapping[str, Any]) -> tuple[LayProblem, str]:
    """Read a list strictly.

    Args:
        stated: As in `lay_list`.

    Returns:
        The problem, and the unit it was stated in.

    Raises:
        FaultsError: Every fault found.
    """
    if not isinstance(stated, Mapping):
        raise FaultsError([Fault("not-a-list", "The lay list is not a JSON object.", "Begin it with {.")])
    faults = list(_unknown(stated, KEYS, ""))
    unit = stated.get("unit", "mm")
    if not isinstance(unit, str) or unit not in MILLIMETRES:
        faults.append(
            _fault("unknown-unit", f"The unit is {_show(unit)}.", "State mm, cm, m, in or ft.", "unit")
        )
        unit = "mm"
    width = _length(stated, "roll_width", "", unit, faults)
    spacing = _length(stated, "spacing", "", unit, faults, default=Fraction(0))
    any_cut = _yes_no(stated, "any_cut", "", faults)
    pieces = list(_pieces(stated, unit, faults))
    if sum(piece.count for piece in pieces) > MOST:
        faults.append(
            _fault(
                "too-many", f"More than {MOST} rectangles are wanted.", "Lay them in several lists.", "wanted"
            )
        )
    if width:
        faults.extend(_too_wide(pieces, width, unit))
    if faults:
        raise FaultsError(faults)
    return LayProblem(tuple(pieces), width, spacing, any_cut), unit


def _in_unit(nanometres: int, per_unit: Fraction) -> float | int:
    size = nanometres / per_unit
    return int(size) if size.denominator == 1 else float(size)


def _placed(problem: LayProblem, each: LaidRectangle, per_unit: Fraction) -> dict[str, Any]:
    return {
        "name": problem.pieces[each.piece].name,
        "x": _in_unit(each.x, per_unit),
        "y": _in_unit(each.y, per_unit),
        "across": _in_unit(each.across, per_unit),
        "along": _in_unit(each.along, per_unit),
        "turned": each.turned,
    }


def _fault(code: str, what: str, remedy: str, key: str) -> Fault:
    return Fault(code, what, remedy, Where(key))


def _show(value: object) -> str:
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 10**40:
        return f"a number of about {round(value.bit_length() * 0.30103)} digits"
    text = "null" if value is None else repr(value) if isinstance(value, str) else str(value).lower()
    return text if len(text) <= 40 else text[:37] + "..."


def _unknown(stated: Mapping[str, Any], known: Sequence[str], path: str) -> Iterator[Fault]:
    for key in stated:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, n=1, cutoff=0.5)
            remedy = f'Did you mean "{near[0]}"?' if near else f"Known here: {', '.join(known)}."
            yield _fault("unknown-key", f'There is no key "{key}" here.', remedy, f"{path}{key}")


def _length(
    stated: Mapping[str, Any],
    key: str,
    path: str,
    unit: str,
    faults: list[Fault],
    default: Fraction | None = None,
) -> Fraction:
    """A length above zero (zero allowed where there is a default); faults are added and 0 is given back."""
    if key not in stated:
        if default is None:
            faults.append(
                _fault("missing-key", f'"{key}" is missing.', f"State it, in {unit}.", f"{path}{key}")
            )
        return Fraction(0)
    value = stated[key]
    too_long = isinstance(value, str) and len(value) > LONGEST_TEXT
    if not isinstance(value, int | float | str) or isinstance(value, bool) or too_long:
        faults.append(
            _fault(
                "not-a-length", f'"{key}" is {_show(value)}.', f"State a number, in {unit}.", f"{path}{key}"
            )
        )
        return Fraction(0)
    try:
        size = parse_length(value, unit=unit)
    except QuantityError as error:
        faults.append(_fault("not-a-length", f'"{key}": {error}.', "", f"{path}{key}"))
        return Fraction(0)
    none = size == 0 and default is not None
    if not (none or SMALLEST <= size <= LARGEST):
        least = "State zero, or" if default is not None else "State"
        faults.append(
            _fault(
                "bad-size",
                f'"{key}" is {_show(value)}.',
                f"{least} {_plain(SMALLEST / MILLIMETRES[unit])} to {_plain(LARGEST / MILLIMETRES[unit])} {unit}.",
                f"{path}{key}",
            )
        )
        return Fraction(0)
    return size


def _plain(size: Fraction) -> str:
    return str(size) if size.denominator == 1 else f"{float(size):.7f}".rstrip("0").rstrip(".")


def _yes_no(stated: Mapping[str, Any], key: str, path: str, faults: list[Fault]) -> bool:
    value = stated.get(key, False)
    if not isinstance(value, bool):
        faults.append(
            _fault("not-yes-or-no", f'"{key}" is {_show(value)}.', "State true or false.", f"{path}{key}")
        )
        return False
    return value


def _pieces(stated: Mapping[str, Any], unit: str, faults: list[Fault]) -> Iterator[LayPiece]:
    wanted = stated.get("wanted")
    if not isinstance(wanted, list) or not wanted:
        faults.append(
            _fault(
                "nothing-wanted",
                "No rectangle is wanted.",
                'State at least one in the list "wanted".',
                "wanted",
            )
        )
        return
    seen: dict[str, int] = {}
    for at, piece in enumerate(wanted):
        path = f"wanted[{at}]."
        if not isinstance(piece, Mapping):
            faults.append(
                _fault("not-a-piece", f"{_show(piece)} is no piece.", "State it in { }.", path[:-1])
            )
            continue
        faults.extend(_unknown(piece, PIECE_KEYS, path))
        name = piece.get("name")
        if not isinstance(name, str) or not name.strip():
            faults.append(_fault("no-name", "A piece has no name.", "Give it one, in quotes.", f"{path}name"))
            name = ""
        elif not name.isprintable():
            what = f"The name {ascii(name)[:40]} has characters that cannot be printed."
            faults.append(
                _fault("bad-name", what, "Write it with letters, figures and signs.", f"{path}name")
            )
            name = ""
        elif name in seen:
            faults.append(
                _fault(
                    "repeated-name",
                    f'The name "{name}" is used twice, also in wanted[{seen[name]}].',
                    "Give every piece its own name, or raise how_many.",
                    f"{path}name",
                )
            )
        seen.setdefault(name, at)
        across = _length(piece, "across", path, unit, faults)
        along = _length(piece, "along", path, unit, faults)
        count = piece.get("how_many", 1)
        if isinstance(count, bool) or not isinstance(count, int) or count < 1:
            faults.append(
                _fault(
                    "bad-count",
                    f'"how_many" is {_show(count)}.',
                    "State a whole number from 1.",
                    f"{path}how_many",
                )
            )
            count = 1
        turn = _yes_no(piece, "may_turn", path, faults)
        if across and along:
            yield LayPiece(name or f"number {at + 1}", across, along, count, turn)


def _too_wide(pieces: Sequence[LayPiece], width: Fraction, unit: str) -> Iterator[Fault]:
    for piece in pieces:
        sides = [Fraction(piece.across), *([Fraction(piece.along)] if piece.may_turn else [])]
        if min(sides) > width:
            lacks = float((min(sides) - width) / MILLIMETRES[unit])
            both = " either way" if piece.may_turn else ""
            turn = (
                ""
                if piece.may_turn or Fraction(piece.along) > width
                else ", allow it to be turned (may_turn)"
            )
            yield _fault(
                "piece-wider-than-roll",
                f'"{piece.name}" is {lacks:g} {unit} wider than the roll{both}.',
                f"Take a wider roll{turn}, or make it from two pieces.",
                "wanted",
            )
