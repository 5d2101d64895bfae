"""Lists of rectangles: read strictly, laid, checked, answered in their own unit."""

import json
import math
import sys

import pytest

from longpoint.cli.entry import app, main
from longpoint.cutting.lay.list import lay_list
from longpoint.cutting.lay.problem import LaidRectangle, LayPiece, LayPlan, LayProblem
from longpoint.cutting.lay.referee.check import check_lay
from longpoint.cutting.lay.strip import lay_pieces
from longpoint.errors import FaultsError

LIST = {
    "unit": "mm",
    "roll_width": 2100,
    "spacing": 0,
    "wanted": [{"name": "s1", "across": 1360, "along": 960, "how_many": 2, "may_turn": True}],
}


def faults_of(stated):
    with pytest.raises(FaultsError) as caught:
        lay_list(stated)
    return {(fault.code, fault.where.key): str(fault) for fault in caught.value.faults}


def test_two_pieces_that_fit_side_by_side_only_when_turned_lie_turned():
    answer = lay_list(LIST)
    assert answer["length"] == answer["at_least"] == 1360
    assert answer["proven"] is True
    assert [(p["x"], p["y"], p["across"], p["along"], p["turned"]) for p in answer["placed"]] == [
        (0, 0, 960, 1360, True),
        (960, 0, 960, 1360, True),
    ]


def test_the_same_list_in_inches_gives_the_same_lay():
    # 53.75 in = 1365.25 mm; both lists state the same sizes.
    in_mm = {
        "roll_width": 2133.6,
        "wanted": [
            {"name": "a", "across": 1365.25, "along": 958.85, "how_many": 3, "may_turn": True},
            {"name": "b", "across": 606.425, "along": 708.025, "how_many": 2},
        ],
    }
    in_inches = {
        "unit": "in",
        "roll_width": 84,
        "wanted": [
            {"name": "a", "across": "53 3/4", "along": 37.75, "how_many": 3, "may_turn": True},
            {"name": "b", "across": 23.875, "along": "27 7/8 in", "how_many": 2},
        ],
    }
    one, other = lay_list(in_mm, effort=500), lay_list(in_inches, effort=500)
    assert one["length"] == pytest.approx(other["length"] * 25.4, abs=1e-9)
    assert [p["turned"] for p in one["placed"]] == [p["turned"] for p in other["placed"]]
    assert [p["x"] for p in one["placed"]] == pytest.approx(
        [p["x"] * 25.4 for p in other["placed"]], abs=1e-9
    )


def test_spacing_lies_between_neighbours_but_not_at_the_edges():
    stated = {
        "roll_width": 703,
        "spacing": 3,
        "wanted": [{"name": "a", "across": 350, "along": 411, "how_many": 4}],
    }
    answer = lay_list(stated)
    assert answer["length"] == 411 + 3 + 411
    assert sorted({p["x"] for p in answer["placed"]}) == [0, 353]


def test_a_spacing_with_binary_noise_is_taken_as_meant():
    stated = {
        "unit": "cm",
        "roll_width": 0.1 * 703,
        "spacing": 0.1 * 3,  # 0.30000000000000004
        "wanted": [{"name": "a", "across": 35.0, "along": 0.1 * 411, "how_many": 4}],
    }
    assert lay_list(stated)["length"] == 82.5


def test_a_pinwheel_needs_cuts_of_any_shape_to_lie_in_its_square():
    wanted = [
        {"name": "n", "across": 5, "along": 3},
        {"name": "e", "across": 3, "along": 5},
        {"name": "s", "across": 5, "along": 3},
        {"name": "w", "across": 3, "along": 5},
        {"name": "middle", "across": 2, "along": 2},
    ]
    # Four 5 × 3 round a 2 × 2 fill 8 × 8 and no straight cut goes through them.
    for each in wanted:
        each["name"] += "."
    straight = lay_list({"roll_width": 8, "wanted": wanted})
    free = lay_list({"roll_width": 8, "wanted": wanted, "any_cut": True})
    assert free["length"] == 8
    assert straight["length"] > 8
    assert straight["at_least"] > 8, "the proof for straight cuts goes beyond the area"


def test_the_same_list_gives_the_same_answer_twice():
    stated = {
        "roll_width": 1907,
        "wanted": [
            {
                "name": f"p{k}",
                "across": 411 + 97 * k % 803,
                "along": 377 + 131 * k % 709,
                "may_turn": k % 2 == 0,
            }
            for k in range(11)
        ],
    }
    assert json.dumps(lay_list(stated, effort=300)) == json.dumps(lay_list(stated, effort=300))


def test_every_fault_of_a_list_is_said_at_once_with_its_place():
    found = faults_of(
        {
            "unit": "furlong",
            "roll_wide": 2100,
            "spacing": -1,
            "any_cut": "yes",
            "wanted": [
                {"name": "s1", "across": math.nan, "along": 960, "how_many": 2.5, "may_turn": 1},
                {"name": "s1", "across": "2x4", "along": 0, "how_many": 0, "may_turm": True},
                7,
                {"across": 100, "along": True},
            ],
        }
    )
    assert set(found) == {
        ("unknown-unit", "unit"),
        ("unknown-key", "roll_wide"),
        ("missing-key", "roll_width"),
        ("not-a-length", "spacing"),
        ("not-yes-or-no", "any_cut"),
        ("not-a-length", "wanted[0].across"),
        ("bad-count", "wanted[0].how_many"),
        ("not-yes-or-no", "wanted[0].may_turn"),
        ("repeated-name", "wanted[1].name"),
        ("not-a-length", "wanted[1].across"),
        ("bad-size", "wanted[1].along"),
        ("bad-count", "wanted[1].how_many"),
        ("unknown-key", "wanted[1].may_turm"),
        ("not-a-piece", "wanted[2]"),
        ("no-name", "wanted[3].name"),
        ("not-a-length", "wanted[3].along"),
    }
    assert 'Did you mean "roll_width"?' in found["unknown-key", "roll_wide"]
    assert 'Did you mean "may_turn"?' in found["unknown-key", "wanted[1].may_turm"]


def test_a_piece_wider_than_the_roll_says_by_how_much_and_what_would_help():
    stated = {"roll_width": 1500, "wanted": [{"name": "big", "across": 1713, "along": 1407}]}
    message = faults_of(stated)["piece-wider-than-roll", "wanted"]
    assert '"big" is 213 mm wider than the roll' in message
    assert "may_turn" in message
    both = {"roll_width": 1200, "wanted": [{"name": "big", "across": 1713, "along": 1407, "may_turn": True}]}
    assert (
        '"big" is 207 mm wider than the roll either way' in faults_of(both)["piece-wider-than-roll", "wanted"]
    )


@pytest.mark.parametrize("stated", [[], "x", None, {"roll_width": 100, "wanted": []}, {"roll_width": 100}])
def test_what_is_no_list_is_refused(stated):
    assert faults_of(stated)


def tampered(**changes):
    problem = LayProblem((LayPiece("a", 907, 411, 2), LayPiece("b", 613, 350, 1, may_turn=True)), 1600, 5.0)
    plan = lay_pieces(problem, effort=200)
    assert check_lay(problem, plan) == []
    first = plan.laid[0]
    fields = {
        name: getattr(first, name) for name in ("piece", "x", "y", "across", "along", "turned")
    } | changes
    return check_lay(problem, LayPlan((LaidRectangle(**fields), *plan.laid[1:]), plan.length, plan.at_least))


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"x": 1_000_000}, "overlap"),
        ({"x": 900_000_000}, "outside the roll"),
        ({"across": 700_000_000}, "not as wanted"),
        ({"turned": True}, "turned"),
        ({"piece": 1}, "times"),
        ({"y": 5_000_000_000}, "length"),
    ],
)
def test_the_referee_sees_what_was_tampered_with(changes, word):
    assert any(word in sentence for sentence in tampered(**changes))


def test_the_referee_sees_that_straight_cuts_do_not_part_a_pinwheel():
    sizes = [(0, 0, 5, 3), (5, 0, 3, 5), (3, 5, 5, 3), (0, 3, 3, 5)]
    problem = LayProblem(tuple(LayPiece(str(k), s[2], s[3]) for k, s in enumerate(sizes)), 8)
    mm = 10**6
    laid = tuple(
        LaidRectangle(k, x * mm, y * mm, w * mm, h * mm, False) for k, (x, y, w, h) in enumerate(sizes)
    )
    assert check_lay(problem, LayPlan(laid, 8 * mm, 8 * mm)) == ["Straight cuts do not free every piece."]
    free = LayProblem(problem.pieces, 8, any_cut=True)
    assert check_lay(free, LayPlan(laid, 8 * mm, 8 * mm)) == []


def called(monkeypatch, capsys, *words):
    monkeypatch.setattr(sys, "argv", ["longpoint", "lay", *words])
    with pytest.raises(SystemExit) as left:
        main()
    said = capsys.readouterr()
    return left.value.code, said.out, said.err


def test_the_command_answers_in_json_with_its_seconds(tmp_path, monkeypatch, capsys):
    file = tmp_path / "list.json"
    file.write_text(json.dumps(LIST))
    code, out, _ = called(monkeypatch, capsys, str(file), "--json")
    answer = json.loads(out)
    assert code == 0
    assert {"length", "at_least", "proven", "placed", "seconds"} <= set(answer)


def test_the_command_shows_a_table_a_person_can_read(tmp_path, monkeypatch, capsys):
    file = tmp_path / "list.json"
    file.write_text(json.dumps(LIST))
    code, out, _ = called(monkeypatch, capsys, str(file))
    assert code == 0
    assert "Length 1360 mm; proven least." in out
    assert "from left edge" in out


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (
            b'{"roll_width": 100, "wanted": [{"name": "a", "across": 300, "along": 200}]}',
            "wider than the roll",
        ),
        (b"{", "not JSON"),
        (b'{"unit": "mm", "unit": "cm"}', "stated twice"),
        (b"\xff\xfe", "not UTF-8"),
        (None, "cannot be read"),
    ],
)
def test_what_cannot_be_had_exits_with_2_and_prints_no_plan(tmp_path, monkeypatch, capsys, text, word):
    file = tmp_path / "list.json"
    if text is not None:
        file.write_bytes(text)
    code, out, err = called(monkeypatch, capsys, str(file), "--json")
    assert code == 2
    assert out == ""
    assert word in err
    assert "Traceback" not in err


def test_the_command_is_wired_in():
    assert "lay" in {command.name for command in app.registered_commands}


@pytest.mark.parametrize(
    ("change", "code", "where"),
    [
        ({"roll_width": 1e-300}, "bad-size", "roll_width"),
        ({"roll_width": 10**4000}, "bad-size", "roll_width"),
        ({"roll_width": "9" * 5000}, "not-a-length", "roll_width"),
        ({"spacing": 1e-300}, "bad-size", "spacing"),
        ({"wanted": [{"name": "a", "across": 4e-7, "along": 1}]}, "bad-size", "wanted[0].across"),
        ({"wanted": [{"name": "\ud800", "across": 1, "along": 1}]}, "bad-name", "wanted[0].name"),
        ({"wanted": [{"name": "a", "across": 1, "along": 1, "how_many": 10**30}]}, "too-many", "wanted"),
    ],
)
def test_sizes_names_and_counts_beyond_all_measure_are_refused_where_they_stand(change, code, where):
    assert (code, where) in faults_of({**LIST, **change})


def test_five_thousand_rectangles_are_laid_and_checked():
    answer = lay_list(
        {"roll_width": 1e7, "wanted": [{"name": "a", "across": 1e7, "along": 1e7, "how_many": 5000}]}
    )
    assert answer["proven"]
    assert answer["length"] == 5000 * 10**7
