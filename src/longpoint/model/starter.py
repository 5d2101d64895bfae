"""The starter batch file: every key with its default and a comment."""

from __future__ import annotations

from fractions import Fraction

from longpoint.tables.shops import INCH, Region, shop_lengths, shop_name, shop_screws, shop_sections
from longpoint.units import LengthStyle

_SHORT = """[[work]]
name = "First work"
width = {width}
height = {height}
"""

_LONG = """# A batch for longpoint. Every key but the works may be left out; what stands here is the default
# or an example. Lengths: a bare number counts in the file's unit; "1.2 m", "47 1/4 in" are read too.
title = "My batch"
unit = "{unit}"          # of bare numbers in this file: mm, cm, m, in, ft
show = "{show}"          # on the sheets: mm, cm or in
fraction = 16        # finest fraction of an inch on the sheets
currency = ""        # printed behind amounts
paper = "{paper}"         # A4 or Letter
language = "en"      # of the sheets: en or de

[bars]                       # for all works; [work.bars] under a work says otherwise for it
thickness = "auto"           # seen from the front; "auto": what is on sale at the depth
depth = "auto"               # off the wall; "auto": {depth} or what is on sale nearest
stand = "on edge"            # or "flat"
bevel = {bevel}                    # how far the low inner edge falls below the lip; or an angle, "16°"
bevel_by = "hand plane"      # "yard", "hand plane", "power plane"
bevel_when = "before cutting"  # or "after cutting"
lip_radius = {lip}               # how far the lip is eased
corner = "auto"              # "mitre", "mitre with gusset", "mitre with glue block", "half-lap", "keyed mitre"

[inside]
cross_rails = "auto"         # a number, or centre lines from the left or lower outer corner
middle_pieces = "auto"       # true or false
end_rails = "auto"           # "string sides", "short sides", "all", "none"
thickness = "auto"
depth = "auto"               # what is on sale and keeps a gap to the canvas
stand = "auto"               # "on edge" or "flat"; both are looked at
drop = "auto"                # how far rails lie in from the back edge: {drop}, less where there is no room
crossing = "butt"            # or "halved"
end_rail_screws = "auto"     # along an end rail; "auto": five on 1.2 m
shift = "auto"               # how far every second middle piece stands aside for the drill

[cloth]
turnover = "auto"            # cloth beyond the face, all round: the bar's depth and what pliers and back need
fasten = "back"              # where it is stapled: "back" or "side"
folds = "bottom and top"     # the edges that carry the corners' folds; or "left and right"
warp = "long side"           # or "up", "across"
may_turn = false             # whether pieces may lie across the warp
tension_left = 200           # N/m, what a press test shall find
order = "middles outward"    # of stapling: "pinwheel", "corners first", "round the frame",
                             # "side after side", an [[order]], or a file that rehearse wrote

[[work]]
name = "First work"
width = {width}                 # of the face, as it hangs
height = {height}
how_many = 1
strings = "left and right"   # the sides that carry strings or hangers
notes = ""

# Panels hung as one:
# [[set]]
# name = "Three panels"
# members = ["Left", "Middle", "Right"]
# gap = {gap}

# Timber on sale: what stands here is an ordinary shop's, and is taken where nothing is stated. Price it: per_metre,
# or lengths = [{{ length = {l1}, price = 4.20 }}]. serves = ["rails"] keeps a timber from becoming bars.
{yard}
# Boards already in the rack, graded by eye: bars, rails, short or firewood.
# [[rack]]
# name = "R1"
# thickness = {t}
# depth = {depth}
# length = {l1}
# grade = "bars"

# Readings of timber that came, from which everything is worked again:
# [[arrived]]
# timber = "{bar}"
# thickness = [{t}, {t}, {t}]
# depth = [{depth}, {depth}, {depth}]

[[roll]]
name = "canvas"
width = {rollw}
# length = {rolll}             # what is left on it; leave out for cloth cut from the roll
# at_hand = true
# {rollp}
mass = {mass}
state = "raw"                # "glue-sized", "primed", "oil-primed"

# Screws on sale, by diameter or gauge; left out, an ordinary shop's:
{screws}
# [[screw]]
# {screw}
# box = 200

[glue]
name = "PVA wood glue"

[primer]
name = "acrylic primer"
coats = 3

[hanger]
name = "D-ring plate"
per_work = 2

[shop]
region = "{region}"          # whose ordinary shops are assumed: "america", "europe", "auto" by the unit
# less_sorting = 0.01        # boards may cost this share more where that means picking them up less often

[shop.saw]
kerf = {kerf}
# width_at_45 = {saw}           # widest timber it mitres; left out, whatever the bars ask
# height_at_45 = {saw}          # highest timber it mitres
end_trim = {trim}                # cut off each end of a board
shortest_held = {held}          # shortest piece you can hold safely; see the saw's own manual

[shop.drill]
chuck_radius = {chuck}
length = {drill}

[shop.offcuts]
bars = "900 mm"              # shortest offcut worth keeping for a bar
rails = "600 mm"             # for a rail
share = 0.5                  # what it is worth, as a share of the lowest price per metre

[shop.rates]
per_hour = 0
overhead = 0.0               # share of material and labour
margin = 0.0                 # share of the price

[climate]
humidity_low = 40
humidity_high = 65

[limits]
choose = "cheapest"          # or "lightest", "stiffest"
# pulled_in = {pulled}
"""


def _yard(region: Region) -> str:
    """An ordinary shop's timber as tables of the file."""
    lines = []
    for row in shop_sections(region):
        lines += [
            "[[yard]]",
            f'name = "{shop_name(row, region)}"',
            'timber = "C16"               # class or species',
        ]
        if region == "america":
            lines.append(
                f'nominal = "{row.name}"              # measures {_inches(row.thin)} x {_inches(row.wide)} in'
            )
        else:
            lines += [f"thickness = {float(row.thin):g}", f"depth = {float(row.wide):g}"]
        if row.rails_only:
            lines.append('serves = ["rails"]')
        lines += [f"lengths = [{', '.join(_length(length, region) for length in shop_lengths(region))}]", ""]
    return "\n".join(lines)


def _length(length: Fraction, region: Region) -> str:
    return f'"{float(length / INCH / 12):g} ft"' if region == "america" else f"{float(length):g}"


def _inches(length: Fraction) -> str:
    return LengthStyle("in", 16).show(length, with_unit=False)


def _screws(region: Region) -> str:
    """Screws of an ordinary shop, a line of lengths for each thickness, as comments."""
    sizes: dict[str, list[str]] = {}
    for row in shop_screws(region):
        thick = f"No. {row.gauge}" if row.gauge is not None else f"{float(row.diameter or 0):g} mm"
        sizes.setdefault(thick, []).append(
            _inches(row.length) if region == "america" else f"{float(row.length):g}"
        )
    unit = "in" if region == "america" else "mm"
    return "\n".join(f"#   {thick}: {', '.join(lengths)} {unit}" for thick, lengths in sizes.items())


_MM = {
    "unit": "mm", "show": "mm", "depth": "44", "bevel": "6", "lip": "2", "drop": "7",
    "width": "1700", "height": "1200", "gap": "20", "l1": "2400", "t": "21",
    "rollw": "2100", "rolll": "12000", "rollp": "per_metre = 14.50",
    "mass": "340                   # g/m²", "yard": _yard("europe"), "screws": _screws("europe"),
    "screw": "diameter = 4\n# length = 40", "bar": "softwood 21 × 44 mm", "paper": "A4", "region": "europe",
    "kerf": "3", "saw": "90", "trim": "15", "held": "200",
    "chuck": "25", "drill": "220", "pulled": "1.5",
}  # fmt: skip

_INCHES = {
    "unit": "in", "show": "in", "depth": '"1 1/2"', "bevel": '"1/4"', "lip": '"3/32"', "drop": '"1/4"',
    "width": "66", "height": "48", "gap": '"3/4"', "l1": '"8 ft"',
    "t": '"3/4"', "rollw": "84", "rolll": '"40 ft"', "rollp": "per_yard = 14.50",
    "mass": '"10 oz/yd2"', "yard": _yard("america"), "screws": _screws("america"),
    "screw": 'gauge = 8\n# length = "1 1/2"', "bar": "softwood 1x2", "paper": "Letter", "region": "america",
    "kerf": '"1/8"',
    "saw": '"3 1/2"', "trim": '"5/8"', "held": "8", "chuck": "1", "drill": "9", "pulled": '"1/16"',
}  # fmt: skip


def starter_text(*, inches: bool = False, short: bool = False) -> str:
    """The text of a starter batch file.

    Args:
        inches: Whether it is written in inches.
        short: Only the keys that must be said.
    """
    words = _INCHES if inches else _MM
    if short:
        head = f'unit = "{words["unit"]}"\n' + (f'show = "{words["show"]}"\n' if inches else "")
        return head + _SHORT.format(**words)
    return _LONG.format(**words)
