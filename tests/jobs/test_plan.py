"""The main job, from a batch file's text to a plan."""

from __future__ import annotations

import json
from collections import Counter
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from export.counting import sheets
from longpoint.choosing.by_rule import design_of
from longpoint.costing.buying import bought
from longpoint.cutting import check_board_plan
from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.drawing.paper.pages import A4
from longpoint.errors import FaultsError
from longpoint.export.rows.money import buy_row
from longpoint.export.rows.plan import parse_plan, plan_json, plan_schema, schema_texts
from longpoint.jobs.plan import Plan, fingerprint, plan_batch
from longpoint.model.answers import Answers
from longpoint.model.reading import parse_batch
from longpoint.model.starter import starter_text
from longpoint.works.letters import letters

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted(p for p in (ROOT / "examples").glob("*.toml") if not p.stem.startswith("replan-"))

YARD = """
[[yard]]
name = "bars"
thickness = 21
depth = 44
serves = ["bars"]
lengths = [{ length = 2400, price = 6.2 }, { length = 3600, price = 9.1 }, { length = 4800, price = 12.9 }]
[[yard]]
name = "rails"
thickness = 21
depth = 28
serves = ["rails"]
per_metre = 1.6
lengths = [2400, 4800]
[[roll]]
name = "duck"
width = 2100
per_metre = 14.0
"""


@cache
def by_rule(text: str) -> Plan:
    return plan_batch(parse_batch(text), choose=design_of)


def referees_agree(plan: Plan) -> None:
    """Nothing in a plan is taken on trust: parts are counted, boards and rolls checked from scratch."""
    wanted = Counter({part.mark: part.how_many for work in plan.works for part in work.parts})
    cut = Counter(c.part for section in plan.boards for board in section.plan.boards for c in board.cuts)
    assert cut == wanted
    for section in plan.boards:
        assert check_board_plan(section.problem, section.plan) == ()
        assert section.plan.at_least <= section.plan.cost
    for cloth in plan.cloths:
        assert check_cloth_plan(cloth.problem, cloth.plan) == ()
    pieces = Counter({work.code: work.how_many for work in plan.works})
    assert Counter(piece.piece for cloth in plan.cloths for piece in cloth.plan.laid) == pieces


@pytest.mark.slow
@pytest.mark.parametrize("path", [p for p in EXAMPLES if "sixty" not in p.name], ids=lambda p: p.stem)
def test_every_example_is_planned_and_passes_both_referees(path: Path) -> None:
    referees_agree(by_rule(path.read_text(encoding="utf-8")))


@pytest.mark.slow
def test_sixty_works_are_cut_within_half_a_percent_of_the_bound() -> None:
    plan = by_rule((ROOT / "examples" / "sixty-works.toml").read_text(encoding="utf-8"))
    referees_agree(plan)
    cost = sum(section.plan.cost for section in plan.boards)
    bound = sum(section.plan.at_least for section in plan.boards)
    assert sum(work.how_many for work in plan.works) == 60
    assert cost <= bound * Fraction(1005, 1000)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "language", "most"),
    [("winter-show", "en", 28), ("winter-show", "de", 28), ("sixty-works", "de", 90)],
)
def test_a_show_and_sixty_works_keep_to_their_counts_of_sheets(name: str, language: str, most: int) -> None:
    plan = by_rule((ROOT / "examples" / f"{name}.toml").read_text(encoding="utf-8"))
    made = sheets(plan, language, A4)
    assert len(made) <= most, made
    assert min(share for _, share in made) >= 0.18, made


@pytest.mark.slow
def test_a_plan_is_the_same_to_the_byte_and_fits_its_schema() -> None:
    text = (ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8")
    first, second = plan_json(by_rule(text)), plan_json(by_rule.__wrapped__(text))
    assert first == second
    jsonschema.validate(json.loads(first), plan_schema())
    assert parse_plan(first).works[0].name == "Slack water"


def test_published_schemas_are_what_the_code_says() -> None:
    import os

    for name, contents in schema_texts():
        path = ROOT / "docs" / "reference" / name
        if os.environ.get("LONGPOINT_WRITE_DOCS"):
            path.write_bytes(contents)
        assert path.read_bytes() == contents, f"{name} is out of date: run make golden"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples_fit_the_schema_of_the_batch_file(path: Path) -> None:
    import tomllib

    schema = json.loads(dict(schema_texts())["batch.schema.json"])
    jsonschema.validate(tomllib.loads(path.read_text(encoding="utf-8")), schema)


def test_what_is_not_a_plan_is_refused() -> None:
    for text, code in (
        ("not json", "not-a-plan"),
        ("{}", "not-a-plan"),
        ('{"format": "longpoint plan", "version": 99}', "plan-too-new"),
        ('{"format": "longpoint plan", "version": 1}', "plan-damaged"),
    ):
        with pytest.raises(FaultsError) as caught:
            parse_plan(text, file="p.json")
        assert caught.value.faults[0].code == code


@pytest.mark.slow
@pytest.mark.parametrize(
    "answers",
    [
        Answers(),
        Answers(unit="in", timber="1x2", lengths="8 ft", cloth="60 raw cotton", work="Window: 48 x 36"),
        Answers(unit="cm", timber="2.1 x 4.4, 2.1 x 2.8", work="120 x 80"),
    ],
)
def test_the_starter_file_is_a_batch_that_can_be_planned(answers: Answers) -> None:
    referees_agree(by_rule(starter_text(answers)))


@pytest.mark.slow
def test_the_practitioners_case_gives_eleven_timbers() -> None:
    """1700 × 1200 mm in timber 21 × 44 on edge: common practice, no published source."""
    plan = by_rule('[[work]]\nname = "w"\nwidth = 1700\nheight = 1200\n' + YARD)
    timbers = Counter()
    for part in plan.works[0].parts:
        timbers[str(part.kind), part.long_point] += part.how_many
    assert timbers == {
        ("bar", 1700): 2,
        ("bar", 1200): 2,
        ("end rail", 1158): 2,
        ("cross rail", 1158): 2,
        ("middle piece", Fraction(1700 - 6 * 21, 3)): 3,
    }
    piece = plan.works[0].piece
    assert (piece.width, piece.height) == (1860, 1360)  # 80 mm all round: common practice


@pytest.mark.slow
def test_measured_timber_changes_every_measure() -> None:
    """Timber that came 20.3 × 43.5: rails get longer by what the bars are thinner."""
    stated = '[[work]]\nname = "w"\nwidth = 1700\nheight = 1200\n' + YARD
    arrived = '[[arrived]]\ntimber = "bars"\nthickness = [20.2, 20.3, 20.4]\ndepth = [43.5, 43.5, 43.5]\n'
    plan = by_rule(stated + arrived)
    parts = {str(part.kind): part for part in plan.works[0].parts}
    assert parts["bar"].thickness == Fraction(203, 10)
    assert parts["cross rail"].long_point == 1200 - 2 * Fraction(203, 10)
    assert plan.works[0].designed.design.gap == Fraction(435, 10) - 7 - 28


@pytest.mark.slow
def test_the_same_batch_in_inches_gives_the_same_parts() -> None:
    head = 'unit = "in"\n[shop]\nregion = "europe"\n'
    inches = parse_batch(head + '[[work]]\nname = "w"\nwidth = 60\nheight = "47 1/4"\n')
    metric = parse_batch('[[work]]\nname = "w"\nwidth = 1524\nheight = "1200.15"\n')
    one, other = (plan_batch(batch, choose=design_of) for batch in (inches, metric))
    assert [part.long_point for part in one.works[0].parts] == [p.long_point for p in other.works[0].parts]
    assert [s.plan.cost for s in one.boards] == [s.plan.cost for s in other.boards]


@pytest.mark.slow
def test_costs_add_up_to_the_cent() -> None:
    plan = by_rule((ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8"))
    timber = sum((work.timber for work in plan.cost.works), Decimal(0))
    boards = sum(s.plan.cost - s.plan.left_worth for s in plan.boards)  # offcuts are taken off once
    assert any(s.plan.left_worth for s in plan.boards)
    assert abs(Fraction(timber) - boards) <= Fraction(len(plan.boards), 100)
    cloth = sum((work.cloth for work in plan.cost.works), Decimal(0))
    assert cloth == sum(c.plan.cost.quantize(Decimal("0.01")) for c in plan.cloths)
    assert plan.cost.total == sum((work.total for work in plan.cost.works), Decimal(0))
    used = {use.group: use for use in plan.cost.materials}
    assert used["timber"].used == timber
    assert used["cloth"].used == cloth
    material = sum((work.material for work in plan.cost.works), Decimal(0))
    assert sum((use.used for use in plan.cost.materials), Decimal(0)) == material
    assert sum((use.bought for use in plan.cost.materials), Decimal(0)) == bought(plan.buying)
    assert all(use.kept >= 0 for use in plan.cost.materials)


@pytest.mark.slow
def test_the_rack_is_used_no_further_than_it_reaches() -> None:
    plan = by_rule((ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8"))
    have = {board.name: board.how_many for board in plan.batch.rack}
    used = Counter(b.board for s in plan.boards for b in s.plan.boards if b.at_hand)
    assert all(used[name] <= have[name] for name in used)


def test_letters_leave_out_what_looks_like_a_number() -> None:
    marks = [letters(index) for index in range(60)]
    assert len(set(marks)) == 60
    assert "I" not in "".join(marks) and "O" not in "".join(marks)
    assert marks[0] == "A" and marks[24] == "AA"


def test_the_fingerprint_sees_what_is_stated_and_not_how_it_is_written() -> None:
    a = parse_batch('[[work]]\nname = "w"\nwidth = 1700\nheight = 1200\n')
    b = parse_batch('# a comment\n[[work]]\nheight = "1.2 m"\nname = "w"\nwidth = "170 cm"\n')
    c = parse_batch('[[work]]\nname = "w"\nwidth = 1701\nheight = 1200\n')
    assert fingerprint(a) == fingerprint(b) != fingerprint(c)


@pytest.mark.slow
def test_every_screw_and_staple_of_the_plan_is_on_the_buying_list() -> None:
    plan = by_rule((ROOT / "examples" / "winter-show.toml").read_text(encoding="utf-8"))
    screws = Counter()
    for work in plan.works:
        for joint in work.build.joints:
            for fixing in joint.fixings:
                screws[fixing.screw.name] += work.how_many
    copies = {work.name: work.how_many for work in plan.works}
    for hung in plan.hung:
        for fixing in hung.fixings:
            screws[fixing.screw.name] += copies[hung.work]
    bought = {buy_row(line).what: line for line in plan.buying if line.group == "screws"}
    assert {name: line.need for name, line in bought.items()} == screws
    for line in bought.values():
        assert line.have + line.buy * line.contents >= line.need
    driven = sum(work.canvas.staples.driven * work.how_many for work in plan.works)
    assert sum(line.need for line in plan.buying if line.group == "staples") == driven


works = st.lists(
    st.tuples(st.integers(250, 2300), st.integers(250, 1900), st.integers(1, 3)), min_size=1, max_size=4
)


@pytest.mark.slow
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(works)
def test_random_batches_are_cut_exactly_once_by_both_referees(sizes: list[tuple[int, int, int]]) -> None:
    text = "[cloth]\nmay_turn = true\n" + "".join(
        f'[[work]]\nname = "w{i}"\nwidth = {w}\nheight = {h}\nhow_many = {n}\n'
        for i, (w, h, n) in enumerate(sizes)
    )
    referees_agree(by_rule(text + YARD))


@pytest.mark.slow
def test_nothing_remains_where_a_spoiled_stretch_reaches_the_end_of_a_board() -> None:
    board = '[[rack]]\nname = "R"\nthickness = 21\ndepth = 44\nlength = 1980\n'
    board += 'avoid = [{ start = 1500, stop = 1980, why = "split" }]\n'
    plan = by_rule('[[work]]\nname = "w"\nwidth = 700\nheight = 600\n' + YARD + board)
    referees_agree(plan)
    (taken,) = [b for s in plan.boards for b in s.plan.boards if b.board == "R"]
    assert taken.remains == 0
    assert taken.good_for == ""
