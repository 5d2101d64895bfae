"""Steps are put into words in every language: every sentence is there, and the step has every figure it asks for."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from joinery.frames import frame_of, plan_of
from joinery.test_long import halved, joined, plan
from longpoint.drawing.sheets.build_lines import build_lines
from longpoint.drawing.sheets.build_pages import step_words
from longpoint.drawing.words.voice import catalogue, languages, placeholders, voice_of
from longpoint.joinery import BuildPlan

PLANS = {
    "usual": lambda: plan_of(frame_of()),
    "bare": lambda: plan_of(frame_of(end_rails=(), rails=0, middle_pieces=False)),
    "gussets": lambda: plan_of(frame_of(corner="mitre with gusset")),
    "keyed": lambda: plan_of(frame_of(corner="keyed mitre", end_rails=(), rails=0, middle_pieces=False)),
    "scarf": lambda: plan(joined("scarf")),
    "scarf, bevelled later": lambda: plan(joined("scarf", bevel_first=False)),
    "lap": lambda: plan(joined("half-lap with plate")),
    "halves": lambda: plan(halved()),
    "cross rails alone": lambda: plan_of(frame_of(end_rails=(), middle_pieces=False, shift=F(0))),
    "glued from two boards": lambda: plan_of(frame_of(bar_boards=2, bevel_first=False)),
    "glued, square ends": lambda: plan_of(frame_of(bar_boards=2, bevel_first=False, corner="half-lap")),
}


@pytest.mark.parametrize("made", PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("language", languages())
def test_every_step_is_said_with_its_figures(made, language: str) -> None:
    build: BuildPlan = made()
    say = voice_of(language)
    fixings = {fixing.name: fixing for joint in build.joints for fixing in joint.fixings}
    for step in build.steps:
        said = step_words(step, [fixings[name] for name in step.screws], say)
        assert said.title
        assert all(said.do)
        texts = (said.title, *said.do, said.measure, said.check, said.caution, said.meanwhile)
        assert not any("{" in text for text in texts)
        if step.clock is not None:
            assert f"step.until.{step.clock.until}" in catalogue(language)


def test_every_sentence_has_the_same_figures_in_every_language() -> None:
    english = {key: text for key, text in catalogue("en").items() if key.startswith("step.")}
    for language in languages():
        texts = catalogue(language)
        for key, text in english.items():
            assert placeholders(texts[key]) == placeholders(text), (language, key)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("ends", [(), ("left", "right")])
def test_nothing_is_measured_at_end_rails_that_a_frame_does_not_have(language: str, ends: tuple) -> None:
    plan = plan_of(frame_of(end_rails=ends, middle_pieces=False, shift=F(0)))
    say = voice_of(language)
    (cut,) = [step for step in plan.steps if step.key == "cut-cross-rails"]
    words = " ".join((*build_lines(plan, say=say), step_words(cut, [], say).measure))
    named = "end rail" if language == "en" else "Endsteg"
    assert (named in words) == bool(ends)
