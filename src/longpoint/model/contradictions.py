"""What stands against itself in a batch: names used twice, names that nothing bears, places outside what they lie on.

Every answer says which statements it rests on, so that none is given where one of them could not be read.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.batch import Batch
from longpoint.model.mending import Rest, touches
from longpoint.model.nominal import nominal_in, sides_of, taken_literally
from longpoint.model.order import FILE_ENDING, USUAL_ORDERS
from longpoint.model.places import Path, path_of
from longpoint.model.timber import YardLength
from longpoint.model.walls import row_on
from longpoint.model.ways import NEEDED, TAKEN, StatedObstacle
from longpoint.tables import species, strength_class
from longpoint.units import CENT, LengthStyle

WIDEST_KERF = Fraction(25)
"""No hand-fed saw takes as much in one cut. [mm] Estimate."""

LONGEST_FACE = Fraction(25_000)
"""No frame of this kind is longer. [mm] Estimate: beyond, every part is joined more than once."""

NARROWEST = Fraction(100)
"""No clear measure of a way is smaller: wrapped, every work is nearly as thick. [mm] Estimate."""

WIDEST = Fraction(30_000)
"""No measure of a way is larger. [mm] Estimate."""

MOST_WORKS = 1000
"""Most works of one batch, all together; more would make a pack that nobody prints. Estimate."""


@dataclass(frozen=True, slots=True)
class _Clash:
    """A fault, and the statements that it rests on beside the one it names."""

    fault: Fault
    rests: tuple[Rest, ...] = ()


def contradictions(batch: Batch, *, unread: Collection[Path] = ()) -> tuple[Fault, ...]:
    """Faults between parts of a batch that are each well formed.

    Args:
        batch: What is stated.
        unread: Places that could not be read; nothing is said that rests on them.
    """
    return tuple(
        clash.fault
        for check in (
            _names_twice,
            _sets,
            _timbers,
            _rolls,
            _orders,
            _ways,
            _walls,
            _woods,
            _nominal,
            _measures,
            _extremes,
            _spans,
            _bends,
            _glued,
            _climate,
            _prices,
            _packing,
            _hanging,
        )
        for clash in check(batch)
        if not any(touches(rests, unread) for rests in (path_of(clash.fault.where.key), *clash.rests))
    )


def _names_twice(batch: Batch) -> Iterator[_Clash]:
    listed: tuple[tuple[str, list[str]], ...] = (
        ("work", [work.name for work in batch.work]),
        ("set", [item.name for item in batch.set]),
        ("yard", [timber.name for timber in batch.yard]),
        ("rack", [board.name for board in batch.rack]),
        ("roll", [roll.name for roll in batch.roll]),
        ("order", [order.name for order in batch.order]),
        ("way", [way.name for way in batch.way]),
        ("wall", [wall.name for wall in batch.wall]),
        ("packing", [one.name for one in batch.packing]),
    )
    for kind, names in listed:
        first: dict[str, int] = {}
        for index, name in enumerate(names):
            if name in first:
                fault = Fault(
                    "name-twice",
                    f"the name {name!r} stands twice under [[{kind}]].",
                    "Give each its own name, or use how_many for equal ones.",
                    Where(f"{kind}[{index + 1}].name"),
                )
                yield _Clash(fault, ((kind, first[name], "name"),))
            first.setdefault(name, index)


def _sets(batch: Batch) -> Iterator[_Clash]:
    works = {work.name for work in batch.work}
    for index, group in enumerate(batch.set):
        key = f"set[{index + 1}].members"
        for member in dict.fromkeys(group.members):
            if member not in works:
                fault = Fault(
                    "unknown-name",
                    f"the set {group.name!r} names {member!r}, which is no work of this batch.",
                    "Use the name of a work as it is written under [[work]].",
                    Where(key),
                )
                yield _Clash(fault, (("work", None, "name"), ("set", index, "name")))
            elif group.members.count(member) > 1:
                fault = Fault(
                    "name-twice",
                    f"the set {group.name!r} names {member!r} more than once.",
                    "Name each work once; equal works that hang as one need names of their own.",
                    Where(key),
                )
                yield _Clash(fault, (("set", index, "name"),))


def _timbers(batch: Batch) -> Iterator[_Clash]:
    timbers = {timber.name for timber in batch.yard}
    wishes = [("bars.timber", batch.bars.timber), ("inside.timber", batch.inside.timber)]
    wishes += [
        (f"work[{index}].{key}", name)
        for index, work in enumerate(batch.work, start=1)
        for key, name in (("bars.timber", work.bars.timber), ("inside.timber", work.inside.timber))
    ]
    for key, name in wishes:
        if name not in ("auto", *timbers):
            yield _Clash(_no_such(key, name, "timber", "[[yard]]"), (("yard", None, "name"),))
    known = timbers | {board.name for board in batch.rack}
    for index, arrived in enumerate(batch.arrived, start=1):
        if arrived.timber not in known:
            fault = _no_such(f"arrived[{index}].timber", arrived.timber, "timber", "[[yard]] or [[rack]]")
            yield _Clash(fault, (("yard", None, "name"), ("rack", None, "name")))


def _rolls(batch: Batch) -> Iterator[_Clash]:
    rolls = {roll.name for roll in batch.roll}
    wishes = [("cloth.roll", batch.cloth.roll)]
    wishes += [
        (f"work[{index}].cloth.roll", work.cloth.roll) for index, work in enumerate(batch.work, start=1)
    ]
    for key, name in wishes:
        if name not in ("auto", *rolls):
            yield _Clash(_no_such(key, name, "roll", "[[roll]]"), (("roll", None, "name"),))
    for index, roll in enumerate(batch.roll):
        key = f"roll[{index + 1}]"
        if 2 * roll.selvedge >= roll.width:
            fault = Fault(
                "selvedge-eats-roll",
                f"two selvedges leave nothing of the roll {roll.name!r}.",
                "State what is left off on one edge.",
                Where(f"{key}.selvedge"),
            )
            yield _Clash(fault, (("roll", index, "width"),))
        for place, flaw in enumerate(roll.flaws, start=1):
            right = roll.width if flaw.right is None else flaw.right
            along = flaw.start < flaw.stop and (roll.length is None or flaw.start < roll.length)
            if not along or not flaw.left < right <= roll.width:
                fault = Fault(
                    "flaw-outside-roll",
                    f"the flaw does not lie on the roll {roll.name!r}.",
                    "Measure start and stop from the free end, left and right from the left edge, the smaller first.",
                    Where(f"{key}.flaws[{place}]"),
                )
                yield _Clash(fault, (("roll", index, "width"), ("roll", index, "length")))


def _orders(batch: Batch) -> Iterator[_Clash]:
    """Orders that are no usual one, none of the batch, and no file."""
    own = [order.name for order in batch.order]
    named = [("cloth.order", batch.cloth.order)]
    named += [
        (f"work[{index}].cloth.order", work.cloth.order) for index, work in enumerate(batch.work, start=1)
    ]
    for key, name in named:
        if name not in USUAL_ORDERS and name not in own and not name.endswith(FILE_ENDING):
            fault = Fault(
                "unknown-order",
                f"{name!r} is no order of stapling.",
                f"Use {', '.join([*USUAL_ORDERS, *own])}, or a file whose name ends in {FILE_ENDING}.",
                Where(key),
            )
            yield _Clash(fault, (("order", None, "name"),))
    for index, name in enumerate(own, start=1):
        if name in USUAL_ORDERS:
            fault = Fault(
                "usual-name",
                f"{name!r} is the name of a usual order.",
                "Give your own another name.",
                Where(f"order[{index}].name"),
            )
            yield _Clash(fault)


def _ways(batch: Batch) -> Iterator[_Clash]:
    """Ways for works that are not there, and obstacles of which too little or too much is said."""
    works = {work.name for work in batch.work}
    show = batch.style.finer().show
    for index, way in enumerate(batch.way):
        for name in dict.fromkeys(way.works or ()):
            if name not in works:
                fault = Fault(
                    "unknown-name",
                    f"the way {way.name!r} names {name!r}, which is no work of this batch.",
                    "Use the name of a work as it is written under [[work]], or leave works out for all.",
                    Where(f"way[{index + 1}].works"),
                )
                yield _Clash(fault, (("work", None, "name"), ("way", index, "name")))
        for place, obstacle in enumerate(way.obstacle):
            key = f"way[{index + 1}].obstacle[{place + 1}]"
            said = obstacle.model_fields_set - {"kind", "name"}
            needed, taken = NEEDED[obstacle.kind], TAKEN[obstacle.kind]
            about = f"{obstacle.kind!r} of the way {way.name!r}"
            if missing := [name for name in needed if name not in said]:
                fault = Fault(
                    "key-missing",
                    f"{about}: {', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing.",
                    f"Measure and state {', '.join(needed)}.",
                    Where(key),
                )
                yield _Clash(fault, (("way", index),))
            for name in sorted(said - {*needed, *taken}):
                fault = Fault(
                    "unused-key",
                    f"{about}: {name} means nothing there.",
                    f"Known there: {', '.join((*needed, *taken))}.",
                    Where(f"{key}.{name}"),
                )
                yield _Clash(fault, (("way", index, "obstacle", place, "kind"),))
            yield from _extents(obstacle, about, key, show)


def _extents(
    obstacle: StatedObstacle, about: str, key: str, show: Callable[[Fraction], str]
) -> Iterator[_Clash]:
    for name in (
        "width",
        "height",
        "width_after",
        "headroom",
        "landing",
        "depth",
        "door_width",
        "door_height",
    ):
        measure = getattr(obstacle, name)
        if measure is not None and not NARROWEST <= measure <= WIDEST:
            small = measure < NARROWEST
            fault = Fault(
                "no-such-measure",
                f"{about}: {name} is {show(measure)}, "
                + ("less than a wrapped work is thick." if small else "more than any way has."),
                f"Check the number and its unit; {show(NARROWEST)} to {show(WIDEST)} is taken.",
                Where(f"{key}.{name}"),
            )
            yield _Clash(fault, (("unit",),))
    if obstacle.rise is not None and obstacle.going is not None and obstacle.rise > 3 * obstacle.going:
        fault = Fault(
            "no-stairs",
            f"{about}: steps {show(obstacle.rise)} high and {show(obstacle.going)} deep are a ladder.",
            "Measure one step: rise upright, going level; check the unit.",
            Where(f"{key}.rise"),
        )
        yield _Clash(fault, (("unit",), (*path_of(key), "going")))


def _walls(batch: Batch) -> Iterator[_Clash]:
    """Rows of what is not there, too wide for their wall, or over what is in the way."""
    show = batch.style.show
    known = {work.name for work in batch.work} | {item.name for item in batch.set}
    for index, wall in enumerate(batch.wall):
        key = f"wall[{index + 1}]"
        rests: tuple[Rest, ...] = (("work",), ("set",), ("wall", index), ("unit",))
        unknown = [name for name in dict.fromkeys(wall.works) if name not in known]
        members = {name for item in batch.set for name in item.members}
        if unknown or not members <= {work.name for work in batch.work}:
            for name in unknown:
                fault = Fault(
                    "unknown-name",
                    f"the wall {wall.name!r} names {name!r}, which is no work and no set of this batch.",
                    "Use the name of a work or a set as it is written under [[work]] or [[set]].",
                    Where(f"{key}.works"),
                )
                yield _Clash(fault, (("work", None, "name"), ("set", None, "name"), ("wall", index, "name")))
            continue
        row = row_on(wall, batch.work, batch.set)
        first, last = row[0][1], row[-1][1] + row[-1][0].width
        if wall.width is not None and (first < 0 or last > wall.width):
            fault = Fault(
                "row-too-wide",
                f"the wall {wall.name!r} is {show(wall.width)} wide; its row is {show(last - first)} wide"
                + (f" and begins at {show(first)}." if wall.left is not None else "."),
                "Hang fewer works there, make the gap smaller, or correct width or left.",
                Where(f"{key}.width"),
            )
            yield _Clash(fault, rests)
        for place, item in enumerate(wall.avoid, start=1):
            if item.left >= item.right or item.bottom >= item.top:
                fault = Fault(
                    "nothing-in-the-way",
                    f"what is in the way on the wall {wall.name!r} has no width or no height.",
                    "Measure left and right from the left corner, bottom and top from the floor, the smaller first.",
                    Where(f"{key}.avoid[{place}]"),
                )
                yield _Clash(fault, rests)
                continue
            over = [
                work.name
                for work, left in row
                if left < item.right
                and left + work.width > item.left
                and wall.centre - work.height / 2 < item.top
                and wall.centre + work.height / 2 > item.bottom
            ]
            if over:
                fault = Fault(
                    "hangs-over",
                    f"on the wall {wall.name!r} {', '.join(over)} would hang over {item.why or 'what is in the way'}.",
                    "Begin the row elsewhere (left), change its order or its gap, or hang it higher (centre).",
                    Where(f"{key}.avoid[{place}]"),
                )
                yield _Clash(fault, rests)
        for work, _ in row:
            if work.height / 2 > wall.centre:
                fault = Fault(
                    "below-the-floor",
                    f"on the wall {wall.name!r} the middle of {work.name} is {show(wall.centre)} above the floor; "
                    f"it is {show(work.height)} high.",
                    "Give a higher centre.",
                    Where(f"{key}.centre"),
                )
                yield _Clash(fault, rests)


def _woods(batch: Batch) -> Iterator[_Clash]:
    """The tables' own fault, with its key, where a timber is neither a strength class nor a species."""
    stated = [(f"yard[{index}].timber", timber.timber) for index, timber in enumerate(batch.yard, start=1)]
    stated += [(f"rack[{index}].timber", board.timber) for index, board in enumerate(batch.rack, start=1)]
    for key, name in stated:
        try:
            strength_class(name)
        except FaultsError:
            try:
                species(name)
            except FaultsError as error:
                for fault in error.faults:
                    remedy = fault.remedy or "Use C16, C18, C24 or a species."
                    yield _Clash(Fault(fault.code, fault.what, remedy, Where(key)))


def _nominal(batch: Batch) -> Iterator[_Clash]:
    """Timber called by nominal inches whose sides are stated as if they were its measures."""
    show = LengthStyle("in", 16).show
    for index, timber in enumerate(batch.yard):
        key = f"yard[{index + 1}]"
        nominal = nominal_in(timber.nominal or timber.name)
        if timber.nominal and nominal is None:
            fault = Fault(
                "unknown-nominal-size",
                f"{timber.nominal!r} is no nominal section.",
                "Write one such as 1x2, or give thickness and depth as they measure.",
                Where(f"{key}.nominal"),
            )
            yield _Clash(fault)
            continue
        if nominal is None:
            continue
        name = f"{nominal[0]}x{nominal[1]}"
        thin, wide = (show(side) for side in sides_of(nominal))
        if taken_literally(nominal, timber.thickness, timber.depth):
            fault = Fault(
                "nominal-or-true",
                f"{timber.name!r} is stated as a true {nominal[0]} × {nominal[1]} in, but what is sold as {name} "
                f"measures {thin} × {wide}: which is it?",
                f'Write nominal = "{name}" and leave thickness and depth out; or, if it really is sawn to '
                f"{nominal[0]} × {nominal[1]} in, give it a name without {name}.",
                Where(f"{key}.thickness"),
            )
            yield _Clash(fault, (("yard", index, "depth"), ("yard", index, "name"), ("unit",)))
        elif timber.nominal and {timber.thickness, timber.depth} != set(sides_of(nominal)):
            fault = Fault(
                "nominal-and-sides",
                f"{timber.name!r} is called {name}, which measures {thin} × {wide}, but other sides are stated.",
                "Leave thickness and depth out, or leave nominal out.",
                Where(f"{key}.nominal"),
            )
            yield _Clash(fault, (("yard", index, "thickness"), ("yard", index, "depth"), ("unit",)))


def _measures(batch: Batch) -> Iterator[_Clash]:
    show = batch.style.finer().show
    saw = batch.shop.saw
    if saw.kerf > WIDEST_KERF:
        fault = Fault(
            "absurd-kerf",
            f"a kerf of {show(saw.kerf)} is wider than any cross-cut saw takes.",
            f"Measure one cut in waste wood; up to {show(WIDEST_KERF)} is accepted.",
            Where("shop.saw.kerf"),
        )
        yield _Clash(fault, (("unit",),))
    shortest = {
        f"yard[{index}].lengths": min(
            item.length if isinstance(item, YardLength) else item for item in timber.lengths
        )
        for index, timber in enumerate(batch.yard, start=1)
    }
    shortest |= {f"rack[{index}].length": board.length for index, board in enumerate(batch.rack, start=1)}
    for key, length in shortest.items():
        if length <= 2 * saw.end_trim:
            fault = Fault(
                "board-all-trim",
                f"a board of {show(length)} is gone once {show(saw.end_trim)} are trimmed off each end.",
                "State the length of the whole board, or a smaller shop.saw.end_trim.",
                Where(key),
            )
            yield _Clash(fault, (("unit",), ("shop", "saw", "end_trim")))
    for index, work in enumerate(batch.work, start=1):
        for key, side in (("width", work.width), ("height", work.height)):
            if side > LONGEST_FACE:
                fault = Fault(
                    "face-too-large",
                    f"{work.name}: a face {show(side)} across is larger than any that is planned here.",
                    f"Check the unit; up to {show(LONGEST_FACE)} is planned.",
                    Where(f"work[{index}].{key}"),
                )
                yield _Clash(fault, (("unit",), ("work", index - 1, "name")))
    count = sum(work.how_many for work in batch.work)
    if count > MOST_WORKS:
        fault = Fault(
            "too-many-works",
            f"the batch makes {count} works.",
            f"Plan at most {MOST_WORKS} at a time, in several files.",
            Where("work"),
        )
        yield _Clash(fault)


def _extremes(batch: Batch) -> Iterator[_Clash]:
    """Measures that nothing on sale or at the bench comes near; all bounds are estimates."""
    stated: list[tuple[str, str, Fraction | None, int]] = [
        ("bars.lip_radius", "a lip eased by {}", batch.bars.lip_radius, 20),
        *(
            (f"work[{number}].bars.lip_radius", "a lip eased by {}", work.bars.lip_radius, 20)
            for number, work in enumerate(batch.work, start=1)
        ),
        *(
            (f"roll[{number}].width", "a roll {} wide", roll.width, 10_000)
            for number, roll in enumerate(batch.roll, start=1)
        ),
    ]
    for number, screw in enumerate(batch.screw, start=1):
        stated += [
            (f"screw[{number}].diameter", "a screw {} thick", screw.diameter, 16),
            (f"screw[{number}].length", "a screw {} long", screw.length, 400),
        ]
    for number, staple in enumerate(batch.staple, start=1):
        stated += [
            (f"staple[{number}].leg", "a staple with legs of {}", staple.leg, 60),
            (f"staple[{number}].crown", "a staple {} wide", staple.crown, 60),
        ]
    show = batch.style.finer().show
    for key, what, measure, most in stated:
        if measure is not None and measure > most:
            fault = Fault(
                "no-such-measure",
                f"{what.format(show(measure))} is not used on supports.",
                f"Check the number and its unit; up to {show(Fraction(most))} is planned.",
                Where(key),
            )
            yield _Clash(fault, (("unit",),))


def _spans(batch: Batch) -> Iterator[_Clash]:
    for index, board in enumerate(batch.rack):
        for place, span in enumerate(board.avoid, start=1):
            if span.stop > board.length or span.start >= span.stop:
                fault = Fault(
                    "span-outside-board",
                    f"the stretch to avoid on board {board.name!r} does not lie on the board.",
                    "Give start and stop from one end, start before stop, both within its length.",
                    Where(f"rack[{index + 1}].avoid[{place}]"),
                )
                yield _Clash(fault, (("rack", index, "length"), ("rack", index, "name")))


def _bends(batch: Batch) -> Iterator[_Clash]:
    for index, board in enumerate(batch.rack):
        for key in ("bow", "crook", "twist"):
            bend = getattr(board, key)
            if bend is not None and 2 * bend > board.length:  # an arc deeper than half its chord is no board
                fault = Fault(
                    "bend-too-large",
                    f"the {key} of board {board.name!r} is more than half its length.",
                    "Give the rise over the whole board.",
                    Where(f"rack[{index + 1}].{key}"),
                )
                yield _Clash(fault, (("rack", index, "length"), ("rack", index, "name")))


def _glued(batch: Batch) -> Iterator[_Clash]:
    """Bars glued from two boards that cannot be made as they are wished."""
    for index, work in enumerate(batch.work):
        wish = batch.bars_of(work)
        if wish.glued_from != 2:
            continue
        for key, value, why, remedy in (
            ("stand", "flat", "stand on edge", 'Write stand = "on edge"'),
            ("bevel_by", "yard", "get their bevel once they are glued", 'Write bevel_by = "hand plane"'),
            ("join", "scarf", "are not joined in length", 'Write join = "none"'),
            ("join", "half-lap with plate", "are not joined in length", 'Write join = "none"'),
        ):
            if getattr(wish, key) == value:
                of = f"work[{index + 1}].bars" if key in work.bars.model_fields_set else "bars"
                fault = Fault(
                    "glued-bars",
                    f"{work.name}: bars glued from two boards {why}, and {key} is {value}.",
                    f"{remedy}, or glued_from = 1.",
                    Where(f"{of}.{key}"),
                )
                yield _Clash(fault, (("bars", "glued_from"), ("work", index, "bars")))


def _climate(batch: Batch) -> Iterator[_Clash]:
    low, high = batch.climate.humidity_low, batch.climate.humidity_high
    if low > high:
        fault = Fault(
            "humidity-turned-round",
            f"the driest air, {low:g} %, is damper than the dampest, {high:g} %.",
            "Give the lower one as humidity_low.",
            Where("climate.humidity_low"),
        )
        yield _Clash(fault, (("climate", "humidity_high"),))


def _prices(batch: Batch) -> Iterator[_Clash]:
    """Two ways of pricing at once, a rounding that gives nothing, discounts that fall."""
    rates = batch.shop.rates
    if rates.markup is not None and "margin" in rates.model_fields_set:
        fault = Fault(
            "margin-and-markup",
            "both a margin (share of the price) and a markup (share of the cost) are stated.",
            "Give one of the two; the money sheet says the other.",
            Where("shop.rates.markup"),
        )
        yield _Clash(fault, (("shop", "rates", "margin"),))
    price = batch.price
    if len(price.rates) > 1:
        first, second, *_ = price.rates
        fault = Fault(
            "priced-twice",
            f"prices are stated {' and '.join(name.replace('_', ' ') for name in price.rates)}.",
            f"Keep one, e.g. {first}.",
            Where(f"price.{second}"),
        )
        yield _Clash(fault, (("price", first),))
    if price.round_to < CENT:
        fault = Fault(
            "rounds-to-nothing",
            f"prices cannot be rounded to multiples of {price.round_to}.",
            "Give 0.01 or more, e.g. 5.",
            Where("price.round_to"),
        )
        yield _Clash(fault)
    for index, (less, more) in enumerate(pairwise(price.several), start=2):
        if more.pieces <= less.pieces or more.discount < less.discount:
            fault = Fault(
                "discounts-turned-round",
                f"{more.discount:g} from {more.pieces} pieces on stands below {less.discount:g} from {less.pieces} on.",
                "Let pieces rise from one to the next, and discounts not fall.",
                Where(f"price.several[{index}].pieces"),
            )
            yield _Clash(fault, (("price", "several"),))


def _packing(batch: Batch) -> Iterator[_Clash]:
    """Packing for works that are not there, in timber that is not on sale, or twice."""
    known = {work.name for work in batch.work} | {item.name for item in batch.set}
    timbers = {timber.name for timber in batch.yard}
    sets = {item.name: item.members for item in batch.set}
    packed: dict[str, int] = {}
    for index, one in enumerate(batch.packing):
        key = f"packing[{index + 1}]"
        names = one.works if one.works is not None else tuple(work.name for work in batch.work)
        for name in dict.fromkeys(names):
            if name not in known:
                fault = Fault(
                    "unknown-name",
                    f"the packing {one.name!r} names {name!r}, which is no work and no set of this batch.",
                    "Use the name of a work or a set, or leave works out for all.",
                    Where(f"{key}.works"),
                )
                yield _Clash(fault, (("work", None, "name"), ("set", None, "name")))
        for member in dict.fromkeys(each for name in names for each in sets.get(name, (name,))):
            if packed.setdefault(member, index) != index:
                fault = Fault(
                    "packed-twice",
                    f"{member!r} is packed twice: {batch.packing[packed[member]].name!r} and {one.name!r}.",
                    "Name under each packing the works that go into it.",
                    Where(f"{key}.works"),
                )
                yield _Clash(fault, (("packing", packed[member]), ("set",)))
        if one.timber not in ("auto", *timbers):
            yield _Clash(
                _no_such(f"{key}.timber", one.timber, "timber", "[[yard]]"), (("yard", None, "name"),)
            )


def _hanging(batch: Batch) -> Iterator[_Clash]:
    """Hangers beside their work, a wire that does not reach from one to the other."""
    hanger = batch.hanger
    show = batch.style.show
    for index, work in enumerate(batch.work):
        rests: tuple[Rest, ...] = (("unit",), ("work", index))
        if hanger.below_top is not None and 2 * hanger.below_top >= work.height:
            fault = Fault(
                "hanger-outside",
                f"{work.name} is {show(work.height)} high; hangers {show(hanger.below_top)} below its top edge would "
                "lie below its middle or beside it, and it would turn over.",
                "Give a smaller below_top, or leave it out.",
                Where("hanger.below_top"),
            )
            yield _Clash(fault, rests)
        # hangers lie on the bars' middles: two half bars closer than the face is wide
        thickness = batch.bars_of(work).thickness
        span = work.width - (thickness if isinstance(thickness, Fraction) else WIDE_BAR)
        if hanger.wire is not None and hanger.by in ("auto", "wire") and hanger.wire <= span:
            fault = Fault(
                "wire-too-short",
                f"{work.name}: a wire of {show(hanger.wire)} does not reach over the {show(span)} between its hangers.",
                "Give a longer wire, or leave it out; a wire at 30 degrees is about a sixth longer than the span.",
                Where("hanger.wire"),
            )
            yield _Clash(fault, (*rests, ("bars", "thickness")))


WIDE_BAR = Fraction(60)
"""No usual bar is thicker, seen from the front. [mm] Estimate."""


def _no_such(key: str, name: str, what: str, table: str) -> Fault:
    return Fault(
        "unknown-name",
        f"{name!r} is no {what} of this batch.",
        f'Use a name that stands under {table}, or "auto".',
        Where(key),
    )
