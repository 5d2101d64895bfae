"""Three answers: what holds, what holds unless, what does not hold."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from longpoint.strength.verdicts.bears import bears_verdict
from longpoint.strength.verdicts.verdict import Bound, Judge, Verdict, answer_of, judged

READ = Bound(1.0, "at most", "somewhere", "read")
ESTIMATE = Bound(2.0, "at most", "judgement", "estimate")


def verdict(key: str, value: float, high: float, bound: Bound, judge: Judge = "design") -> Verdict:
    return judged(key, value, "1", bound, low=value, high=high, judge=judge)


@pytest.mark.parametrize(
    ("found", "answer"),
    [
        (verdict("corner-use", 0.6, 0.9, READ), "holds"),
        (verdict("corner-use", 0.6, 1.3, READ), "unless"),  # strength: the unfavourable end
        (verdict("corner-use", 1.1, 1.3, READ), "not"),
        (verdict("hollow", 1.9, 3.0, ESTIMATE), "holds"),  # looks: the likely value, the range shown
        (verdict("hollow", 2.1, 3.0, ESTIMATE), "unless"),  # an estimate, passed by less than a tenth
        (verdict("tension-spread", 4.0, 9.0, ESTIMATE), "unless"),  # an estimate of what nobody sees
        (verdict("tension-spread", 4.0, 9.0, READ), "not"),
        (verdict("hollow", 2.3, 3.0, ESTIMATE), "not"),
        (verdict("hollow", 2.1, 3.0, replace(ESTIMATE, tag="yours")), "not"),  # a stated limit is no estimate
        (verdict("wind", 3.0, 4.0, ESTIMATE, "bench"), "unless"),  # the bench can put it right
    ],
)
def test_the_answer_of_a_verdict(found: Verdict, answer: str) -> None:
    assert found.answer == answer


def test_a_factor_of_buckling_is_held_by_its_low_end() -> None:
    bound = Bound(3.0, "at least", "", "read")
    found = judged("buckling", 9.0, "1", bound, low=2.0, high=12.0)
    assert (found.worst, found.answer) == (2.0, "unless")
    assert replace(found, low=3.5).answer == "holds"


def test_a_work_answers_as_its_worst_verdict_and_a_wish_leaves_a_doubt() -> None:
    holds, unless = verdict("hollow", 1.0, 1.0, ESTIMATE), verdict("corner-use", 0.6, 1.3, READ)
    fails, wish = verdict("hollow", 3.0, 3.0, ESTIMATE), verdict("year", 3.0, 3.0, ESTIMATE, "wish")
    assert answer_of([holds]) == "holds"
    assert answer_of([holds, wish]) == answer_of([holds, unless]) == "unless"
    assert answer_of([holds, unless, fails]) == "not"


def test_what_frame_and_joints_bear_is_where_the_first_limit_of_strength_is_used_up() -> None:
    case = SimpleNamespace(peak=1.0, tension_left=0.2, hard=4.0, left=(0.05, 0.8), watered=True)
    uses = [verdict("corner-use", 0.4, 1.6, READ), verdict("timber-use", 0.25, 1.0, READ)]
    (found,) = bears_verdict(case, [*uses, verdict("hollow", 9.0, 9.0, ESTIMATE)])  # type: ignore[arg-type]
    assert found.limit == pytest.approx(0.2 / 0.4)
    assert (found.value, found.high) == (pytest.approx(0.2), pytest.approx(0.8))
    assert (found.place, found.answer) == ("corner-use", "unless")
