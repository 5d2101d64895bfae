"""The canvas in ``plan.json``: piece, staples, pull, prime, press."""

from __future__ import annotations

from pydantic import Field

from longpoint.export.plan_rows import RangeRow, Row, mm, range_row
from longpoint.jobs.canvas import CanvasPlan


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
    puts_in: list[str]
    takes_out: list[str]


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
    staples: list[StapleRow]
    runs: list[StapleRunRow]
    leg: float
    pull_without_friction: float = Field(description="At the pliers, N.")
    pull_with_friction: float = Field(description="At the pliers, N; upper bound.")
    pull_words: str
    tension_prestrain: RangeRow = Field(description="N/m.")
    tension_peak: RangeRow = Field(description="N/m.")
    tension_left: RangeRow = Field(description="N/m.")
    press: PressRow | None
    lowest_of_year: RangeRow = Field(description="N/m; estimate.")
    highest_of_year: RangeRow = Field(description="N/m; estimate.")
    primer_litres: dict[str, RangeRow] = Field(description="Estimate.")


def canvas_row(canvas: CanvasPlan) -> CanvasRow:
    """The document's view of a canvas plan."""
    press = canvas.press
    return CanvasRow(
        state=canvas.state,
        raw=canvas.raw,
        fastened=str(canvas.piece.fastened),
        turnover=mm(canvas.piece.turnover),
        staple_line=mm(canvas.piece.staple_line),
        fold=str(canvas.fold.way),
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
            StapleRunRow(number=run.number, puts_in=list(run.puts_in), takes_out=list(run.takes_out))
            for run in canvas.staples.runs
        ],
        leg=mm(canvas.leg),
        pull_without_friction=round(canvas.pull.without_friction, 2),
        pull_with_friction=round(canvas.pull.with_friction, 2),
        pull_words=canvas.pull.words,
        tension_prestrain=range_row(canvas.tensions.prestrain, scale=1000, digits=1),
        tension_peak=range_row(canvas.tensions.peak, scale=1000, digits=1),
        tension_left=range_row(canvas.tensions.left, scale=1000, digits=1),
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
