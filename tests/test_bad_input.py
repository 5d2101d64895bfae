"""Every kind of bad input gets one clear message; the table in docs/reference/bad-input.md is made here.

``LONGPOINT_WRITE_DOCS=1`` writes the table; otherwise the test compares it with what is said now.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from functools import cache
from pathlib import Path

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.cli.batch_file import read_batch
from longpoint.cli.writing import check_folder, read_bytes
from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import Fault, FaultsError
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch, read_batch_text

pytestmark = pytest.mark.xdist_group(
    "bad-input"
)  # the table plans again what the rows plan: one process keeps it

TABLE = Path(__file__).parents[1] / "docs" / "reference" / "bad-input.md"

WORK = '[[work]]\nname = "Reeds"\nwidth = 1000\nheight = 700\n'
YARD = """
[[yard]]
name = "redwood"
thickness = 21
depth = 44
serves = ["bars"]
per_metre = 2.5
lengths = [1200, 2400]
[[yard]]
name = "rail wood"
thickness = 21
depth = 28
serves = ["rails"]
per_metre = 1.6
lengths = [2400]
"""
AS_STATED = "as_stated = true\n"
WAY = """[[way]]
name = "Out"
works = ["Reeds"]
[[way.obstacle]]
kind = "stairs"
width = 900
headroom = 2000
rise = 180
going = 250
"""
WALL = '[[wall]]\nname = "East"\nworks = ["Reeds"]\nwidth = 3000\n'
RACK = '[[rack]]\nname = "R1"\nthickness = 21\ndepth = 44\nlength = 1000\n'


def _sized(width: float, height: float) -> str:
    return f'[[work]]\nname = "Reeds"\nwidth = {width}\nheight = {height}\n'


def _timber(thickness: float, depth: float, lengths: str) -> str:
    return f'[[yard]]\nname = "strip"\nthickness = {thickness}\ndepth = {depth}\nlengths = {lengths}\n'


WORK_IN = '[[work]]\nname = "Reeds"\nwidth = 48\nheight = 36\n'
ONE_BY_TWO = '[[yard]]\nname = "1x2"\nlengths = ["8 ft"]\n'

PLANNED: list[tuple[str, str]] = [
    ("inches, one 1x2 for everything", 'unit = "in"\n' + WORK_IN + ONE_BY_TWO),
    ("metres, one planed 18 × 44", 'unit = "m"\n' + _sized(1.7, 1.2) + _timber(0.018, 0.044, "[2.4, 3.6]")),
    ("millimetres, one 21 × 70", _sized(1500, 1500) + _timber(21, 70, "[2400, 3600]")),
    (
        "centimetres, a lath 24 × 48, depth not said",
        'unit = "cm"\n' + _sized(90, 70) + _timber(2.4, 4.8, "[240]"),
    ),
    ("inches, bars flat, depth not said", 'unit = "in"\n[bars]\nstand = "flat"\n' + WORK_IN + ONE_BY_TWO),
    (
        "bars 38 deep, rails 19 × 25 stated",
        "[bars]\ndepth = 38\n[inside]\nthickness = 19\ndepth = 25\n" + _sized(900, 700),
    ),
    (
        "bars and end rails 19 thick, no screws stated",
        '[bars]\nthickness = 19\n[inside]\nthickness = 19\nend_rails = "short sides"\n' + _sized(900, 700),
    ),
    ("inches, nothing stated", 'unit = "in"\n' + WORK_IN),
    (
        "a class: twelve of 20 × 16 in, Letter",
        'unit = "in"\npaper = "Letter"\n'
        + WORK_IN.replace("48", "20").replace("36", "16")
        + "how_many = 12\n"
        + ONE_BY_TWO
        + '[[roll]]\nname = "duck"\nwidth = 60\n',
    ),
    ("18 × 94 and a saw of which nothing is said", _sized(900, 700) + _timber(18, 94, "[2400]")),
    (
        "a roll too narrow, screws too short",
        _sized(1600, 1500)
        + _timber(21, 44, "[3600]")
        + '[[roll]]\nname = "duck"\nwidth = 1400\n[[screw]]\ndiameter = 4\nlength = 30\n',
    ),
    (
        "six students, one 1x2 for bars and rails",
        'unit = "in"\n[inside]\ncross_rails = 1\n'
        + WORK_IN.replace("48", "24").replace("36", "18")
        + "how_many = 6\n"
        + ONE_BY_TWO,
    ),
    ("a section that is not on sale", "[bars]\ndepth = 60\nthickness = 30\n" + WORK + YARD),
    ("a bar longer than every board, not to be joined", '[bars]\njoin = "none"\n' + _sized(2600, 700) + YARD),
    (
        "six boards and no more",
        _sized(1400, 1000) + "how_many = 3\n" + _timber(21, 44, "[{ length = 2400, how_many = 6 }]"),
    ),
    (
        "bars flat and too shallow for the rails asked for",
        '[bars]\nstand = "flat"\n[inside]\ncross_rails = 1\n' + _sized(900, 700) + _timber(21, 70, "[2400]"),
    ),
]
"""Ordinary batches that are planned, whatever they leave out: what is made of them stands in the table."""

CASES: list[tuple[str, str | bytes, set[str]]] = [
    ("a key that is not known", 'titel = "Show"\n' + WORK, {"unknown-key"}),
    ("a key that is missing", '[[work]]\nname = "Reeds"\nwidth = 1000\n', {"key-missing"}),
    ("no work at all", 'title = "Show"\n', {"no-work"}),
    ("a unit that is not known", 'unit = "yards"\n' + WORK, {"bad-word"}),
    ("a unit behind a number that is not known", WORK.replace("1000", '"3 ells"'), {"bad-quantity"}),
    ("a length that could be read two ways", WORK.replace("1000", '"1,000"'), {"bad-quantity"}),
    ("the name of a section as a length", WORK + '[bars]\ndepth = "2x4"\n', {"bad-quantity"}),
    ("a word that is not known", '[bars]\ncorner = "mitred"\n' + WORK, {"bad-word"}),
    ("a name used twice", WORK + WORK, {"name-twice"}),
    (
        "a set that names no work",
        WORK + '[[set]]\nname = "Two"\nmembers = ["Reeds", "Reed"]\n',
        {"unknown-name"},
    ),
    (
        "a margin and a markup",
        WORK + "[shop.rates]\nmargin = 0.3\nmarkup = 0.3\n",
        {"margin-and-markup"},
    ),
    (
        "a tax of more than everything, a negative rate, prices by area and by width + height",
        WORK
        + "[shop.rates]\nper_hour = -20\n[price]\ntax = 1.9\nper_cm = 3\nper_square_metre = 400\nround_to = 0\n",
        {"bad-value", "priced-twice", "rounds-to-nothing"},
    ),
    (
        "a discount for more that is smaller",
        WORK
        + "[[price.several]]\npieces = 5\ndiscount = 0.1\n[[price.several]]\npieces = 9\ndiscount = 0.05\n",
        {"discounts-turned-round"},
    ),
    (
        "packing for no work, twice for another, a divisor of 0",
        WORK
        + '[[packing]]\nname = "Out"\nworks = ["Reed"]\ndivisor = 0\n[[packing]]\nname = "Home"\nworks = ["Reeds"]\n'
        + '[[packing]]\nname = "Again"\n',
        {"bad-value", "unknown-name", "packed-twice"},
    ),
    (
        "a wire shorter than between its hangers, hangers below the middle",
        WORK + "[hanger]\nwire = 800\nbelow_top = 400\n",
        {"wire-too-short", "hanger-outside"},
    ),
    ("a negative price", WORK + YARD.replace("2.5", "-2.5"), {"bad-price"}),
    ("a missing price", WORK + YARD.replace("per_metre = 1.6\n", ""), {"price-missing"}),
    ("a face smaller than two bars", WORK.replace("700", "40"), {"face-too-small"}),
    ("a rail as deep as the bar, as stated", AS_STATED + "[inside]\ndepth = 44\n" + WORK, {"rail-too-deep"}),
    (
        "a rail wider than its bay",
        "[inside]\ncross_rails = 30\n" + WORK,
        {"bay-too-narrow"},
    ),
    ("a bevel that leaves no wood", "[bars]\nbevel = 44\n" + WORK, {"bevel-leaves-no-wood"}),
    (
        "bars thicker and higher than the saw mitres",
        "[shop.saw]\nwidth_at_45 = 20\nheight_at_45 = 40\n" + WORK,
        {"saw-too-small"},
    ),
    (
        "no timber of the section, as stated",
        AS_STATED + "[bars]\ndepth = 60\nthickness = 30\n" + WORK + YARD,
        {"no-timber-for-bars"},
    ),
    (
        "a bar that six boards cannot make, as stated",
        AS_STATED
        + '[bars]\njoin = "scarf"\n[inside]\nmiddle_pieces = false\n'
        + WORK.replace("1000", '"9 m"')
        + YARD.replace("2400", "1500"),
        {"boards-too-short"},
    ),
    (
        "a join that finds no place clear of rails, as stated",
        AS_STATED
        + '[bars]\njoin = "half-lap with plate"\n[inside]\ncross_rails = 9\n'
        + WORK.replace("1000", "4000")
        + YARD,
        {"no-place-for-join"},
    ),
    (
        "bars glued from two boards, lying flat",
        '[bars]\nglued_from = 2\nstand = "flat"\n' + WORK + YARD,
        {"glued-bars"},
    ),
    (
        "two halves with an end rail and a crossing in the way",
        '[inside]\nin_halves = true\nend_rails = "all"\ncrossing = "halved"\nmiddle_pieces = true\n'
        + WORK
        + YARD,
        {"end-rail-over-seam", "halved-over-seam"},
    ),
    (
        "two halves with no room for the seam",
        "[inside]\nin_halves = true\ncross_rails = 7\nmiddle_pieces = false\n" + WORK + YARD,
        {"no-room-for-seam"},
    ),
    (
        "a part longer than every board, not to be joined, as stated",
        AS_STATED + '[bars]\njoin = "none"\n' + WORK.replace("1000", "2600") + YARD,
        {"no-board-gives"},
    ),
    ("too little cloth to staple", "[cloth]\nturnover = 30\n" + WORK, {"turnover-too-short"}),
    (
        "a stretch to avoid that is not on the board",
        WORK + RACK + "avoid = [{ start = 900, stop = 1100 }]\n",
        {"span-outside-board"},
    ),
    ("an empty list of lengths", WORK + YARD.replace("[1200, 2400]", "[]"), {"too-few"}),
    (
        "a timber that no table knows",
        WORK + YARD.replace('name = "redwood"', 'name = "redwood"\ntimber = "pinewood"'),
        {"unknown-species-of-wood"},
    ),
    (
        "yes, 1 and a count in quotes where true, false and a number are wanted",
        '[inside]\nin_halves = "yes"\nmiddle_pieces = 1\ncross_rails = 2.0\n'
        + WORK
        + 'how_many = "3"\n[shop]\npeople = true\n[cloth]\ntension_left = "200"\n',
        {"bad-value"},
    ),
    ("a number where text is wanted", "title = 3\n" + WORK, {"bad-value"}),
    (
        "numbers that are none, or far too large",
        WORK.replace("1000", "nan").replace("700", "1e300") + "[cloth]\ntension_left = inf\n",
        {"bad-quantity", "bad-value"},
    ),
    ("a number outside what can be", WORK + "[shop.rates]\nmargin = 1\n", {"bad-value"}),
    ("one bracket instead of two", WORK.replace("[[work]]", "[work]"), {"bad-shape"}),
    ("two brackets instead of one", "[[bars]]\ndepth = 44\n" + WORK, {"bad-shape"}),
    ("a key that stands twice", WORK + "width = 900\n", {"not-toml"}),
    ("a key that must be there, misspelt", WORK.replace("width", "widht"), {"unknown-key"}),
    ("a name of nothing but gaps", WORK.replace("Reeds", "  "), {"bad-quantity"}),
    ("a kerf no saw has", "[shop.saw]\nkerf = 30\n" + WORK, {"absurd-kerf"}),
    ("a face larger than a house", WORK.replace("1000", '"90 m"'), {"face-too-large"}),
    ("more works than anyone makes", WORK + "how_many = 90000\n", {"too-many-works"}),
    ("an order of stapling that is not known", '[cloth]\norder = "spiral"\n' + WORK, {"unknown-order"}),
    ("an order in a file that is not there", '[cloth]\norder = "spiral.toml"\n' + WORK, {"cannot-read"}),
    (
        "the driest air damper than the dampest",
        WORK + "[climate]\nhumidity_low = 80\nhumidity_high = 20\n",
        {"humidity-turned-round"},
    ),
    (
        "a flaw that does not lie on its roll",
        WORK + '[[roll]]\nname = "duck"\nwidth = 2100\nflaws = [{ start = 500, stop = 400 }]\n',
        {"flaw-outside-roll"},
    ),
    ("a board bent like a bow", WORK + RACK + "bow = 900\n", {"bend-too-large"}),
    ("a board that is all trim", WORK + RACK.replace("1000", "25"), {"board-all-trim"}),
    ("a screw with two sizes", WORK + "[[screw]]\ndiameter = 4\ngauge = 8\nlength = 40\n", {"bad-value"}),
    ("a way for a work that is not there", WORK + WAY.replace("Reeds", "Reed"), {"unknown-name"}),
    (
        "a way without works and without obstacles",
        WORK + '[[way]]\nname = "Out"\nworks = []\nobstacle = []\n',
        {"too-few"},
    ),
    ("stairs without headroom", WORK + WAY.replace("headroom = 2000\n", ""), {"key-missing"}),
    ("a wall with a work that is not there", WORK + WALL.replace('"Reeds"', '"Reed"'), {"unknown-name"}),
    (
        "a row wider than its wall, over a switch, below the floor",
        WORK
        + WALL.replace("3000", "900")
        + 'centre = 300\navoid = [{ left = 400, right = 480, bottom = 100, top = 180, why = "switch" }]\n',
        {"row-too-wide", "hangs-over", "below-the-floor"},
    ),
    ("a leaf at stairs", WORK + WAY + "leaf = 40\n", {"unused-key"}),
    (
        "a passage narrower than a work is thick, and steps that are a ladder",
        WORK + WAY.replace("900", "90").replace("going = 250", "going = 25"),
        {"no-such-measure", "no-stairs"},
    ),
    ("not TOML", "title = Show\n", {"not-toml"}),
    ("not UTF-8", b'title = "Atelier \xe9t\xe9"\n', {"not-utf-8"}),
    (
        "several at once",
        'unit = "yards"\n[bars]\nbevel = "steep"\n' + WORK.replace("1000", "-3"),
        {"bad-word", "bad-quantity"},
    ),
    (
        "an unreadable value, an unknown name, an unknown order and a bar longer than every board, in one round",
        'as_stated = true\ntitle = 3\n[bars]\njoin = "none"\n'
        + WORK.replace("1000", "2600")
        + WORK.replace("Reeds", "Marsh").replace("700", '"tall"')
        + '[[set]]\nname = "Two"\nmembers = ["Reeds", "Mash"]\n'
        + '[cloth]\norder = "spiral"\n'
        + YARD,
        {"bad-value", "bad-quantity", "unknown-name", "unknown-order", "no-board-gives"},
    ),
    ("a face of 17 m", 'unit = "m"\n' + WORK.replace("1000", "17").replace("700", "12"), {"which-unit"}),
    (
        "170 mm among works of 1.7 m",
        _sized(1700, 1200) + _sized(170, 120).replace("Reeds", "Marsh"),
        {"which-unit"},
    ),
    (
        "board lengths shorter than every work",
        WORK
        + YARD.replace("[1200, 2400]", "[1.2, 2.4]").replace("lengths = [2400]", 'lengths = ["2400 mm"]'),
        {"which-unit"},
    ),
    (
        "a 1x2 stated as a true 1 × 2 in",
        'unit = "in"\n' + WORK_IN + ONE_BY_TWO + "thickness = 1\ndepth = 2\n",
        {"nominal-or-true"},
    ),
    ("a lip as round as a barrel", "[bars]\nlip_radius = 500\n" + WORK, {"no-such-measure"}),
    (
        "nothing is said that rests on a name or a measure that cannot be read",
        WORK.replace('"Reeds"', "7")
        + WORK.replace("Reeds", "Marsh")
        + '[[set]]\nname = "Two"\nmembers = ["Marsh", "Reeds"]\n'
        + YARD.replace("depth = 44", 'depth = "deep"'),
        {"bad-quantity", "bad-value"},
    ),
]


def faults_in(source: str | bytes) -> tuple[Fault, ...]:
    """As ``longpoint plan`` says them."""
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        path = Path("batch.toml")
        path.write_bytes(source if isinstance(source, bytes) else source.encode())
        try:
            read = read_batch(path)
        except FaultsError as error:
            return error.faults
    try:
        plan_batch(read.batch)
    except FaultsError as error:
        return read.placed(error.faults)
    return ()


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "source", "codes"), CASES, ids=[kind for kind, _, _ in CASES])
def test_bad_input_is_refused_with_what_where_and_what_instead(
    kind: str, source: str | bytes, codes: set[str]
) -> None:
    faults = faults_in(source)
    assert {fault.code for fault in faults} == codes
    assert len(set(faults)) == len(faults)
    for fault in faults:
        assert fault.what.endswith((".", "?"))
        assert "Traceback" not in fault.what
        assert fault.remedy


@pytest.mark.parametrize(
    "line",
    [
        '[inside]\nin_halves = "yes"',
        "[inside]\nin_halves = 1",
        "[inside]\nmiddle_pieces = 0",
        "[inside]\ncross_rails = 2.0",
        "[inside]\ncross_rails = true",
        '[shop]\npeople = "2"',
        "[shop]\nspare = 1.0",
        '[cloth]\ntension_left = "200"',
        "[cloth]\ntension_left = true",
        "[primer]\ncoats = 3.0",
    ],
)
def test_nothing_is_silently_taken_for_true_or_for_a_number(line: str) -> None:
    (fault,) = read_batch_text(f"{line}\n{WORK}").faults
    assert "without quotes" in fault.remedy
    assert fault.where.line == 2


def test_a_folder_that_cannot_be_written_is_refused_before_any_work(tmp_path: Path) -> None:
    file = tmp_path / "taken"
    file.write_text("mine")
    with pytest.raises(FaultsError, match="is a file, not a folder"):
        check_folder(file)
    with pytest.raises(FaultsError, match="cannot be written"):
        check_folder(file / "below")
    assert file.read_text() == "mine"


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FaultsError, match="cannot be read: no such file"):
        read_bytes(tmp_path / "none.toml")


@cache
def plan_of(source: str) -> Plan:
    """As ``longpoint plan`` makes it, the rehearsal of the stretching left out."""
    return plan_batch(parse_batch(source), choose=ComputedChooser(), rehearsing=False)


def answer_to(source: str) -> str:
    """What is planned, in a line: bars, rails, corner, and what was assumed or changed on the way."""
    plan = plan_of(source)
    (work,) = plan.works
    design, show = work.designed.design, plan.batch.style.finer().show
    bits = [f"bars {show(design.bar_thickness, with_unit=False)} × {show(design.bar_depth)}"]
    if design.has_rails:
        rails = f"{show(design.rail_thickness, with_unit=False)} × {show(design.rail_depth)}"
        flat = ", flat" if design.rail_thickness > design.rail_depth else ""
        bits.append(f"rails {rails}{flat}")
    bits.append(design.corner)
    boards = ", ".join(f"boards for {cut.use}: {cut.to_buy}" for cut in plan.boards)
    bits.append(boards)
    kinds = ("assumed", "added", "nominal", "besides", "other-", "counterbored", "glued-only")
    codes = dict.fromkeys(c.code for c in plan.cautions if any(kind in c.code for kind in kinds))
    return f"{'; '.join(bits)}. Said: {', '.join(codes)}"


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "source"), PLANNED, ids=[kind for kind, _ in PLANNED])
def test_an_ordinary_batch_is_planned_whatever_it_leaves_out(kind: str, source: str) -> None:
    plan = plan_of(source)
    assert {caution.code for caution in plan.cautions} & {"design-assumed", "yard-assumed"}
    assert all(sentence_of(caution, voice_of()) for caution in plan.cautions)
    assert answer_to(source).startswith("bars ")


@pytest.mark.slow
def test_the_written_docs_table_says_what_is_said_now() -> None:
    lines = [
        "# Bad input and what is said",
        "",
        "Made by `tests/test_bad_input.py`; every row is a run of the program. All faults of a file are said",
        "together, nothing is written, and the command ends with exit code 2.",
        "",
        "| what is wrong | what is said |",
        "|---|---|",
    ]
    for kind, source, _ in CASES:
        said = "<br>".join(str(fault).replace("|", "\\|") for fault in faults_in(source))
        lines.append(f"| {kind} | {said} |")
    lines += [
        "| an output folder that is a file | taken is a file, not a folder. Name another folder with -o. |",
        "",
    ]
    lines += [
        "## What is no bad input",
        "",
        "Ordinary batches that leave out what an ordinary shop has, or state less than is needed, are planned;",
        "what was taken instead is said by the summary, the first sheet and the buying list.",
        "",
        "| what is stated | what is planned |",
        "|---|---|",
        *(f"| {kind} | {answer_to(source)} |" for kind, source in PLANNED),
        "",
    ]
    text = "\n".join(lines)
    if os.environ.get("LONGPOINT_WRITE_DOCS"):
        TABLE.write_text(text, encoding="utf-8")
    assert TABLE.read_text(encoding="utf-8") == text, "run make golden and read the difference"
