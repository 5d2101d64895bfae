"""The bare engine for lists: what it answers, and how it refuses."""

from __future__ import annotations

import json
from typing import Any

import pytest
from typer.testing import CliRunner

from longpoint.cutting import cut_list, parse_cut_list
from longpoint.errors import FaultsError


def given(**changes: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "unit": "mm",
        "kerf": 3.2,
        "end_trim": 0,
        "at_hand": [{"name": "A", "length": 2400, "price": 2400, "how_many": None}],
        "wanted": [{"name": "p1", "length": 675, "how_many": 4}],
    }
    return {**base, **changes}


def faults_of(value: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(FaultsError) as caught:
        cut_list(value)
    return {str(fault.where): fault.code for fault in caught.value.faults}


def test_three_parts_leave_what_trims_parts_and_every_kerf_leave() -> None:
    answer = cut_list(given(end_trim=11))
    assert answer["cost"] == answer["at_least"] == 4800
    assert answer["proven"] is True
    assert [board["parts"] for board in answer["boards"]] in (
        [["p1"] * 3, ["p1"]],
        [["p1"], ["p1"] * 3],
        [["p1"] * 2, ["p1"] * 2],
    )
    for board in answer["boards"]:
        n = len(board["parts"])
        assert board["remains"] == pytest.approx(2400 - 22 - 675 * n - 3.2 * n)
        assert board["used"] == pytest.approx(22 + 675 * n + 3.2 * (n - 1))


def test_a_board_filled_to_the_last_hair_remains_nothing() -> None:
    answer = cut_list(given(wanted=[{"name": "half", "length": 1198.4, "how_many": 2}]))
    assert answer["boards"] == [{"from": "A", "parts": ["half", "half"], "used": 2400, "remains": 0}]


def test_one_hair_more_takes_a_second_board() -> None:
    answer = cut_list(given(wanted=[{"name": "half", "length": 1198.400001, "how_many": 2}]))
    assert answer["cost"] == 4800


def test_no_kerf_is_allowed() -> None:
    answer = cut_list(given(kerf=0, wanted=[{"name": "third", "length": 800, "how_many": 3}]))
    assert (answer["cost"], answer["boards"][0]["remains"]) == (2400, 0)


def test_decimals_finer_than_a_nanometre_stay_exact() -> None:
    text = (
        '{"kerf": 0, "at_hand": [{"name": "A", "length": 1, "price": 7, "how_many": null}],'
        ' "wanted": [{"name": "third", "length": 0.333333333333, "how_many": 3}]}'
    )
    assert cut_list(parse_cut_list(text))["cost"] == 7


def test_digits_beyond_all_sense_round_to_the_safe_side() -> None:
    text = (
        '{"kerf": 0, "at_hand": [{"name": "A", "length": 1, "price": 7, "how_many": null}],'
        ' "wanted": [{"name": "half", "length": 0.50000000000000000000000001, "how_many": 2}]}'
    )
    assert cut_list(parse_cut_list(text))["cost"] == 14


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 0.1), ("m", 0.001)])
def test_units_change_nothing_but_the_numbers(unit: str, factor: float) -> None:
    def scaled(value: float) -> float:
        return round(value * factor, 9)

    answer = cut_list(
        given(
            unit=unit,
            kerf=scaled(3.2),
            at_hand=[{"name": "A", "length": scaled(2400), "price": 31, "how_many": None}],
            wanted=[{"name": "p", "length": scaled(791), "how_many": 5}],
        )
    )
    assert answer["cost"] == 62
    assert sorted(board["remains"] for board in answer["boards"]) == pytest.approx(
        sorted([scaled(2400 - 3 * 794.2), scaled(2400 - 2 * 794.2)])
    )


def test_limited_boards_are_not_taken_twice() -> None:
    answer = cut_list(
        given(
            at_hand=[
                {"name": "rack", "length": 1500, "price": 1, "how_many": 1},
                {"name": "yard", "length": 1500, "price": 10, "how_many": None},
            ],
            wanted=[{"name": "p", "length": 701, "how_many": 3}],
        )
    )
    assert sorted(board["from"] for board in answer["boards"]) == ["rack", "yard"]
    assert (answer["cost"], answer["proven"]) == (11, True)


def test_without_prices_the_least_timber_is_sought() -> None:
    boards = [
        {"name": "A", "length": 2000, "how_many": None},
        {"name": "B", "length": 1400, "how_many": None},
    ]
    answer = cut_list(given(at_hand=boards, wanted=[{"name": "p", "length": 690, "how_many": 2}]))
    assert answer["cost"] == 1400


def test_two_runs_answer_alike() -> None:
    wanted = [{"name": f"p{k}", "length": 311 + 97 * k, "how_many": 1 + k % 3} for k in range(9)]
    assert json.dumps(cut_list(given(wanted=wanted))) == json.dumps(cut_list(given(wanted=wanted)))


def test_a_part_longer_than_every_board_says_which_comes_nearest_and_by_how_much() -> None:
    with pytest.raises(FaultsError) as caught:
        cut_list(given(end_trim=10, wanted=[{"name": "long", "length": 2391.5, "how_many": 1}]))
    (fault,) = caught.value.faults
    assert fault.code == "no-board-gives"
    assert "long, 2391.5 mm" in fault.what
    assert "A, 2400 mm less two trims of 10" in fault.what
    assert "11.5 mm too short" in fault.what


def test_too_few_boards_are_refused() -> None:
    boards = [{"name": "A", "length": 1000, "price": 5, "how_many": 2}]
    faults = faults_of(given(at_hand=boards, wanted=[{"name": "p", "length": 600, "how_many": 3}]))
    assert faults == {"at_hand": "boards-too-few"}


@pytest.mark.parametrize(
    ("changes", "where", "code"),
    [
        ({"kerff": 3}, "kerff", "unknown-key"),
        ({"unit": "ft"}, "unit", "unknown-unit"),
        ({"kerf": -1}, "kerf", "negative-length"),
        ({"kerf": 40}, "kerf", "absurd-kerf"),
        ({"kerf": "3.2"}, "kerf", "not-a-number"),
        ({"kerf": float("nan")}, "kerf", "not-a-number"),
        ({"kerf": True}, "kerf", "not-a-number"),
        ({"end_trim": float("inf")}, "end_trim", "not-a-number"),
        ({"wanted": []}, "wanted", "no-list"),
        ({"wanted": {"name": "p"}}, "wanted", "no-list"),
        ({"wanted": [7]}, "wanted[0]", "not-an-object"),
        ({"wanted": [{"name": "p", "length": 0, "how_many": 1}]}, "wanted[0].length", "not-a-length"),
        ({"wanted": [{"name": "p", "length": 5, "how_many": 0}]}, "wanted[0].how_many", "not-a-count"),
        ({"wanted": [{"name": "p", "length": 5, "how_many": 1.5}]}, "wanted[0].how_many", "not-a-count"),
        ({"wanted": [{"name": "", "length": 5, "how_many": 1}]}, "wanted[0].name", "no-name"),
        (
            {"at_hand": [{"name": "A", "length": 9, "price": -1, "how_many": 1}]},
            "at_hand[0].price",
            "negative-price",
        ),
        ({"at_hand": [{"name": "A", "length": 9, "price": 1}]}, "at_hand[0].how_many", "missing-key"),
        ({"at_hand": [{"name": "A", "price": 9, "how_many": 1}]}, "at_hand[0].length", "missing-key"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(
    changes: dict[str, Any], where: str, code: str
) -> None:
    assert faults_of(given(**changes))[where] == code


def test_the_nearest_known_key_is_suggested() -> None:
    with pytest.raises(FaultsError, match="Did you mean end_trim"):
        cut_list(given(endtrim=4))


def test_all_faults_come_together() -> None:
    faults = faults_of(given(kerf=-1, unit="ell", wanted=[{"name": "p", "lenght": 4, "how_many": 1}]))
    assert set(faults) == {"kerf", "unit", "wanted[0].lenght", "wanted[0].length"}


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("{", "not-json"),
        ("[]", "not-an-object"),
        ('{"kerf": 1, "kerf": 2}', "doubled-key"),
        ("[" * 99999, "not-json"),
    ],
)
def test_what_is_not_one_object_is_refused(text: str, code: str) -> None:
    with pytest.raises(FaultsError) as caught:
        parse_cut_list(text, file="list.json")
    assert caught.value.faults[0].code == code
    assert caught.value.faults[0].where.file == "list.json"


def test_the_command_answers_in_json_and_prints_no_plan_for_what_cannot_be_had(tmp_path: Any) -> None:
    from longpoint.cli.entry import app

    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(given()), encoding="utf-8")
    bad.write_text(json.dumps(given(wanted=[{"name": "p", "length": 9999, "how_many": 1}])), encoding="utf-8")
    answered = CliRunner().invoke(app, ["cut", str(good), "--json"])
    assert answered.exit_code == 0
    answer = json.loads(answered.stdout)
    assert list(answer) == ["cost", "at_least", "proven", "boards", "seconds"]
    refused = CliRunner().invoke(app, ["cut", str(bad), "--json"])
    assert isinstance(refused.exception, FaultsError)
    assert refused.stdout == ""
    assert "bad.json" in str(refused.exception)
    table = CliRunner().invoke(app, ["cut", str(good)])
    assert "proven least" in table.stdout
