"""One work for its pages: drawings, verdicts with remedies, other designs, parts in space, steps, stapling."""

from __future__ import annotations

from typing import Any

from longpoint.choosing.answer import Other, WorkStrength
from longpoint.drawing.paper.pages import Paper
from longpoint.drawing.sheets.build_pages import joint_page, step_words
from longpoint.drawing.sheets.rehearsed_page import left_lines
from longpoint.drawing.sheets.staple_pages import share_words
from longpoint.drawing.views.build import step_view
from longpoint.drawing.views.frame import back_view, front_view
from longpoint.drawing.views.section import section_view
from longpoint.drawing.views.strength import movement_view, tension_view
from longpoint.drawing.words.choice import reason_words
from longpoint.drawing.words.members import member_words
from longpoint.drawing.words.own_words import order_words
from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.strength import (
    design_words,
    limit_words,
    price_words,
    remedy_words,
    verdict_name,
    verdict_sentence,
)
from longpoint.drawing.words.voice import Voice
from longpoint.export.packs.answer_of import answer_of
from longpoint.export.packs.pack_of import canvas_sheet
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import derive_frame
from longpoint.jobs.plan import Plan
from longpoint.needs.planned import PlannedWork
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.units import N_PER_METRE
from longpoint.web.told.blocks import picture, told_page

_ROOM = (150.0, 110.0)


def told_work(plan: Plan, work: PlannedWork, say: Voice, paper: Paper) -> dict[str, Any]:
    """A work as plain values.

    Args:
        plan: The plan.
        work: The work.
        say: How the page speaks.
        paper: The sheet that joints are drawn for.
    """
    design, name = work.designed.design, work.name
    strength = work.strength
    answer = answer_of(work, say, currency=plan.batch.currency)
    views = {
        "front": picture(front_view(work.frame, say=say, room=_ROOM), name),
        "back": picture(back_view(work.frame, work.parts, say=say, room=_ROOM), name),
        "section": picture(section_view(work.frame, say=say, room=(130.0, 110.0)), name),
    }
    if strength is not None:
        likely = strength.cases.likely
        views["movement"] = picture(movement_view(work.frame, likely, say=say, room=_ROOM), name)
        size = {"width": float(design.width), "height": float(design.height)}
        views["tension"] = picture(
            tension_view(strength.cases.likely.tension, **size, say=say, room=_ROOM), name
        )
    return {
        "code": work.code,
        "name": name,
        "index": work.index,
        "how_many": work.how_many,
        "notes": work.notes,
        "face": say.face(design.width, design.height),
        "design": design_words(design, say),
        "mass": say.mass(work.mass, unit=True),
        "cloth": say.face(work.piece.width, work.piece.height),
        "reason": reason_words(work.designed, plan.batch, plan.batch.work[work.index], say),
        "answer": {"holds": "holds", "holds-unless": "unless", "holds-not": "not"}.get(answer.status, ""),
        "line": answer.line,
        "views": views,
        "verdicts": [] if strength is None else _verdicts(work, strength, plan, say),
        "others": [] if strength is None else _others(work, strength, plan, say),
        "parts": [
            [part.mark, say.part(part.long_point, unit=True), str(part.how_many)] for part in work.parts
        ],
        "space": _space(work, say),
        "rails": _rails(work, say),
        "steps": _steps(work, say),
        "joints": told_page(
            joint_page(work.frame, work.build, name=name, about=(name,), say=say, paper=paper)
        ),
        "square": {
            "length": say.length(design.width, unit=True),
            "height": say.length(design.height, unit=True),
            "diagonal": say.length((float(design.width) ** 2 + float(design.height) ** 2) ** 0.5, unit=True),
        },
        "stapling": _stapling(work, say),
        "inside": [
            {"mark": part.mark, "count": part.per_work, "planned": say.fine(part.long_point, unit=True)}
            for part in work.parts
            if part.measured
        ],
        "press": _press(work, say),
        "roll": work.cloth.roll.name if work.cloth.rolls else "",
        "raw": work.canvas.raw,
    }


def _press(work: PlannedWork, say: Voice) -> dict[str, Any] | None:
    """Where to press, with what, and what to expect; None where no bay takes the pad."""
    plan = work.canvas.press
    if plan is None:
        return None
    return {
        "x": say.length(plan.x, unit=True),
        "y": say.length(plan.y, unit=True),
        "mass": with_pounds(f"{1000 * plan.mass:.0f} g", say),
        "grams": f"{1000 * plan.mass:.0f}",
        "pad": say.length(plan.pad, unit=True),
        "expected": [
            [with_pounds(f"{N_PER_METRE * tension:.0f} N/m", say), f"{say.small(dip)} {say.unit}"]
            for tension, dip in plan.expected
        ],
    }


def _verdicts(work: PlannedWork, strength: WorkStrength, plan: Plan, say: Voice) -> list[dict[str, Any]]:
    found = []
    for verdict in strength.verdicts:
        remedy = verdict.remedy
        found.append(
            {
                "key": verdict.key,
                "name": verdict_name(verdict, say),
                "answer": verdict.answer or "",
                "says": verdict_sentence(verdict, say),
                "held": limit_words(verdict, say) if verdict.limit is not None else "",
                "use": min(verdict.use, 9.99),
                "remedy": ""
                if remedy is None
                else remedy_words(remedy, verdict, say, currency=plan.batch.currency),
                "apply": _apply(verdict, work),
            }
        )
    rank = {"not": 0, "unless": 1, "holds": 2, "": 3}
    return sorted(found, key=lambda one: rank[one["answer"]])


def _apply(verdict: Verdict, work: PlannedWork) -> dict[str, str]:
    """What a remedy changes in the batch file, by key of the work; {} where a person has to decide."""
    if verdict.remedy is None:
        return {}
    numbers = dict(verdict.remedy.numbers)
    changes: dict[str, str] = {}
    for what in verdict.remedy.what:
        made = _changes(what, numbers, work)
        if made is None:
            return {}
        changes |= made
    return changes


def _changes(what: str, numbers: dict[str, float], work: PlannedWork) -> dict[str, str] | None:
    design = work.designed.design
    word, _, detail = what.partition(":")
    if word.startswith("cross-rail"):
        more = word.removeprefix("cross-rail").removeprefix("-")
        return {"inside.cross_rails": str(len(design.cross_rails) + (int(more) if more.isdigit() else 1))}
    if word == "end-rails":
        sides = set(detail.split("+"))
        if sides == {"left", "right", "bottom", "top"}:
            return {"inside.end_rails": "all"}
        short = {"left", "right"} if design.long_axis == "x" else {"bottom", "top"}
        return {"inside.end_rails": "short sides"} if sides == short else None
    plain = {
        "middle-pieces": ("inside.middle_pieces", "true"),
        "bevel": ("bars.bevel", f"{numbers.get('fall', 0):g} mm"),
        "drop": ("inside.drop", f"{numbers.get('drop', 0):g} mm"),
        "deeper-bars": ("bars.depth", f"{numbers.get('depth', 0):g} mm"),
        "thicker-bars": ("bars.thickness", f"{numbers.get('thickness', 0):g} mm"),
    }
    return dict([plain[word]]) if word in plain else None


def _others(work: PlannedWork, strength: WorkStrength, plan: Plan, say: Voice) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    listed: list[tuple[Other, str]] = [(other, "") for other in strength.unbeaten]
    if strength.would_hold is not None:
        listed.append((strength.would_hold, "bought"))
    for other, kind in listed:
        design = other.option.design
        if design == work.designed.design:
            continue
        view = back_view(derive_frame(design), say=say, room=(130.0, 100.0))
        inside = {"inside.cross_rails": str(len(design.cross_rails)), **_stated(design)}
        found.append(
            {
                "kind": kind,
                "design": design_words(design, say),
                "price": price_words(other.more, other.timber, say, currency=plan.batch.currency),
                "mass": say.mass(other.mass, unit=True),
                "pulled_in": say.small(other.pulled_in)
                + f" {'in' if say.lengths.system == 'in' else say.unit}",
                "passes": other.passes,
                "svg": picture(view, design_words(design, say)),
                "apply": inside,
            }
        )
    return found[:4]


def _space(work: PlannedWork, say: Voice) -> dict[str, Any]:
    """Members as the scene wants them, in mm, with the step that puts each in its place."""
    placed: dict[str, int] = {}
    for step in work.build.steps:
        for name in step.in_place:
            placed.setdefault(name, step.number)
    last = len(work.build.steps)
    members = []
    for member in work.frame.members:
        part = next((part.mark for part in work.parts if member.name in part.members), "")
        members.append(
            {
                "name": member_words(member.name, say),
                "mark": part,
                "kind": member.kind.value,
                "axis": member.axis,
                "start": float(member.start),
                "stop": float(member.stop),
                "low": float(member.low),
                "high": float(member.high),
                "back": float(member.back),
                "front": float(member.front),
                "step": placed.get(member.name, last),
            }
        )
    design = work.designed.design
    return {
        "width": float(design.width),
        "height": float(design.height),
        "depth": float(design.bar_depth),
        "bevel": float(design.bevel_fall) if not isinstance(design.bevel_fall, float) else 0.0,
        "mitred": "mitre" in design.corner,
        "members": members,
        "steps": last,
    }


def _rails(work: PlannedWork, say: Voice) -> dict[str, Any]:
    """Where cross rails lie and how far one may be moved, in mm."""
    design = work.designed.design
    return {
        "at": [round(float(at), 1) for at in design.cross_rails],
        "shown": [say.length(at, unit=True) for at in design.cross_rails],
        "long": float(design.length),
        "least": float(design.bar_thickness) + float(design.rail_thickness),
        "axis": design.long_axis,
        "step": 5 if say.lengths.system != "in" else 6.35,
        "stated": _stated(design),
    }


def _stated(design: FrameDesign) -> dict[str, str]:
    """A design but for the places of its cross rails, by key of the work in the batch file."""
    short = {"left", "right"} if design.long_axis == "x" else {"bottom", "top"}
    ends = set(design.end_rails)
    found = {
        "bars.thickness": f"{float(design.bar_thickness):g} mm",
        "bars.depth": f"{float(design.bar_depth):g} mm",
        "bars.corner": design.corner,
        "inside.middle_pieces": "true" if design.middle_pieces else "false",
    }
    if not ends:
        found["inside.end_rails"] = "none"
    elif len(ends) == 4:
        found["inside.end_rails"] = "all"
    elif ends == short:
        found["inside.end_rails"] = "short sides"
    if design.has_rails:
        found["inside.thickness"] = f"{float(design.rail_thickness):g} mm"
        found["inside.depth"] = f"{float(design.rail_depth):g} mm"
        found["inside.stand"] = "flat" if design.rail_thickness > design.rail_depth else "on edge"
    return found


def _steps(work: PlannedWork, say: Voice) -> list[dict[str, Any]]:
    fixings = {fixing.name: fixing for joint in work.build.joints for fixing in joint.fixings}
    bolts = {bolt.name: bolt for joint in work.build.joints for bolt in joint.bolts}
    found = []
    for step in work.build.steps:
        own = [fixings[name] for name in step.screws if name in fixings]
        words = step_words(step, own, say)
        view = step_view(work.frame, step, [*own, *(bolts[name] for name in step.bolts)], size=(90.0, 62.0))
        found.append(
            {
                "number": step.number,
                "key": step.key,
                "title": say("build.half", half=step.half, title=words.title) if step.half else words.title,
                "do": list(words.do),
                "measure": words.measure,
                "check": words.check,
                "caution": words.caution,
                "meanwhile": words.meanwhile,
                "stamp": say(f"stamp.{step.lies.lower().replace(' ', '-')}"),
                "lies": step.lies,
                "clock": None
                if step.clock is None
                else {
                    "open": step.clock.open_minutes,
                    "needs": round(step.clock.minutes, 1),
                    "until": say(f"step.until.{step.clock.until}"),
                },
                "minutes": round(step.minutes),
                "people": step.people,
                "svg": picture(view, words.title),
            }
        )
    return found


def _stapling(work: PlannedWork, say: Voice) -> dict[str, Any]:
    canvas = work.canvas
    staples = canvas.staples
    sheet = canvas_sheet(work)
    by_label = {staple.label: staple for staple in staples.staples}
    runs = []
    for run in staples.runs:
        spots = []
        for label in run.puts_in:
            staple = by_label[label]
            x, y = staples.place(staple)
            spots.append([label, round(staples.face_width - float(x), 1), round(float(y), 1)])
        shares = list(
            dict.fromkeys(share_words(by_label[x].pull, say) for x in run.puts_in if by_label[x].pull > 0)
        )
        kind = (
            "holding"
            if run.puts_in and all(label.startswith("H") for label in run.puts_in)
            else "fold"
            if run.puts_in and all(label.startswith("F") for label in run.puts_in)
            else "edge"
        )
        runs.append(
            {
                "number": run.number,
                "side": run.side,
                "side_words": say(f"side.{run.side}"),
                "kind": kind,
                "staples": spots,
                "out": [label for label in run.takes_out if label not in run.puts_in],
                "firm": say("canvas.then").join(shares)
                if shares
                else say(
                    "canvas.holding"
                    if kind == "holding"
                    else "canvas.fold-closed"
                    if kind == "fold"
                    else "canvas.laid-in"
                ),
            }
        )
    return {
        "order": order_words(canvas.stapling.order.name, say),
        "face": [staples.face_width, staples.face_height],
        "runs": runs,
        "count": staples.driven,
        "leaves": list(left_lines([sheet], say)),
        "rehearsed": work.rehearsed is not None,
    }
