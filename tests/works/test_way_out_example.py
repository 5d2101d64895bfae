"""The example of a studio with a stair: one work passes only when tilted, one only in two halves."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of
from longpoint.works.leaving import early_cautions, ways_out

EXAMPLE = Path(__file__).parents[2] / "examples" / "way-out.toml"


def test_what_gets_out_of_the_loft() -> None:
    batch = parse_batch(EXAMPLE.read_bytes())
    outs = {
        brief.work.name: ways_out(brief, depth=Fraction(44), thickness=Fraction(24), seam=None)[0]
        for brief in briefs_of(batch)
    }
    assert {name: out.passes for name, out in outs.items()} == {
        "Heron": True,
        "Causeway": True,
        "Breakwater": False,
        "Breakwater in halves": True,
    }
    assert all(one.hold.tilt == "none" for one in outs["Heron"].passings)
    assert outs["Causeway"].passings[0].hold.tilt == "lean"
    assert "halves" in outs["Breakwater"].helps
    assert [caution.about for caution in early_cautions(batch)] == ["Breakwater"]
