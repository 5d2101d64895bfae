"""The starter batch file: every key with its default and a comment."""

from __future__ import annotations

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
paper = "A4"         # or Letter
language = "en"      # of the sheets: en or de

[bars]                       # for all works; [work.bars] under a work says otherwise for it
thickness = "auto"           # seen from the front; "auto": what is on sale at the depth
depth = {depth}                   # off the wall
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

[[yard]]                     # timber on sale; per_metre, or lengths = [{{ length = {l1}, price = 4.20 }}]
name = "bar timber"
timber = "C16"               # strength class or species
thickness = {t}
depth = {depth}
serves = ["bars"]
lengths = [{l1}, {l2}, {l3}]

[[yard]]
name = "rail timber"
timber = "C16"
thickness = {t}
depth = {raild}
serves = ["rails"]
lengths = [{l1}, {l2}, {l3}]

# Boards already in the rack, graded by eye: bars, rails, short or firewood.
# [[rack]]
# name = "R1"
# thickness = {t}
# depth = {depth}
# length = {l1}
# grade = "bars"

# Readings of timber that came, from which everything is worked again:
# [[arrived]]
# timber = "bar timber"
# thickness = [{t}, {t}, {t}]
# depth = [{depth}, {depth}, {depth}]

[[roll]]
name = "canvas"
width = {rollw}
# length = 12000             # what is left on it; leave out for cloth by the metre
# at_hand = true
# per_metre = 14.50
mass = 340                   # g/m²
state = "raw"                # "glue-sized", "primed", "oil-primed"

# Screws on sale: give diameter or gauge. Along end rails the shortest is used, through one thickness
# the next, through bar and end rail together the longest.
{screws}
[glue]
name = "PVA wood glue"

[primer]
name = "acrylic primer"
coats = 3

[hanger]
name = "D-ring plate"
per_work = 2

[shop]
# less_sorting = 0.01        # boards may cost this share more where that means picking them up less often

[shop.saw]
kerf = {kerf}
width_at_45 = {saw}             # widest timber it mitres
height_at_45 = {saw}            # highest timber it mitres
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


_METRIC_SCREWS = (
    ("diameter", "3.5", "35"),
    ("diameter", "4", "40"),
    ("diameter", "4", "60"),
    ("diameter", "5", "90"),
)
_INCH_SCREWS = (
    ("gauge", "6", '"1 1/4"'),
    ("gauge", "8", '"1 1/2"'),
    ("gauge", "8", '"2 1/2"'),
    ("gauge", "10", '"3 1/2"'),
)


def _screws(sizes: tuple[tuple[str, str, str], ...]) -> str:
    return "".join(
        f"[[screw]]\n{how} = {size}\nlength = {length}\nbox = 200\n\n" for how, size, length in sizes
    )


_MM = {
    "unit": "mm", "show": "mm", "depth": "44", "bevel": "6", "lip": "2", "drop": "7",
    "width": "1700", "height": "1200", "gap": "20", "l1": "2400", "l2": "3600", "l3": "4800", "t": "21",
    "raild": "28", "rollw": "2100", "screws": _screws(_METRIC_SCREWS),
    "kerf": "3", "saw": "90", "trim": "15", "held": "200",
    "chuck": "25", "drill": "220", "pulled": "1.5",
}  # fmt: skip

_INCHES = {
    "unit": "in", "show": "in", "depth": '"1 3/4"', "bevel": '"1/4"', "lip": '"3/32"', "drop": '"1/4"',
    "width": "66", "height": "48", "gap": '"3/4"', "l1": '"8 ft"', "l2": '"10 ft"',
    "l3": '"12 ft"', "t": '"3/4"', "raild": '"1 1/8"', "rollw": "84", "screws": _screws(_INCH_SCREWS),
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
