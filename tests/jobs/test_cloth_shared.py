"""Works that name a roll and works that may come from it: nothing is cut twice from the same cloth."""

from longpoint.cutting.cloth.search import plan_cloth
from longpoint.model.reading import parse_batch
from longpoint.needs.cloth import lay_cloth
from longpoint.works.brief import briefs_of
from longpoint.works.piece import Piece

STATED = """
[[work]]
name = "named"
width = 900
height = 700
cloth.roll = "half"

[[work]]
name = "free"
width = 900
height = 700

[[roll]]
name = "half"
width = 1200
length = {length}
at_hand = true
per_metre = 10

[[roll.flaws]]
start = 1500
stop = 1600
why = "slub"

[[roll]]
name = "shop"
width = 2100
per_metre = 30
"""


def lays(length):
    batch = parse_batch(STATED.format(length=length))
    pieces = tuple(
        Piece(work.name, work.name, work.width + 160, work.height + 160, 80, "y", work.how_many)
        for work in batch.work
    )
    return lay_cloth(
        briefs_of(batch), pieces, sewn=batch.cloth, solve=lambda problem: plan_cloth(problem, effort=50)
    )


def test_a_later_lay_on_a_roll_begins_where_the_earlier_one_was_cut_off():
    first, second = lays(3000)
    assert [piece.work for piece in first.pieces] == ["named"]
    used = first.plan.uses[0].used
    left = next(roll for roll in second.problem.rolls if roll.name == "half")
    assert left.length == 3000 - used
    assert [(flaw.y_from, flaw.y_to) for flaw in left.flaws] == [(1500 - used, 1600 - used)]
    assert second.plan.refereed.passed


def test_what_is_used_up_is_not_used_again():
    first, second = lays(1700)
    assert first.plan.uses[0].roll == "half"
    assert [use.roll for use in second.plan.uses] == ["shop"]
