"""Pieces of cloth on rolls: every rule, and the referee that must see each one broken."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.cuts import NotStraightError, Sheet, slices
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.errors import FaultsError
from longpoint.model.reading import parse_batch
from longpoint.needs.cloth import lay_cloth
from longpoint.works.brief import briefs_of
from longpoint.works.piece import Piece


def roll(name="new", width=2100.0, **rest):
    return ClothRoll(name, width, **({"price": Decimal("14.50")} | rest))


def planned(pieces, rolls, effort=300, **rest):
    problem = ClothProblem(tuple(pieces), tuple(rolls), **rest)
    plan = plan_cloth(problem, effort=effort)
    assert check_cloth_plan(problem, plan) == ()
    return plan


def faults_of(pieces, rolls, **rest):
    with pytest.raises(FaultsError) as caught:
        plan_cloth(ClothProblem(tuple(pieces), tuple(rolls), **rest), effort=50)
    return {fault.code: str(fault) for fault in caught.value.faults}


def test_the_cloth_of_one_picture_is_cut_to_the_size_the_facts_give():
    # face 2000 × 1500, depth 28, wrap 40, grip 20: 2176 × 1676 mm (computed: face + 2 (depth + wrap + grip))
    across, along = 1500 + 2 * (28 + 40 + 20), 2000 + 2 * (28 + 40 + 20)
    plan = planned([ClothPiece("large", across, along)], [roll(width=1753)])
    assert (plan.laid[0].across, plan.laid[0].along) == (1676, 2176)
    assert plan.used == 2176
    assert plan.cost == Decimal("31.55")  # 2.176 m at 14.50
    assert plan.proven


def test_a_piece_keeps_its_warp_unless_it_may_be_turned():
    fixed = planned([ClothPiece("p", 907, 1310, 2)], [roll(width=1850)])
    assert {laid.turned for laid in fixed.laid} == {False}
    assert fixed.used == 1310
    free = planned([ClothPiece("p", 1310, 907, 2, may_turn=True)], [roll(width=1850)])
    assert {laid.turned for laid in free.laid} == {True}
    assert free.used == 1310


def test_on_a_remnant_whose_warp_runs_across_a_piece_lies_the_other_way():
    plan = planned([ClothPiece("p", 711, 1310)], [roll(width=1500, length=900.0, warp_along=False)])
    (laid,) = plan.laid
    assert (laid.across, laid.along, laid.turned) == (1310, 711, False)


def test_selvedge_and_squared_end_are_left_off_and_measured_from_the_edge():
    plan = planned([ClothPiece("p", 903, 611, 2)], [roll(width=1830, selvedge=12, square_up=35)])
    assert sorted(laid.x for laid in plan.laid) == [12, 915]
    assert {laid.y for laid in plan.laid} == {35}
    assert plan.used == 646
    first, second = plan.cuts[:2]
    assert (first.way, first.at) == ("across", 35)
    assert (second.way, second.at, second.measure) == ("across", 646, 611)


def test_allowance_for_tearing_goes_on_every_edge():
    plan = planned([ClothPiece("p", 903, 611)], [roll()], allowance=4.5)
    assert (plan.laid[0].across, plan.laid[0].along) == (912, 620)


def test_a_flaw_is_avoided_and_the_cloth_beside_it_used():
    flaw = Flaw(300, 340, 1000, 1050, "slub")
    plan = planned([ClothPiece("p", 960, 700, 2)], [roll(width=2100, flaws=(flaw,))])
    assert plan.used == 700, "one piece on either side of the slub"
    assert {laid.x + laid.across <= 1000 or laid.x >= 1050 for laid in plan.laid} == {True}


def test_a_flaw_right_across_pushes_the_piece_behind_it_where_nothing_fits_before():
    plan = planned([ClothPiece("p", 960, 700), ClothPiece("q", 413, 250)], [roll(flaws=(Flaw(260, 290),))])
    where = {laid.piece: laid.y for laid in plan.laid}
    assert where["p"] >= 290
    assert where["q"] + 250 <= 260 or where["q"] >= 290
    assert plan.used == 290 + 700


def test_the_remnant_goes_first_where_it_is_worth_less_than_new_cloth():
    rest = ClothRoll("rest", 1600, 2350.0, at_hand=True, worth=Decimal(6), shortest_kept=400)
    plan = planned([ClothPiece("p", 1500, 1100, 3)], [roll(), rest])
    used = {use.roll: use for use in plan.uses}
    assert used["rest"].used == 2200
    assert used["rest"].remains == 150
    assert used["rest"].remnant_worth == 0, "150 mm is shorter than what is kept"
    assert used["rest"].cost == Decimal("14.10")  # all 2.35 m at 6
    assert used["new"].used == 1100
    assert used["new"].paid == Decimal("15.95")
    assert plan.cost == Decimal("30.05")


def test_new_cloth_goes_first_where_the_roll_at_hand_is_worth_more():
    rest = ClothRoll("good linen", 1600, 9000.0, at_hand=True, worth=Decimal(31))
    plan = planned([ClothPiece("p", 1500, 1100, 2)], [rest, roll()])
    assert [use.roll for use in plan.uses] == ["new"]
    assert plan.proven


def test_the_narrower_roll_is_bought_where_it_costs_less_for_the_piece():
    wide, narrow = roll("wide", 2150, price=Decimal(21)), roll("narrow", 1430, price=Decimal(12))
    plan = planned([ClothPiece("p", 1400, 1900, 2)], [wide, narrow])
    assert [(use.roll, use.used) for use in plan.uses] == [("narrow", 3800)]


def test_lengths_are_bought_in_the_steps_of_the_shop():
    plan = planned([ClothPiece("p", 1500, 1130)], [roll(step=500)])
    assert plan.uses[0].bought == 1500
    assert plan.cost == Decimal("21.75")


def test_a_whole_roll_is_paid_and_what_remains_is_worth_something():
    whole = roll(length=10_000.0, whole=True, price=Decimal(11), worth=Decimal(7), shortest_kept=500)
    plan = planned([ClothPiece("p", 1500, 2500)], [whole])
    assert plan.uses[0].paid == Decimal("110.00")
    assert plan.uses[0].remnant_worth == Decimal("52.50")
    assert plan.cost == Decimal("57.50")


def test_without_prices_the_length_is_made_least():
    plan = planned([ClothPiece("p", 1010, 730, 4)], [roll(price=Decimal(0))])
    assert plan.cost == 0
    assert plan.used == plan.used_at_least == 1460
    assert plan.proven


def test_no_length_is_longer_than_the_table():
    pieces = [ClothPiece("a", 700, 611, 4), ClothPiece("b", 1300, 407, 6)]
    plan = planned(pieces, [roll()], longest_length=900)
    lengths = (0.0, *plan.uses[0].lengths)
    assert max(b - a for a, b in pairwise(lengths)) <= 900


def test_a_piece_too_wide_is_sewn_with_the_seam_near_its_edge():
    plan = planned([ClothPiece("wide", 2400, 1300, may_seam=True)], [roll(selvedge=10)], seam_allowance=15)
    (sewn,) = plan.sewn
    assert sewn.seams == (2065,)  # a full breadth: 2100 − 20 selvedge − 15 seam
    assert sewn.breadths == (2080, 350)
    assert any("seams" in dict(caution.facts) for caution in plan.cautions)


def test_a_piece_of_nearly_two_breadths_gets_a_full_one_in_the_middle():
    plan = planned([ClothPiece("wide", 3800, 1300, may_seam=True)], [roll()], seam_allowance=10)
    (sewn,) = plan.sewn
    assert sewn.seams == (860, 2940)  # (3800 − 2080) / 2 on either side
    assert all(abs(seam - 1900) >= 3800 / 6 for seam in sewn.seams)


def test_a_very_wide_piece_has_a_full_breadth_across_its_middle():
    plan = planned([ClothPiece("curtain", 8300, 1300, may_seam=True)], [roll()], seam_allowance=10)
    seams = plan.sewn[0].seams
    assert len(seams) == 4
    assert (seams[1], seams[2]) == (4150 - 1040, 4150 + 1040)  # 2100 less two seam allowances in the middle


def test_seam_and_breadths_of_a_piece_come_out_as_by_hand_with_every_allowance() -> None:
    # Usable 2100 − 2 × 10 = 2080. A full breadth with one torn edge and one seam is finished 2080 − 5 − 15 = 2060 wide;
    # 2600 − 2060 = 540 stay for the strip, cut 540 + 15 + 5 = 560. The middle third, 867 to 1733, has no seam.
    plan = planned(
        [ClothPiece("wide", 2600, 1500, may_seam=True)], [roll(selvedge=10)], allowance=5, seam_allowance=15
    )
    (sewn,) = plan.sewn
    assert sewn.seams == (2060,)
    assert sewn.breadths == (2075, 555)  # without the torn edges
    assert sorted((laid.breadth, laid.across, laid.along) for laid in plan.laid) == [
        (1, 2080, 1510),
        (2, 560, 1510),
    ]
    assert sum(sewn.breadths) - 2 * 15 == 2600


def test_a_seam_in_the_middle_is_made_only_when_asked_for():
    plan = planned([ClothPiece("wide", 3800, 1300, may_seam=True, seam_in_middle=True)], [roll()])
    assert plan.sewn[0].seams == (1900,)


def test_a_seam_goes_where_it_is_wanted():
    plan = planned([ClothPiece("wide", 2600, 1300, may_seam=True, seam_at=611)], [roll()])
    assert plan.sewn[0].seams == (611,)
    assert plan.sewn[0].breadths == (626, 2004)


def test_a_piece_too_wide_names_the_nearest_roll_and_what_it_lacks():
    said = faults_of([ClothPiece("wide", 2400, 2500)], [roll("narrow", 1600), roll("wide roll", 2150)])
    message = said["piece-wider-than-rolls"]
    assert '"wide"' in message
    assert 'nearest is "wide roll": it is 250 mm too narrow' in message
    assert "sewn" in message


def test_rolls_that_are_too_short_for_all_say_what_is_left_over():
    said = faults_of([ClothPiece("p", 1500, 1100, 3)], [roll(length=2500.0)])
    assert '"p" (1)' in said["not-enough-cloth"]


def test_every_fault_of_a_problem_is_said_at_once():
    said = faults_of(
        [ClothPiece("p", -5, 611), ClothPiece("p", 300, 400, 0), ClothPiece("q", 700, 400, seam_at=900)],
        [
            roll(price=Decimal(-1)),
            roll("r", 20, selvedge=10),
            roll("s", length=100.0, square_up=130),
            roll("t", whole=True),
            roll("u", worth=Decimal(40)),
            roll("v", flaws=(Flaw(400, 300),)),
        ],
        allowance=float("nan"),
    )
    assert set(said) == {
        "repeated-name",
        "bad-size",
        "bad-count",
        "seam-outside",
        "bad-price",
        "selvedge-eats-roll",
        "square-up-eats-roll",
        "whole-roll-without-length",
        "worth-above-price",
        "flaw-outside-roll",
    }
    assert set(faults_of([], [])) == {"no-cloth-pieces", "no-rolls"}


SAMPLE = ClothProblem(
    (
        ClothPiece("a", 1360, 960, 2),
        ClothPiece("b", 603, 777, 3, may_turn=True),
        ClothPiece("c", 2400, 500, may_seam=True),
    ),
    (
        roll(selvedge=10, square_up=20, flaws=(Flaw(100, 120, 50, 70),)),
        ClothRoll("rest", 1500, 2000.0, at_hand=True, worth=Decimal(5), shortest_kept=300),
    ),
    allowance=2,
)


def with_laid(plan, **changes):
    return replace(plan, laid=(replace(plan.laid[0], **changes), *plan.laid[1:]))


def with_cut(plan, which, **changes):
    cuts = list(plan.cuts)
    cuts[which] = replace(cuts[which], **changes)
    return replace(plan, cuts=tuple(cuts))


def with_use(plan, **changes):
    return replace(plan, uses=(replace(plan.uses[0], **changes), *plan.uses[1:]))


@pytest.mark.parametrize(
    ("harm", "word"),
    [
        (lambda plan: replace(plan, laid=plan.laid[1:]), "laid 0 times"),
        (lambda plan: replace(plan, laid=(*plan.laid, plan.laid[0])), "laid 2 times"),
        (lambda plan: with_laid(plan, x=0.0), "usable width"),
        (lambda plan: with_laid(plan, y=0.0), "usable length"),
        (lambda plan: with_laid(plan, x=plan.laid[1].x, y=plan.laid[1].y, roll=plan.laid[1].roll), "overlap"),
        (lambda plan: with_laid(plan, across=plan.laid[0].across - 1), "wanted"),
        (lambda plan: with_laid(plan, turned=not plan.laid[0].turned), "mm, wanted"),
        (lambda plan: with_laid(plan, roll="nowhere"), "not stated"),
        (lambda plan: with_cut(plan, 0, at=plan.cuts[0].at + 0.5), "measured"),
        (lambda plan: with_cut(plan, 0, way="along"), "right across"),
        (lambda plan: with_cut(plan, 1, y=plan.cuts[1].y + 3), "not there"),
        (lambda plan: with_cut(plan, 0, measure=7.0), "measured"),
        (lambda plan: with_cut(plan, 0, frees=("a 1",)), "frees"),
        (lambda plan: replace(plan, cuts=plan.cuts[:-1]), "one sheet"),
        (lambda plan: with_use(plan, used=plan.uses[0].used + 5), "is used"),
        (lambda plan: with_use(plan, paid=plan.uses[0].paid + 1), "to be bought"),
        (lambda plan: with_use(plan, cost=plan.uses[0].cost + 1), "wrong"),
        (lambda plan: replace(plan, cost=plan.cost + 1), "sum over the rolls"),
        (lambda plan: replace(plan, used=plan.used + 1), "sum over the rolls"),
        (lambda plan: replace(plan, at_least=plan.cost + 1), "bound lies above"),
        (lambda plan: replace(plan, sewn=()), "laid"),
        (lambda plan: replace(plan, sewn=(replace(plan.sewn[0], seams=(1200.0,)),)), "middle third"),
    ],
)
def test_the_referee_sees_every_harm(harm, word):
    plan = plan_cloth(SAMPLE, effort=200)
    assert check_cloth_plan(SAMPLE, plan) == ()
    wrong = " ".join(str(fault) for fault in check_cloth_plan(SAMPLE, harm(plan)))
    assert word in wrong


def test_the_referee_sees_a_piece_on_a_flaw_and_a_length_too_long():
    problem = ClothProblem((ClothPiece("p", 903, 611),), (roll(),))
    plan = plan_cloth(problem, effort=50)
    flawed = replace(problem, rolls=(roll(flaws=(Flaw(600, 650, 900, 950),)),))
    assert any("lies on the flaw" in str(fault) for fault in check_cloth_plan(flawed, plan))
    short = replace(problem, longest_length=600)
    assert any("longer than allowed" in str(fault) for fault in check_cloth_plan(short, plan))


def test_a_remnant_used_up_to_its_end_needs_no_cut_across():
    rest = ClothRoll("rest", 1000, 911.0, at_hand=True, worth=Decimal(3))
    plan = planned([ClothPiece("a", 433, 911), ClothPiece("b", 567, 911)], [rest])
    assert [cut.way for cut in plan.cuts] == ["along"]
    assert plan.uses[0].remains == 0


def test_no_order_of_straight_cuts_is_made_up_for_a_pinwheel():
    pinwheel = [
        Sheet(0, 0, 5, 3, "n"),
        Sheet(5, 0, 3, 5, "e"),
        Sheet(3, 5, 5, 3, "s"),
        Sheet(0, 3, 3, 5, "w"),
    ]
    with pytest.raises(NotStraightError):
        slices(Sheet(0, 0, 8, None), pinwheel)


def test_the_same_problem_gives_the_same_plan_twice():
    assert plan_cloth(SAMPLE, effort=150) == plan_cloth(SAMPLE, effort=150)


sizes = st.one_of(st.integers(200, 1900), st.integers(601, 5700).map(lambda third: third / 3))


@given(
    pieces=st.lists(st.tuples(sizes, sizes, st.integers(1, 3), st.booleans()), min_size=1, max_size=6),
    selvedge=st.sampled_from([0, 8]),
    rest=st.one_of(st.none(), st.tuples(st.integers(300, 1900), st.integers(500, 4000), st.integers(0, 20))),
    spot=st.one_of(st.none(), st.tuples(st.integers(0, 1500), st.integers(0, 3000))),
    step=st.sampled_from([0, 250]),
)
@settings(max_examples=30, deadline=None)
def test_random_problems_pass_the_referee(pieces, selvedge, rest, spot, step):
    flaws = () if spot is None else (Flaw(spot[1], spot[1] + 37, spot[0], spot[0] + 53),)
    rolls = [roll(selvedge=selvedge, flaws=flaws, step=step)]
    if rest is not None:
        rolls.append(
            ClothRoll(
                "rest", rest[0], float(rest[1]), at_hand=True, worth=Decimal(rest[2]), shortest_kept=300
            )
        )
    wanted = [ClothPiece(f"p{k}", w, h, n, t) for k, (w, h, n, t) in enumerate(pieces)]
    plan = planned(wanted, rolls, effort=100, allowance=1.5)
    assert plan.at_least <= plan.cost
    assert 0 <= plan.gap <= 1


def test_a_flaw_of_a_batch_may_lie_beside_whole_cloth() -> None:
    stated = """
        [[work]]
        name = "One"
        width = 900
        height = 700
        [[roll]]
        name = "r"
        width = 2100
        flaws = [
            { start = 300, stop = 340, left = 500, right = 560, why = "slub" },
            { start = 4000, stop = 4050 },
        ]
    """
    batch = parse_batch(stated)
    piece = Piece("One", "A", Fraction(1060), Fraction(860), Fraction(80), "x", 2)
    ((cutting),) = lay_cloth(
        briefs_of(batch), (piece,), sewn=batch.cloth, solve=lambda problem: plan_cloth(problem, effort=50)
    )
    assert cutting.problem.rolls[0].flaws == (Flaw(300, 340, 500, 560, "slub"), Flaw(4000, 4050))
    assert all(laid.x >= 560 or laid.y >= 340 for laid in cutting.plan.laid)
    # 860 across the warp beside the slub, 2100 − 560: one lies there, the other behind it or the first.
    assert cutting.plan.used <= 340 + 1060
