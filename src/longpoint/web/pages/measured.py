"""What was measured of a work so far, and what the warm process makes of it, for the pages of the bench."""

from __future__ import annotations

from typing import Any

from fastapi import Request

from longpoint.drawing.words.orders import best_beside, cells, figure, heads, percent
from longpoint.drawing.words.own_words import order_words
from longpoint.drawing.words.voice import Voice
from longpoint.errors import refuse
from longpoint.model.order import USUAL_ORDERS
from longpoint.stretching.rehearsal.compare import OrderRow
from longpoint.web.desk import read_json
from longpoint.web.pages.fitting import lengths_told
from longpoint.web.room import Planned, language_of, room_of
from longpoint.web.told.voices import voice_for
from longpoint.web.words import voice

_WAIT = 45.0
"""Longest that a page waits for what was measured to be worked out. [s]"""


def shown_of(request: Request, found: Planned) -> tuple[str, Voice]:
    """The unit of bare numbers, and how lengths are said."""
    system = found.told.name.split("-")[1]
    return system, voice_for(language_of(request), system)


def asked(request: Request, found: Planned, wish: str, code: str, given: dict[str, Any]) -> dict[str, Any]:
    """What the warm process answers; waited for."""
    language, system = language_of(request), found.told.name.split("-")[1]
    body = {
        "wish": wish, "folder": str(found.folder), "code": code, "given": given,
        "language": language, "system": system,
    }  # fmt: skip
    key = f"{wish} {found.run} {code} {language} {system} {sorted(given.items(), key=str)}"
    wished = room_of(request).teller.ask(key, body, about=f"{wish} {found.run} {code}")
    if not wished.done.wait(_WAIT) or wished.broken or wished.told is None:
        raise refuse("not-measured", "this could not be worked out just now.", "Send it again.")
    return wished.told


def inside_of(request: Request, ident: str, revision: str) -> dict[str, float]:
    """Inside lengths measured on the frames of a plan, by the mark of the part that goes there. [mm]"""
    room = room_of(request)
    found = {}
    for key, state in room.ticks.now(ident, "measure")["measure"].items():
        of, _, mark = key.rpartition("/")
        if of.rpartition("/")[0] == revision and mark not in ("bars", "rails"):
            found[mark] = float(state)
    return found


def lengths_of(
    request: Request, found: Planned, code: str, told: dict[str, Any], measured: dict[str, str]
) -> Any:
    """What was measured of a frame so far, and how long its next parts are; None where nothing was measured."""
    prefix = f"{found.revision}/{code}/"
    own = {
        key.removeprefix(prefix): float(state) for key, state in measured.items() if key.startswith(prefix)
    }
    marks = {part["mark"] for part in told.get("inside", [])}
    inside = {mark: value for mark, value in own.items() if mark in marks}
    if not inside and "bars" not in own and "rails" not in own:
        return None
    wish = {"bars": own.get("bars"), "rails": own.get("rails"), "inside": inside}
    answer = asked(request, found, "lengths", code, wish)
    _, shown = shown_of(request, found)
    if answer["faults"]:
        return {"rows": [], "faults": answer["faults"], "typed": {}}
    kept = {*marks, "bars", "rails"}
    typed = {name: shown.fine(value, unit=True) for name, value in own.items() if name in kept}
    return {**lengths_told(answer, voice(language_of(request)), shown), "faults": [], "typed": typed}


def orders_of(request: Request, found: Planned, code: str) -> dict[str, Any]:
    """Where the comparison of orders stands.

    Returns:
        ``state``: none, asked, refused or done; then heads, rows (name, key, cells, whether printed) and sentences.
    """
    told = read_json(found.folder / f"orders-{code}.json", None)
    if told is None:
        waits = room_of(request).teller.is_asked(f"orders {found.run} {code}")
        return {"state": "asked" if waits else "none"}
    if told["faults"]:
        return {"state": "refused", "faults": told["faults"]}
    say = voice_for(language_of(request), found.told.name.split("-")[1])
    own = voice(language_of(request))
    listed = [OrderRow(**row) for row in told["rows"]]
    rows = [
        {
            "key": row.name if row.name in USUAL_ORDERS else "",
            "printed": row.name == told["printed"],
            "cells": cells(row, order_words(row.name, say), told["tear_load"], say),
        }
        for row in listed
    ]
    lines = []
    beside = best_beside(listed, told["printed"])
    if beside is not None:
        key, now, best = beside
        lines.append(
            own(
                f"orders.{key}",
                printed=order_words(now.name, say),
                spread=percent(now.spread, say),
                best=order_words(best.name, say),
                other=percent(best.spread, say),
            )
        )
    if any("!" in row["cells"][-2] for row in rows):
        lines.append(own("orders.over", tear=" ".join(figure(told["tear_load"], "N", say))))
    return {"state": "done", "heads": heads(say), "rows": rows, "lines": lines, "wetted": told["wetted"]}
