"""A cloth plan followed with scissors from the rows of ``plan.json`` alone.

Whoever follows it knows the rolls and flaws as they stand in the batch file and the rows of the plan, nothing else: a
roll lies on the floor, every cut is made through a sheet that is there, with the tape at the sheet's own edge, and what
has come free in the end is held against the list of pieces.
"""

import json
from collections import Counter
from fractions import Fraction

import pytest

from longpoint.cutting.cloth.search import plan_cloth
from longpoint.export.rows.cutting import cloth_row
from longpoint.model.reading import parse_batch
from longpoint.needs.cloth import lay_cloth
from longpoint.works.brief import briefs_of
from longpoint.works.piece import Piece

STATED = """
    [cloth]
    seam = true
    edge_allowance = 2.5
    [[work]]
    name = "Wide"
    width = 2150
    height = 1400
    cloth = { warp = "up" }
    [[work]]
    name = "Half"
    width = 700.5
    height = 910.5
    how_many = 3
    [[work]]
    name = "Small"
    width = 330
    height = 255
    how_many = 2
    cloth = { may_turn = true }
    [[roll]]
    name = "new linen"
    width = 2100
    per_metre = 21.30
    selvedge = 8
    flaws = [ { start = 610, stop = 650, left = 900, right = 960, why = "slub" }, { start = 1720, stop = 1790 } ]
    [[roll]]
    name = "narrow"
    width = 1570
    per_metre = 14.10
    [[roll]]
    name = "rest"
    width = 1480
    length = 1900
    at_hand = true
    per_metre = 9
    flaws = [ { start = 0, stop = 40, left = 1300 } ]
"""
TURNOVER = Fraction(80)
# Face and 80 mm beyond it on every side, 2.5 mm more for tearing: 700.5 + 160 + 5 and so on. The wide one, 2310 across
# the warp, is wider than 2100 − 2 × 8 = 2084: the full breadth is finished 2084 − 2.5 − 15 = 2066.5, the strip is
# 2310 − 2066.5 = 243.5, cut 243.5 + 15 + 2.5 = 261. Across the warp, along it, how many:
LISTED = {
    "A breadth 1": (2084.0, 1565.0, 1),
    "A breadth 2": (261.0, 1565.0, 1),
    "B": (865.5, 1075.5, 3),
    "C": (420.0, 495.0, 2),  # 255 + 165 across, 330 + 165 along: the warp runs along the long side
}


@pytest.fixture(scope="module")
def rows():
    batch = parse_batch(STATED)
    pieces = tuple(
        Piece(
            work.name,
            code,
            work.width + 2 * TURNOVER,
            work.height + 2 * TURNOVER,
            TURNOVER,
            warp,
            work.how_many,
        )
        for work, code, warp in zip(batch.work, "ABC", "yyx", strict=True)
    )
    (cutting,) = lay_cloth(
        briefs_of(batch), pieces, sewn=batch.cloth, solve=lambda problem: plan_cloth(problem, effort=2000)
    )
    return json.loads(cloth_row(cutting).model_dump_json())


def rolls():
    """The rolls as stated: width, length, selvedge, worth or price, flaws as left, near, right, far."""
    return {
        roll.name: (
            float(roll.width),
            None if roll.length is None else float(roll.length),
            float(roll.selvedge),
            [
                (
                    float(f.left),
                    float(f.start),
                    float(roll.width if f.right is None else f.right),
                    float(f.stop),
                )
                for f in roll.flaws
            ],
        )
        for roll in parse_batch(STATED).roll
    }


def follow(cuts, width, length, laid):
    """Make the cuts of one roll; all sheets in the end, and what came free with which cut, by its name.

    Raises:
        AssertionError: If a cut cannot be made as it is told.
    """
    sheets = [(0.0, 0.0, width, length)]
    free = {}
    for number, cut in enumerate(cuts, start=1):
        told = (cut["x"], cut["y"], cut["across"], cut["along"])
        assert told in sheets, f"cut {number}: there is no such sheet"
        if number == 1 and length is None:
            assert cut["way"] == "across", "the first cut goes right across the roll"
        sheets.remove(told)
        x, y, across, along = told
        tape = cut["measure"]
        if cut["way"] == "across":
            assert tape > 0
            assert along is None or tape < along
            assert cut["at"] == y + tape, "measured from the near end of the sheet"
            parts = [(x, y, across, tape), (x, y + tape, across, None if along is None else along - tape)]
        else:
            assert 0 < tape < across
            assert along is not None, "a roll is cut right across before it is cut along"
            assert cut["at"] == x + tape, "measured from the left edge of the sheet"
            parts = [(x, y, tape, along), (x + tape, y, across - tape, along)]
        parts = [tuple(None if side is None else round(side, 4) for side in part) for part in parts]
        sheets += parts
        for name in cut["frees"]:
            # What comes free lies beside this very cut: one of the two parts.
            row = laid[name]
            free[name] = (row["x"], row["y"], row["across"], row["along"])
            assert free[name] in parts, f"cut {number} does not free {name}"
    return sheets, free


def laid_of(rows):
    return {
        f"{row['piece']} {row['number']}" + (f" breadth {row['breadth']}" if row["breadth"] else ""): row
        for row in rows["laid"]
    }


def test_the_cuts_of_every_roll_give_exactly_the_pieces_of_the_list(rows):
    laid = laid_of(rows)
    got = Counter()
    for name, (width, length, selvedge, flaws) in rolls().items():
        cuts = [cut for cut in rows["cuts"] if cut["roll"] == name]
        if not cuts:
            continue
        _, free = follow(cuts, width, length, laid_of(rows))
        for title, (x, y, across, along) in free.items():
            assert laid[title]["roll"] == name
            assert not any(
                x < r and left < x + across and y < far and near < y + along for left, near, r, far in flaws
            )
            assert selvedge <= x
            assert x + across <= width - selvedge
            turned = laid[title]["turned"]
            kind = title.split()[0] + (" breadth " + title[-1] if "breadth" in title else "")
            got[kind, (along, across) if turned else (across, along)] += 1
            assert not turned or kind == "C"
    assert got == {(kind, (across, along)): count for kind, (across, along, count) in LISTED.items()}
    assert sorted(laid) == sorted(name for cut in rows["cuts"] for name in cut["frees"])


def test_what_is_used_and_what_stays_on_a_roll_is_where_its_last_cut_across_lies(rows):
    told = {row["roll"]: row for row in rows["rolls"]}
    for name, (width, length, _, _) in rolls().items():
        cuts = [cut for cut in rows["cuts"] if cut["roll"] == name]
        assert (name in told) == bool(cuts)
        if not cuts:
            continue
        sheets, _ = follow(cuts, width, length, laid_of(rows))
        (rest,) = [s for s in sheets if s[2] == width and (s[3] is None or s[1] + s[3] == length)]
        assert told[name]["used"] == rest[1], "the last cut right across the whole roll"
        assert told[name]["remains"] == rest[3]


def harmed(rows, **changes):
    """The rows with the first cut along told wrong."""
    at = next(at for at, cut in enumerate(rows["cuts"]) if cut["way"] == "along")
    return [cut | changes if n == at else cut for n, cut in enumerate(rows["cuts"])]


@pytest.mark.parametrize("changes", [{"measure": 3.0}, {"x": 5.0}, {"way": "across"}, {"at": 12.0}])
def test_whoever_follows_it_sees_a_cut_told_wrong(rows, changes):
    cuts = harmed(rows, **changes)
    roll = next(cut["roll"] for cut in cuts if cut["way"] == "along" or cut.items() >= changes.items())
    width, length, _, _ = rolls()[roll]
    with pytest.raises(AssertionError):
        follow([cut for cut in cuts if cut["roll"] == roll], width, length, laid_of(rows))
