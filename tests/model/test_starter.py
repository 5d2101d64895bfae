"""The starter file: short from five answers; whole with every key, each default as the engine has it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel

from longpoint.errors import FaultsError
from longpoint.model.answers import QUESTIONS, Answers, wrong_answer
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch, read_text
from longpoint.model.reference import model_of
from longpoint.model.starter import starter_text
from longpoint.works.ordinary import ordinary_roll, ordinary_screws, ordinary_timber, region_of

UNITS = ("mm", "cm", "in")
WHOLE = [
    Answers(),
    Answers(unit="cm", timber="2.1 x 4.4", lengths="240, 360", work="Reeds: 1.7 m x 120"),
    Answers(unit="in", cloth="84 primed linen", lengths="8 ft"),
]


def taken_in(text: str, *marks: str) -> str:
    """The text with the lines that begin with these marks taken into use."""
    return "\n".join(
        next((line.removeprefix(f"{mark} ") for mark in marks if _is_statement(line, mark)), line)
        for line in text.splitlines()
    )


def _is_statement(line: str, mark: str) -> bool:
    return re.match(rf"{re.escape(mark)} (\w+ = |\[)", line) is not None


@pytest.mark.parametrize("answers", WHOLE)
def test_defaults_that_are_taken_into_use_change_nothing(answers: Answers) -> None:
    text = starter_text(answers, whole=True)
    # Those of tables that are not in use have nowhere to go.
    used = "\n\n".join(
        block for block in text.split("\n\n") if re.search(r"(?m)^\[", block) or "unit" in block
    )
    said = parse_batch(taken_in(used, "#"))
    assert said.model_dump() == parse_batch(starter_text(answers)).model_dump()
    assert len(said.limits.model_fields_set) == 1  # they really were said


def keys_of(model: type[BaseModel], path: str = "") -> Iterator[tuple[str, Any]]:
    for key, field in model.model_fields.items():
        full = f"{path}.{key}" if path else key
        yield full, field
        inner, _ = model_of(field.annotation)
        if inner is not None and full not in ("work.bars", "work.inside", "work.cloth"):
            yield from keys_of(inner, full)


@pytest.mark.parametrize("answers", WHOLE)
def test_every_key_of_the_model_stands_there_and_is_read(answers: Answers) -> None:
    text = starter_text(answers, whole=True)
    read = read_text(Batch, taken_in(text, "#", "#:"))
    assert read.faults == ()
    stated = tomllib.loads(taken_in(text, "#", "#:"))
    missing = []
    for path, _ in keys_of(Batch):
        here: Any = stated
        for part in path.split("."):
            here = here[-1] if isinstance(here, list) else here
            here = here.get(part) if isinstance(here, dict) else None
        if here is None:
            missing.append(path)
    other_ways = {
        *("yard.nominal", "yard.per_foot", "roll.per_yard", "screw.gauge", "shop.rates.markup"),
        *("price.per_square_foot", "price.per_cm", "price.per_inch"),
    }
    in_an_example = {"yard.lengths.length", "yard.lengths.price", "yard.lengths.how_many"}
    # which of an obstacle's keys there are depends on its kind
    missing = [path for path in missing if not path.startswith("way.obstacle.")]
    assert set(missing) <= other_ways | in_an_example
    assert re.search(r"lengths = .*length = .*price = .*how_many = ", text)
    for path in other_ways - ({"yard.nominal"} if answers.timber or answers.lengths else set()):
        table, _, key = path.rpartition(".")
        block = text[text.index(f"[{table}]") :]
        assert re.search(rf"(?m)^#\| {key} = ", block), path


@pytest.mark.parametrize("answers", WHOLE)
def test_a_default_in_a_table_of_several_is_the_models(answers: Answers) -> None:
    text = starter_text(answers, whole=True)
    read = read_text(Batch, taken_in(text, "#", "#:")).stated
    assert read is not None
    for name in ("set", "yard", "rack", "roll", "order", "screw", "staple"):
        entry = getattr(read, name)[-1]
        for key, field in type(entry).model_fields.items():
            if not field.is_required() and re.search(rf"(?m)^# {key} = ", text[text.index(f"[[{name}]]") :]):
                example = re.search(rf"(?m)^#?:? ?{key} = ", text[text.index(f"[[{name}]]") :])
                assert example is not None
                if example[0].startswith("# "):
                    assert getattr(entry, key) == field.default, f"{name}.{key}"


def test_what_is_said_of_ordinary_shops_is_what_is_assumed() -> None:
    for unit in UNITS:
        batch = parse_batch(starter_text(Answers(unit=unit)))
        text = starter_text(Answers(unit=unit), whole=True)
        assert batch.yard == ()
        for timber in ordinary_timber(region_of(batch)):
            assert timber.name in text
        for screw in ordinary_screws(region_of(batch)):
            thick = (
                f"No. {screw.gauge}:" if screw.gauge is not None else f"{float(screw.diameter or 0):g} mm:"
            )
            assert f"#   {thick}" in text
        assert batch.paper == ("Letter" if unit == "in" else "A4")
        assert region_of(batch) == ("america" if unit == "in" else "europe")
        assert ordinary_roll(region_of(batch)).width > 2000


def test_five_answers_make_the_file() -> None:
    batch = parse_batch(
        starter_text(
            Answers(
                unit="in",
                timber="1x2, 3/4 x 2 1/2",
                lengths="8 ft, 120",
                cloth="84 oil-primed linen",
                work="Kitchen window: 48 x 36 1/2",
            )
        )
    )
    first, second = batch.yard
    assert (first.nominal, float(first.depth)) == ("1x2", 38.1)
    assert (float(second.thickness), float(second.depth)) == (19.05, 63.5)
    assert first.lengths == second.lengths
    assert [float(length) for length in first.lengths] == [2438.4, 3048.0]
    (roll,) = batch.roll
    assert (float(roll.width), roll.state, roll.fibre) == (2133.6, "oil-primed", "linen")
    (work,) = batch.work
    assert (work.name, float(work.height)) == ("Kitchen window", 927.1)


def test_lengths_alone_are_those_of_an_ordinary_shops_sections() -> None:
    batch = parse_batch(starter_text(Answers(lengths="2400")))
    assumed = ordinary_timber(region_of(parse_batch(starter_text())))
    assert [(timber.thickness, timber.depth) for timber in batch.yard] == [
        (timber.thickness, timber.depth) for timber in assumed
    ]
    assert {float(length) for timber in batch.yard for length in timber.lengths} == {2400.0}


@pytest.mark.parametrize(
    ("answers", "name", "said"),
    [
        (Answers(unit="ell"), "unit", "not a unit"),
        (Answers(timber="21 by"), "timber", "length is empty"),
        (Answers(timber="strip"), "timber", "not thickness x depth"),
        (Answers(lengths="2400, long"), "lengths", "'long'"),
        (Answers(cloth="raw cotton"), "cloth", "says no width"),
        (Answers(work="1700"), "work", "not width x height"),
        (Answers(work="0 x 12"), "work", "above zero"),
    ],
)
def test_an_answer_that_cannot_be_read_is_said(answers: Answers, name: str, said: str) -> None:
    assert said in wrong_answer(name, answers)
    if name != "unit":
        assert [other for other in QUESTIONS if wrong_answer(other, answers)] == [name]


def test_answers_in_another_unit_are_asked_about() -> None:
    with pytest.raises(FaultsError) as caught:
        starter_text(Answers(unit="m", work="17 x 12"))
    assert caught.value.faults[0].code == "which-unit"
