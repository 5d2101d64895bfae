"""The starter batch file: short from five answers, or whole, with every key that there is, its default and meaning."""

from __future__ import annotations

import json
import textwrap
from fractions import Fraction
from typing import Any

from pydantic import BaseModel

from longpoint.model.answers import Answers, answered_lines, region_of_unit
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.model.reference import meanings_of, model_of, words_of
from longpoint.tables.shops import INCH, Region, shop_lengths, shop_name, shop_screws, shop_sections
from longpoint.units import LengthStyle

_SHORT_HEAD = """\
# A batch for longpoint. A bare number counts in the unit below; a length may carry its own, as "1.2 m" or "47 1/4 in".
# Another work, timber or roll is another table of the same name. What is not said has a default, named as one.
# Every key there is, with its default and meaning: longpoint new --all FILE
"""

_WHOLE_HEAD = """\
# A batch for longpoint with every key that there is. Lines begin in four ways:
#   key = value       said, and kept
# # key = value       the default: it is so without being said; take the # away and change it
# #: key = value      an example of what has no default; a table in brackets is taken into use with its first line
# #| key = value      another way to say what stands beside it
# A bare number counts in the unit below; a length may carry its own, as "1.2 m" or "47 1/4 in".
"""

_EXAMPLES: dict[str, str | tuple[str, str]] = {
    "work.bars": '{ bevel_when = "after cutting" }',
    "work.inside": "{ cross_rails = 2 }",
    "work.cloth": '{ fasten = "side" }',
    "set.name": '"Two panels"',
    "set.members": '["First work", "Second work"]',
    "yard.name": ('"planed strip"', '"strip"'),
    "yard.nominal": '"1x2"',
    "yard.thickness": ("21", '"3/4 in"'),
    "yard.depth": ("44", '"1 1/2 in"'),
    "yard.lengths": (
        '["2.4 m", { length = "3.6 m", price = 9.40, how_many = 12 }]',
        '["8 ft", { length = "10 ft", price = 9.40, how_many = 12 }]',
    ),
    "yard.per_metre": "2.60",
    "yard.per_foot": "0.95",
    "rack.name": '"R1"',
    "rack.thickness": ("21", '"3/4 in"'),
    "rack.depth": ("44", '"1 1/2 in"'),
    "rack.length": ('"2.1 m"', '"7 ft"'),
    "rack.worth": "1.50",
    "rack.bow": ('"5 mm"', '"3/16 in"'),
    "rack.crook": ('"3 mm"', '"1/8 in"'),
    "rack.twist": ('"2 mm"', '"1/16 in"'),
    "rack.avoid": (
        '[{ start = "1.2 m", stop = "1.3 m", why = "knot" }]',
        '[{ start = "4 ft", stop = "51 in", why = "knot" }]',
    ),
    "arrived.timber": '"R1"',
    "arrived.thickness": ('["20.2 mm", "20.3 mm"]', '["3/4 in", "23/32 in"]'),
    "arrived.depth": ('["43.6 mm", "43.4 mm"]', '["1 1/2 in", "1 15/32 in"]'),
    "roll.name": '"duck"',
    "roll.width": ('"2.1 m"', '"84 in"'),
    "roll.length": ('"12 m"', '"40 ft"'),
    "roll.per_metre": "14.50",
    "roll.per_yard": "13.20",
    "roll.water_tension": "250",
    "roll.stiffness": "60000",
    "roll.flaws": (
        '[{ start = "3 m", stop = "3.2 m", left = "0 mm", right = "400 mm", why = "slub" }]',
        '[{ start = "10 ft", stop = "11 ft", left = "0 in", right = "16 in", why = "slub" }]',
    ),
    "order.full_pull": "400",
    "order.run": '[{ side = "bottom", staples = [18, 19], pull = 1, out = [17.5] }]',
    "screw.diameter": ('"4 mm"', '"0.164 in"'),
    "screw.gauge": "8",
    "screw.length": ('"40 mm"', '"1 1/2 in"'),
    "screw.price": "6.10",
    "staple.price": "7.20",
    "glue.price": "8.00",
    "size.price": "6.00",
    "primer.price": "18.00",
    "hanger.price": "4.50",
    "shop.less_sorting": "0.01",
    "shop.saw.width_at_45": ('"90 mm"', '"3 1/2 in"'),
    "shop.saw.height_at_45": ('"90 mm"', '"3 1/2 in"'),
    "shop.drill.bit_length": ('"120 mm"', '"5 in"'),
    "shop.offcuts.blocks": ('"220 mm"', '"9 in"'),
    "shop.offcuts.rails_share": "0.4",
    "work.price": "480",
    "shop.rates.markup": "0.35",
    "shop.minutes.set_up": "30",
    "shop.minutes.cut": "2.5",
    "shop.minutes.bevel": "2",
    "shop.minutes.hole": "1",
    "shop.minutes.screw": "0.5",
    "shop.minutes.cloth": "12",
    "shop.minutes.staple": "0.4",
    "shop.minutes.coat": "6",
    "shop.factors.saw": "1.1",
    "shop.factors.build": "1.4",
    "shop.factors.stretch": "0.9",
    "shop.factors.coat": "1",
    "shop.factors.glue": "1.2",
    "shop.factors.staples": "1.1",
    "price.per_square_metre": "600",
    "price.per_square_foot": "55",
    "price.per_cm": "4",
    "price.per_inch": "10",
    "price.several": "[{ pieces = 3, discount = 0.05 }]",
    "price.sizes": ('[["400 mm", "300 mm"], ["1 m", "800 mm"]]', '[["16 in", "12 in"], ["40 in", "30 in"]]'),
    "packing.name": '"To the hall"',
    "packing.works": '["First work"]',
    "packing.sheet_price": "14",
    "limits.pulled_in": ('"1 mm"', '"1/32 in"'),
    "limits.gap": ('"8 mm"', '"5/16 in"'),
    "limits.hollow": ('"4 mm"', '"5/32 in"'),
    "limits.turning_in": "1.5",
    "limits.winding_factor": "2.5",
    "limits.tension_low": "0.6",
    "limits.touch": "8",
    "limits.mass": "18",
    "hanger.holds": "10",
    "hanger.below_top": ('"180 mm"', '"7 in"'),
    "hanger.wire": ('"1.1 m"', '"44 in"'),
    "wall.name": '"Long wall"',
    "wall.works": '["First work"]',
    "wall.width": ('"4.2 m"', '"14 ft"'),
    "wall.left": ('"60 cm"', '"24 in"'),
    "wall.avoid": (
        '[{ left = "3.1 m", right = "4 m", bottom = "0 m", top = "2.1 m", why = "door" }]',
        '[{ left = "10 ft", right = "13 ft", bottom = "0 in", top = "83 in", why = "door" }]',
    ),
    "way.name": '"To the street"',
    "way.works": '["First work"]',
    "way.obstacle": (
        '[{ kind = "door", width = "82 cm", height = "2.01 m" }]',
        '[{ kind = "door", width = "32 in", height = "79 in" }]',
    ),
}
"""What a key without a default might say: once, or in metric and American measure."""

_INSTEAD = (
    *("yard.per_foot", "yard.nominal", "roll.per_yard", "screw.gauge", "shop.rates.markup"),
    *("price.per_square_foot", "price.per_cm", "price.per_inch"),
)
"""Keys that say another way what a neighbour says."""

_WIDTH = 118


def starter_text(answers: Answers | None = None, *, whole: bool = False) -> str:
    """The text of a starter batch file.

    Args:
        answers: What was answered; what is usual where nothing is given.
        whole: Every key that there is, those with a default as comments.

    Raises:
        QuantityError: If an answer cannot be read.
        FaultsError: If the answers contradict one another, or look as if another unit were meant.
    """
    lines = answered_lines(answers or Answers())
    unit = lines["unit"][0].split('"')[1]
    short = _short(lines, unit)
    batch = parse_batch(short)
    return _whole(batch, lines, unit) if whole else short


def _short(lines: dict[str, list[str]], unit: str) -> str:
    region = region_of_unit(unit)
    yard = lines["yard"] or [
        "# Timber: nothing said, so an ordinary shop's is taken:",
        f"# {_sections(region)}.",
        "# Yours: [[yard]] with name, thickness, depth and lengths.",
    ]
    roll = lines["roll"] or [
        "# Cloth: nothing said, so raw cotton of an ordinary shop is taken. Yours: [[roll]]."
    ]
    blocks = (lines["unit"], lines["work"], yard, roll)
    return "\n".join([_SHORT_HEAD, *("\n".join([*block, ""]) for block in blocks)])


def _whole(batch: Batch, lines: dict[str, list[str]], unit: str) -> str:
    out = [_WHOLE_HEAD]
    writer = _Writer(unit, region_of_unit(unit), lines)
    out += writer.keys(batch, "", said=("unit",))
    for key, field in Batch.model_fields.items():
        inner, many = model_of(field.annotation)
        if inner is not None:
            out += writer.table(inner, key, getattr(batch, key), many=many)
    return "\n".join(out).rstrip() + "\n"


class _Writer:
    """Writes tables of a unit."""

    def __init__(self, unit: str, region: Region, lines: dict[str, list[str]]) -> None:
        self.unit, self.region, self.lines = unit, region, lines

    def table(self, model: type[BaseModel], path: str, value: Any, *, many: bool) -> list[str]:
        """A table, its keys, and the tables in it."""
        said = self.lines.get(path, [])
        mark = "" if said or not (many or value is None) else "#: "
        head = f"{mark}[[{path}]]" if many else f"{mark}[{path}]"
        out = ["", *self._before(path)]
        if said:  # what was answered, and the rest of the keys under the last of it
            out += said
            keys = tuple(line.split(" = ")[0] for line in said if " = " in line)
        else:
            out, keys = [*out, head], ()
        out += self.keys(value if not many else None, path, model=model, said=keys)
        if not many:
            for key, field in model.model_fields.items():
                inner, more = model_of(field.annotation)
                if inner is not None and f"{path}.{key}" not in _EXAMPLES:
                    below = None if value is None else getattr(value, key)
                    out += self.table(inner, f"{path}.{key}", below, many=more)
        return out

    def keys(
        self, value: Any, path: str, *, model: type[BaseModel] = Batch, said: tuple[str, ...] = ()
    ) -> list[str]:
        """Lines for the keys of a table that are not said already."""
        meanings = meanings_of(model)
        out = [*self.lines["unit"]] if not path else []
        for key, field in model.model_fields.items():
            full = f"{path}.{key}" if path else key
            inner, _ = model_of(field.annotation)
            if full == "yard.lengths" and key in said:
                out += _explained(f"#| {key} = {self._example(full)}", meanings[key])
            if key in said or (inner is not None and full not in _EXAMPLES):
                continue
            default = None if field.is_required() else getattr(value, key, field.default)
            if full in _EXAMPLES:
                mark, text = "#|" if full in _INSTEAD else "#:", self._example(full)
            else:
                mark, text = "#", self._written(default)
            if full == "yard.nominal" and "thickness" not in said and "nominal" not in said and said:
                continue
            meaning = " ".join(word for word in (meanings.get(key, ""), words_of(field.annotation)) if word)
            out += _explained(f"{mark} {key} = {text}", meaning)
        return out

    def _before(self, path: str) -> list[str]:
        if path == "yard" and not self.lines["yard"]:
            lengths = ", ".join(self._written(length) for length in shop_lengths(self.region))
            return [
                "# Timber on sale. Where none is said, an ordinary shop's:",
                f"# {_sections(self.region)}; boards of {lengths}.",
            ]
        if path == "screw":
            return ["# Screws on sale. Where none are said, an ordinary shop's:", *_screws(self.region)]
        if path == "work":
            return ["# Keys of [bars], [inside] and [cloth] may stand under a work, for it alone."]
        return []

    def _example(self, path: str) -> str:
        found = _EXAMPLES[path]
        text = found if isinstance(found, str) else found[self.region == "america"]
        # A bare example counts millimetres.
        bare = path.split(".")[-1] in ("thickness", "depth") and text.isdigit() and self.unit != "mm"
        return f'"{text} mm"' if bare else text

    def _written(self, value: Any) -> str:
        """A default as the file says it."""
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, Fraction):
            mm = f"{float(value):g}"
            if self.unit == "mm" or value == 0:
                return mm
            feet = value / INCH / 12
            if self.region == "america" and feet.denominator == 1 and feet > 1:
                return f'"{feet} ft"'
            return f'"{mm} mm"'
        if isinstance(value, tuple):
            return json.dumps(list(value))
        return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else f"{value:g}"


def _explained(line: str, meaning: str) -> list[str]:
    """A line with what it means behind it, or above it where there is no room."""
    if not meaning:
        return [line]
    beside = f"{line:<34}  # {meaning}"
    if len(beside) <= _WIDTH:
        return [beside]
    wrapped = textwrap.wrap(meaning, _WIDTH - 6)
    return [*(f"#     {row}" for row in wrapped), line]


def _sections(region: Region) -> str:
    return ", ".join(shop_name(row, region) for row in shop_sections(region))


def _screws(region: Region) -> list[str]:
    """Screws of an ordinary shop, a line of lengths for each thickness, as comments."""
    sizes: dict[str, list[str]] = {}
    for row in shop_screws(region):
        thick = f"No. {row.gauge}" if row.gauge is not None else f"{float(row.diameter or 0):g} mm"
        length = (
            LengthStyle("in", 16).show(row.length, with_unit=False)
            if region == "america"
            else f"{float(row.length):g}"
        )
        sizes.setdefault(thick, []).append(length)
    unit = "in" if region == "america" else "mm"
    return [f"#   {thick}: {', '.join(lengths)} {unit}" for thick, lengths in sizes.items()]
