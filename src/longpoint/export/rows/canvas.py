"""The canvas in ``plan.json``: piece, staples, pull, prime, press."""

from __future__ import annotations

from pydantic import Field

from longpoint.export.rows.row import RangeRow, Row, mm, range_row
from longpoint.stretching.rehearsal.edge import SIDES
from longpoint.works.canvas import CanvasPlan
from longpoint.works.printed_order import PrintedRehearsal


class StapleRow(Row):
    """One staple; its side, and where along it from the left or lower end."""

    label: str
    use: str
    side: str
    along: float
    across: float = Field(description="From the face edge along the cloth, mm.")
    pull: float = Field(description="Share of the full pull.")
    run: int


class StapleRunRow(Row):
    """A short row of staples put in before turning to the next side."""

    number: int
    side: str
    puts_in: list[str]
    takes_out: list[str]
    pull: float = Field(description="Least share of the full pull in the run.")
    firmness: str


class StateRow(Row):
    """The canvas at one time of the rehearsal."""

    when: str = Field(description="stapled, settled, likely, least or most.")
    level: float = Field(description="Mean tension from left to right, N/m.")
    upright: float = Field(description="Mean tension from bottom to top, N/m.")
    spread: float = Field(description="Standard deviation of window means over their mean.")
    lowest: float = Field(description="Lowest window mean of either direction, N/m.")
    highest: float = Field(description="Highest, N/m.")
    corner_mean: float = Field(description="Mean within 150 mm of the corners, N/m.")
    slack: float = Field(description="Part of the windows that are more slack than taut.")
    staple: float = Field(description="Greatest load on a staple up to then, N.")


class RehearsedRow(Row):
    """What the printed order leaves on the work's own frame, rehearsed; estimate throughout."""

    level: float = Field(description="Mean tension from left to right, settled, N/m.")
    upright: float = Field(description="Mean tension from bottom to top, settled, N/m.")
    wished: float = Field(description="N/m.")
    spread: float = Field(description="Standard deviation of window means over their mean.")
    lowest: float = Field(description="Lowest window mean of either direction, N/m.")
    highest: float = Field(description="Highest, N/m.")
    corner_lowest: float = Field(description="Lowest within 150 mm of the corners, N/m.")
    corner_highest: float = Field(description="Highest there, N/m.")
    corner_mean: float = Field(description="Mean there, N/m.")
    slack: float = Field(description="Part of the windows that are more slack than taut.")
    threads_bent: float = Field(description="How far straight threads are bent, the most, mm.")
    bars_drawn_in: dict[str, float] = Field(description="By side, settled, mm.")
    bar_drawn_in_peak: float = Field(description="Most at any step, mm.")
    staple_peak: float = Field(description="Greatest load on a staple, while stapling or after it, N.")
    staple_peak_over_tear: float = Field(description="That load over what cloth may bear there.")
    force: float = Field(description="Full pull at the pliers, N.")
    only_snug: bool = Field(
        description="Whether the cloth is pulled only snug because water will tighten it; figures are then those "
        "likely once size or primer is dry."
    )
    states: list[StateRow] = Field(
        description="As stapled, then settled; where water tightens the cloth, once dry: likely, at least, at most."
    )
    elements: list[int] = Field(description="Columns and rows of the grid.")


class PressRow(Row):
    """Where to press, with what, and what to expect."""

    x: float
    y: float
    mass: float = Field(description="kg.")
    pad: float = Field(description="mm.")
    expected: list[list[float]] = Field(description="Pairs of tension [N/m] and dip [mm].")


class CanvasRow(Row):
    """How one canvas goes on."""

    state: str
    raw: bool
    fastened: str
    turnover: float
    staple_line: float
    fold: str
    order: str = Field(description="In which order it is stapled.")
    staples: list[StapleRow]
    runs: list[StapleRunRow]
    rehearsed: RehearsedRow | None = Field(description="None where the order was not rehearsed.")
    leg: float
    pull_without_friction: float = Field(description="At the pliers, N.")
    pull_with_friction: float = Field(description="At the pliers, N; upper bound.")
    pull_words: str
    tension_prestrain: RangeRow = Field(description="Pulled to the wish, on a frame that does not give, N/m.")
    tension_peak: RangeRow = Field(description="With the last staple in, N/m.")
    tension_left: RangeRow = Field(description="On the finished canvas, N/m.")
    press: PressRow | None
    lowest_of_year: RangeRow = Field(description="N/m; estimate.")
    highest_of_year: RangeRow = Field(description="N/m; estimate.")
    primer_litres: dict[str, RangeRow] = Field(description="Estimate.")


def canvas_row(canvas: CanvasPlan, rehearsed: PrintedRehearsal | None = None) -> CanvasRow:
    """The document's view of a canvas plan.

    Args:
        canvas: How one canvas goes on.
        rehearsed: What its printed order leaves; None where it was not rehearsed.
    """
    press = canvas.press
    return CanvasRow(
        state=canvas.state,
        raw=canvas.raw,
        fastened=str(canvas.piece.fastened),
        turnover=mm(canvas.piece.turnover),
        staple_line=mm(canvas.piece.staple_line),
        fold=str(canvas.fold.way),
        order=canvas.stapling.order.name,
        staples=[
            StapleRow(
                label=staple.label,
                use=str(staple.use),
                side=staple.side,
                along=mm(staple.along),
                across=mm(staple.across),
                pull=round(staple.pull, 4),
                run=staple.run,
            )
            for staple in canvas.staples.staples
        ],
        runs=[
            StapleRunRow(
                number=run.number,
                side=run.side,
                puts_in=list(run.puts_in),
                takes_out=list(run.takes_out),
                pull=round(run.pull, 4),
                firmness=run.firmness,
            )
            for run in canvas.staples.runs
        ],
        rehearsed=None if rehearsed is None else _rehearsed_row(rehearsed),
        leg=mm(canvas.leg),
        pull_without_friction=round(canvas.pull.without_friction, 2),
        pull_with_friction=round(canvas.pull.with_friction, 2),
        pull_words=canvas.pull.words,
        tension_prestrain=range_row(canvas.tensions.prestrain, scale=1000, digits=1),
        tension_peak=range_row(canvas.story.at("stapled"), scale=1000, digits=1),
        tension_left=range_row(canvas.story.left, scale=1000, digits=1),
        press=None
        if press is None
        else PressRow(
            x=mm(press.x),
            y=mm(press.y),
            mass=press.mass,
            pad=press.pad,
            expected=[[round(tension * 1000, 1), round(dip, 2)] for tension, dip in press.expected],
        ),
        lowest_of_year=range_row(canvas.year.lowest, scale=1000, digits=1),
        highest_of_year=range_row(canvas.year.highest, scale=1000, digits=1),
        primer_litres={}
        if canvas.priming is None
        else {amount.name: range_row(amount.litres, digits=3) for amount in canvas.priming.amounts},
    )


def _rehearsed_row(found: PrintedRehearsal) -> RehearsedRow:
    row = found.figures

    def per_metre(tension: float) -> float:
        return round(1000 * tension, 1)

    return RehearsedRow(
        level=per_metre(row.mean_level),
        upright=per_metre(row.mean_upright),
        wished=per_metre(found.wished),
        spread=round(row.spread, 3),
        lowest=per_metre(row.lowest),
        highest=per_metre(row.highest),
        corner_lowest=per_metre(row.corner_lowest),
        corner_highest=per_metre(row.corner_highest),
        corner_mean=per_metre(row.corner_mean),
        slack=round(row.slack, 3),
        threads_bent=round(row.bent, 1),
        bars_drawn_in={side: round(by, 2) + 0.0 for side, by in zip(SIDES, found.pulled_in, strict=True)},
        bar_drawn_in_peak=round(row.pulled_in_peak, 2),
        staple_peak=round(row.peak_load, 1),
        staple_peak_over_tear=round(row.tear, 2),
        force=round(found.force, 1),
        only_snug=found.wetted,
        states=[
            StateRow(
                when=state.when,
                level=per_metre(state.level),
                upright=per_metre(state.upright),
                spread=round(state.spread, 3),
                lowest=per_metre(state.lowest),
                highest=per_metre(state.highest),
                corner_mean=per_metre(state.corner_mean),
                slack=round(state.slack, 3),
                staple=round(state.staple, 1),
            )
            for state in found.states
        ],
        elements=list(found.elements),
    )
