"""``longpoint press``: where to press a canvas, and what a dip says about its tension."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from longpoint.cli.answer_json import say_json

if TYPE_CHECKING:
    from collections.abc import Iterable

    from longpoint.cli.batch_file import BatchFile
    from longpoint.drawing.words.voice import Voice
    from longpoint.errors import Caution, Fault
    from longpoint.stretching.press import PressAnswer
    from longpoint.stretching.press_place import PressPlan


_INCHES = ("in", '"', "ft", "'")
"""Endings of sizes in inches; the answer is then in inches, too."""

HEAVIEST = 20_000.0
"""Nothing heavier is laid on a canvas. [g] Estimate."""

SLACKEST, TIGHTEST = 5.0, 2000.0
"""Tensions that a canvas may be wished to have. [N/m] Estimate."""

SMALLEST, LARGEST = 5.0, 25_000.0
"""No canvas and no pad is smaller or larger. [mm] Estimate."""

LIGHTEST, DENSEST = 20.0, 5000.0
"""No cloth with its ground is lighter or heavier. [g/m²] Estimate."""


def press(
    batch: Annotated[
        Path | None, typer.Argument(help="Batch file, TOML, with --work; or state the numbers below instead.")
    ] = None,
    work: Annotated[str, typer.Option("--work", help="Name of the work in the batch.")] = "",
    width: Annotated[str, typer.Option(help="Free canvas from lip to lip, across.")] = "",
    height: Annotated[str, typer.Option(help="Free canvas from lip to lip, upwards.")] = "",
    dip: Annotated[
        str,
        typer.Option(
            help="How much lower the pad lies with the mass than without; leave out for a proposal."
        ),
    ] = "",
    mass: Annotated[
        float | None,
        typer.Option(help="What is laid on, pad included, in grams; with a batch otherwise as proposed."),
    ] = None,
    pad: Annotated[str, typer.Option(help="Size of the round pad.")] = "60 mm",
    x: Annotated[
        str, typer.Option(help="Middle of the pad from the left lip; otherwise as proposed, or the middle.")
    ] = "",
    y: Annotated[
        str, typer.Option(help="Middle of the pad from the lower lip; otherwise as proposed, or the middle.")
    ] = "",
    state: Annotated[
        str, typer.Option(help="Cloth as it is now: raw, sized, primed, oil primed; otherwise primed.")
    ] = "",
    cloth_mass: Annotated[
        str, typer.Option(help="Mass of cloth and ground per area; otherwise 600 g/m2.")
    ] = "",
    tension: Annotated[
        float | None, typer.Option(help="Target tension, N/m; otherwise as the batch says, or 200.")
    ] = None,
    gap: Annotated[str, typer.Option(help="Room between canvas and the timber behind it.")] = "",
    upright_rail: Annotated[
        list[str] | None, typer.Option(help="Middle of an upright rail from the left lip; may be repeated.")
    ] = None,
    level_rail: Annotated[
        list[str] | None, typer.Option(help="Middle of a level rail from the lower lip; may be repeated.")
    ] = None,
    by_rule: Annotated[
        bool, typer.Option(help="Rails by the rule of thumb instead of computed, as for plan.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Answer in JSON.")] = False,
) -> None:
    """Press test turned round: from mass and dip to tension; without a dip, where to press and with what."""
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import FaultsError
    from longpoint.units import LengthStyle

    faults: list[Fault] = []
    lengths = {
        "width": width, "height": height, "pad": pad, "x": x, "y": y, "dip": dip, "gap": gap,
    }  # fmt: skip
    read = {key: _length(text, key, faults) for key, text in lengths.items()}
    uprights = [_length(text, "upright-rail", faults) for text in upright_rail or []]
    levels = [_length(text, "level-rail", faults) for text in level_rail or []]
    if mass is not None and not 0 < mass <= HEAVIEST:
        remedy = f"State grams above 0, at most {HEAVIEST:g}."
        faults.append(_fault("mass", f"a mass of {mass:g} g tells nothing.", remedy))
    if tension is not None and not SLACKEST <= tension <= TIGHTEST:
        remedy = f"State {SLACKEST:g} to {TIGHTEST:g}; 200 is usual."
        faults.append(_fault("tension", f"a tension of {tension:g} N/m is no target.", remedy))
    faults += [
        _fault(key, f"{lengths[key]!r} is no size of a canvas or a pad.", "State 5 mm to 25 m.")
        for key in ("width", "height", "pad")
        if (size := read[key]) is not None and not SMALLEST <= size <= LARGEST
    ]
    if batch is not None:
        numbers = {
            "width": width, "height": height, "gap": gap, "state": state, "cloth-mass": cloth_mass,
            "upright-rail": upright_rail, "level-rail": level_rail,
        }  # fmt: skip
        faults += [
            _fault(key, f"--{key} comes from the batch and cannot be stated beside it.", "Leave it out.")
            for key, given in numbers.items()
            if given
        ]
        if not work:
            faults.append(_fault("work", "no work of the batch is named.", "State --work and its name."))
        file = _read_with(batch, work, faults)
        answer = _of_work(file, work, read, mass, tension, by_rule=by_rule)
        style = file.batch.style
    else:
        if work:
            faults.append(_fault("work", "--work names a work of a batch.", "Put the batch file first."))
        faults += [
            _fault(key, f"--{key} is missing.", "State it, or a batch file and --work.")
            for key in ("width", "height")
            if not lengths[key]
        ]
        cloth = _cloth(state or "primed", cloth_mass or "600 g/m2", faults)
        style = LengthStyle("in" if width.strip().endswith(_INCHES) else "mm")
        if dip and mass is None:
            faults.append(
                _fault("mass", "a dip says nothing without the mass that made it.", "State --mass in grams.")
            )
        if faults:
            raise FaultsError(faults)
        answer = (
            _answer(read, mass or 0.0, cloth)
            if read["dip"] is not None
            else _proposal(read, tension or 200.0, mass, cloth, uprights, levels)
        )
    if as_json:
        say_json(answer)
    else:
        _show(answer, voice_of(lengths=style))


def _read_with(batch: Path, work: str, faults: list[Fault]) -> BatchFile:
    """The batch, where nothing is wrong with it or with what was stated beside it."""
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.together import Together
    from longpoint.works.draft import index_of

    given = Together()
    given.faults += faults
    found = given.tried(lambda: read_batch(batch))
    if found is not None and work:
        known = found.batch
        given.tried(lambda: index_of(known, work))
    return given.needed(found)


def _of_work(
    file: BatchFile,
    work: str,
    read: dict[str, float | None],
    mass: float | None,
    tension: float | None,
    *,
    by_rule: bool,
) -> dict[str, Any]:
    """The answer for one work of a batch, on the bay and the cloth that the plan prints."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.progress import progress
    from longpoint.errors import FaultsError
    from longpoint.works.draft import canvas_work

    with progress() as say:
        try:
            found = canvas_work(
                file.batch, work, choose=design_of if by_rule else ComputedChooser(say), say=say
            )
        except FaultsError as error:
            raise FaultsError(file.placed(error.faults)) from None
    bench = found.canvas.bench
    pad = read["pad"] or 0.0
    wished = None if tension is None else tension / 1000
    bears = found.designed.bears
    about: dict[str, Any] = {"work": work, "cloth": bench.state}
    if bears is not None:
        about["bears"] = round(1000 * bears, -1)
    if read["dip"] is None:
        return {**about, **_proposed(bench.proposed(pad=pad, tension=wished, mass=_kilograms(mass)))}
    at, laid = (read["x"], read["y"]), mass
    if None in at or laid is None:
        plan = bench.proposed(pad=pad, tension=wished)
        at = (plan.x if at[0] is None else at[0], plan.y if at[1] is None else at[1])
        laid = 1000 * plan.mass if laid is None else laid
    answer = bench.answer(x=at[0] or 0.0, y=at[1] or 0.0, mass=laid / 1000, pad=pad, deep=read["dip"])
    return {**about, **_answered(answer, at[0] or 0.0, at[1] or 0.0, laid)}


def _fault(key: str, what: str, remedy: str) -> Fault:
    from longpoint.errors import Fault, Where

    return Fault("press-input", what, remedy, Where(f"--{key}"))


def _kilograms(mass: float | None) -> float | None:
    return None if mass is None else mass / 1000


def _length(text: str, key: str, faults: list[Fault]) -> float | None:
    """A length as written, None where nothing was; what cannot be read is added to the faults. [mm]"""
    from longpoint.units import QuantityError, parse_length

    if not text:
        return None
    try:
        length = float(parse_length(text))
    except QuantityError as error:
        what, _, remedy = str(error).partition("; ")
        faults.append(_fault(key, f"{what}.", f"{remedy[:1].upper()}{remedy[1:]}." if remedy else ""))
        return None
    if length > LARGEST:
        faults.append(_fault(key, f"{text!r} is further than any canvas.", "State at most 25 m."))
        return None
    return length


def _cloth(state: str, cloth_mass: str, faults: list[Fault]) -> Any:
    """The cloth in its state, None if it cannot be read."""
    from longpoint.errors import FaultsError, Where
    from longpoint.strength.membrane.solve import Cloth
    from longpoint.tables.canvas import cloth_state
    from longpoint.units import QuantityError, parse_area_mass

    mass, row = 0.0, None
    try:
        given = parse_area_mass(cloth_mass)
        if not LIGHTEST <= given <= DENSEST:
            what = f"{cloth_mass!r} is no mass of cloth and its ground."
            faults.append(
                _fault("cloth-mass", what, f"State {LIGHTEST:g} to {DENSEST:g} g/m2; 600 is usual.")
            )
        mass = given * 1e-9  # g/m² to kg/mm²
    except QuantityError as error:
        faults.append(_fault("cloth-mass", f"{error}.", ""))
    try:
        row = cloth_state(state, where=Where("--state"))
    except FaultsError as error:
        faults.extend(error.faults)
    if row is None:
        return None
    return Cloth(
        warp_stiffness=row.warp,
        weft_stiffness=row.weft,
        poisson_warp=row.poisson_warp,
        shear_stiffness=row.shear,
        areal_mass=mass,
    )


def _answer(read: dict[str, float | None], mass: float, cloth: Any) -> dict[str, Any]:
    from longpoint.stretching.press import Press, press_answer

    laid = Press(
        width=read["width"] or 0.0,
        height=read["height"] or 0.0,
        x=read["x"],
        y=read["y"],
        mass=mass / 1000,
        pad=read["pad"] or 0.0,
        cloth=cloth,
    )
    answer = press_answer(laid, deep=read["dip"] or 0.0, gap=read["gap"])
    return _answered(answer, *laid.place, mass)


def _answered(answer: PressAnswer, x: float, y: float, mass: float) -> dict[str, Any]:
    return {
        "x": round(x, 1),
        "y": round(y, 1),
        "mass": round(mass, 1),
        "tension": round(answer.tension * 1000, 1),
        "from": round(answer.low * 1000, 1),
        "to": round(answer.high * 1000, 1),
        "unit": "N/m",
        "verdict": answer.verdict,
        "sure": answer.sure,
        "hangs": round(answer.sag, 2),
        "advice": answer.advice,
        "mind": _said(answer.cautions),
    }


def _proposal(
    read: dict[str, float | None],
    tension: float,
    mass: float | None,
    cloth: Any,
    uprights: list[float | None],
    levels: list[float | None],
) -> dict[str, Any]:
    from longpoint.stretching.press_place import MASSES, propose_press

    rail = 20.0  # seen from the front, standing on edge: common practice, no published source
    plan = propose_press(
        width=read["width"] or 0.0,
        height=read["height"] or 0.0,
        cloth=cloth,
        tension=tension / 1000,
        upright_rails=[(at, rail) for at in uprights if at is not None],
        level_rails=[(at, rail) for at in levels if at is not None],
        bar=rail,
        gap=read["gap"],
        pad=read["pad"] or 0.0,
        masses=MASSES if mass is None else (mass / 1000,),
    )
    return _proposed(plan)


def _proposed(plan: PressPlan) -> dict[str, Any]:
    return {
        "x": round(plan.x, 1),
        "y": round(plan.y, 1),
        "mass": round(plan.mass * 1000),
        "pad": plan.pad,
        "clear": round(plan.clear, 1),
        "expected": [
            {"tension": round(value * 1000), "dip": round(deep, 4)} for value, deep in plan.expected
        ],
        "mind": _said(plan.cautions),
    }


def _said(cautions: Iterable[Caution]) -> list[str]:
    from longpoint.drawing.words.own_words import sentence_of
    from longpoint.drawing.words.voice import voice_of

    return [sentence_of(caution, voice_of()) for caution in cautions]


def _gate(answer: dict[str, Any]) -> str:
    """What frame and joints bear, and what to do where the reading is or may be beyond it."""
    bears = f"Frame and joints of this work bear {answer['bears']:.0f} N/m"
    if answer["tension"] > answer["bears"]:
        return f"{bears}: this is more. Lift staples at the middles of all sides now and let it ease."
    if answer["to"] > answer["bears"]:
        return f"{bears}; the range reaches beyond it: press again with more laid on before you trust it."
    return f"{bears}: it is within that."


def _show(answer: dict[str, Any], say: Voice) -> None:
    """The answer in the units of the batch, or of the sizes stated: pounds behind every figure for inches."""
    from longpoint.cli.speaking import answers, say_cautions
    from longpoint.drawing.words.pounds import with_pounds
    from longpoint.errors import Caution

    left, below = (say.length(answer[key], unit=True) for key in ("x", "y"))
    lines = []
    if "work" in answer:
        lines.append(f"{answer['work']}, {answer['cloth']}:")
    if "verdict" in answer:
        lines.append(f"{answer['mass']:g} g at {left} from the left and {below} from below.")
        sure = "" if answer["sure"] else " (the range reaches beyond that)"
        lines.append(
            f"Tension {answer['tension']:.0f} N/m, from {answer['from']:.0f} to {answer['to']:.0f} N/m: "
            f"{answer['verdict']}{sure}."
        )
        lines.append(answer["advice"])
        if "bears" in answer:
            lines.append(_gate(answer))
    else:
        pad, clear = (say.length(answer[key], unit=True) for key in ("pad", "clear"))
        lines.append("Lay the work flat, canvas up, on blocks under its bars.")
        lines.append(
            f"Press {left} from the left lip and {below} from the lower lip: {clear} clear of timber."
        )
        lines.append(f"Lay {answer['mass']:.0f} g, pad included, on a round pad of {pad}.")
        lines.extend(
            f"  at {row['tension']:.0f} N/m it dips {say.small(row['dip'])} {say.unit}"
            for row in answer["expected"]
        )
    console = answers()
    for line in lines:
        console.print(with_pounds(line, say), markup=False)
    say_cautions((Caution("press", what=with_pounds(text, say)) for text in answer["mind"]), say)
