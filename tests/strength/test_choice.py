"""The search itself, on made-up candidates."""

from __future__ import annotations

from dataclasses import replace

import pytest

from longpoint.strength.choice import UNBUILDABLE, Candidate, Choice, choose
from longpoint.strength.verdicts.verdict import Verdict


def verdict(key: str, value: float, most: float) -> Verdict:
    return Verdict(
        key=key, value=value, unit="mm", low=value, high=value, limit=most, sense="at most", source="made up",
        tag="estimate", judge="design",
    )  # fmt: skip


# name: cost, mass, pull-in, hollow; limits 1.5 and 2.0
DESIGNS = {
    "bare": (5.0, 2.0, 6.9, 1.0),
    "one": (7.0, 2.6, 1.8, 1.0),
    "two": (9.0, 3.1, 0.7, 2.3),
    "ends": (10.0, 3.0, 0.9, 1.1),
    "both": (12.0, 3.6, 0.5, 1.2),
    "dear": (13.0, 4.0, 0.8, 1.0),
}


def searched(*, first: str = "cheapest", without: tuple[str, ...] = (), limit: float = 1.5) -> Choice[str]:
    candidates = [
        Candidate(name, name, cost, mass, cost / 10)
        for name, (cost, mass, _, _) in DESIGNS.items()
        if name not in without
    ]

    def verdicts(candidate: Candidate[str]) -> tuple[Verdict, ...]:
        _, _, pull, hollow = DESIGNS[candidate.name]
        return (verdict("pulled-in-now", pull, limit), verdict("hollow", hollow, 2.0))

    return choose(
        reversed(candidates),
        bound=lambda c: "pulled-in-now" if c.name == "bare" else "",
        look=lambda c: (verdicts(c)[:1], ""),
        judge=verdicts,
        first=first,  # type: ignore[arg-type]
    )


def test_the_cheapest_that_passes_in_full_is_chosen_and_the_nearest_miss_decides() -> None:
    choice = searched()
    assert choice.chosen.candidate.name == "ends"
    assert choice.passes
    assert choice.decided is not None
    assert choice.decided.key == "hollow"  # "two" misses by 15 %, "one" by 20 %
    assert [rival.candidate.name for rival in choice.rivals] == ["two", "both"]


def test_what_a_quick_bound_throws_out_is_never_solved() -> None:
    assert [t.candidate.name for t in searched().tried if t.bound] == ["bare"]
    assert searched().solved == 5


@pytest.mark.parametrize(("first", "name"), [("lightest", "ends"), ("stiffest", "both")])
def test_lightest_and_stiffest_follow_their_own_order(first: str, name: str) -> None:
    assert searched(first=first).chosen.candidate.name == name


def test_designs_that_another_beats_in_cost_mass_and_pull_in_are_left_out() -> None:
    assert {t.candidate.name for t in searched().unbeaten} == {"ends", "both"}


def test_where_nothing_passes_the_nearest_miss_is_named_with_the_limit_it_misses() -> None:
    choice = searched(limit=0.4)
    assert not choice.passes
    assert choice.chosen.candidate.name == "both"
    assert choice.decided is not None
    assert choice.decided.key == "pulled-in-now"


def test_a_limit_kept_to_within_a_tenth_never_decides() -> None:
    """An estimate overrun by 8 % is kept; a published limit overrun by 3 % is not, and it is what decided."""

    def verdicts(candidate: Candidate[str]) -> tuple[Verdict, ...]:
        bending = replace(verdict("bending", 1.03 if candidate.name == "thin" else 0.5, 1.0), tag="read")
        return (verdict("hollow", 2.16, 2.0), bending)

    choice = choose(
        [Candidate("thin", "thin", 1.0, 1.0, 1.0), Candidate("thick", "thick", 2.0, 1.0, 1.0)],
        bound=lambda _c: "",
        look=lambda _c: ((), ""),
        judge=verdicts,
    )
    assert (choice.chosen.candidate.name, choice.passes) == ("thick", True)
    assert choice.decided is not None
    assert choice.decided.key == "bending"
    assert not choice.led


def test_where_screws_decided_no_limit_is_named() -> None:
    choice = choose(
        [Candidate("thin", "thin", 1.0, 1.0, 1.0), Candidate("thick", "thick", 2.0, 1.0, 1.0)],
        bound=lambda _c: "",
        look=lambda _c: ((), ""),
        judge=lambda _c: (verdict("hollow", 1.0, 2.0),),
        together=lambda c: c.name == "thick",
    )
    assert choice.chosen.candidate.name == "thick"
    assert (choice.decided, choice.led, choice.rivals[0].broken) == (None, False, UNBUILDABLE)


def test_a_design_that_gives_way_is_passed_over() -> None:
    candidates = [Candidate(n, n, c, 1.0, 1.0) for n, c in (("soft", 1.0), ("stiff", 2.0))]
    good = (verdict("pulled-in-now", 0.5, 1.5),)
    choice = choose(
        candidates,
        bound=lambda _c: "",
        look=lambda c: ((), "gives way") if c.name == "soft" else (good, ""),
        judge=lambda _c: good,
    )
    assert choice.chosen.candidate.name == "stiff"
    assert choice.tried[0].broken == "gives way"


def test_the_nearest_miss_is_one_that_can_be_built() -> None:
    candidates = [Candidate(n, n, c, 1.0, 1.0) for n, c in (("near", 1.0), ("far", 2.0))]
    misses = {"near": (verdict("pulled-in-now", 1.6, 1.0),), "far": (verdict("pulled-in-now", 1.9, 1.0),)}
    choice = choose(
        candidates,
        bound=lambda _c: "",
        look=lambda _c: ((verdict("pulled-in-now", 0.5, 1.0),), ""),
        judge=lambda c: misses[c.name],
        together=lambda c: c.name == "far",
    )
    assert not choice.passes
    assert choice.chosen.candidate.name == "far"
