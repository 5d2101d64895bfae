"""Cost and price: margin and markup are told apart, sums agree to the cent, an hour earns what is left.

Figures of the worked price (cost 343.45, 490.64 by margin, 446.49 by markup) and of the learning curve (36.85 and 38.40
minutes) are computed by hand from their definitions.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx

from longpoint.costing.cost import CostSheet, WorkCost, shared_out, work_cost
from longpoint.costing.price import PriceList, price_with_margin, prices_of, rounded
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.needs.hours import Operation, copies_count, learned
from longpoint.stretching.ranges import Range

CENT = Decimal("0.01")
SET_UP = Operation(kind="set-up", count=1, minutes=Range(20, 40, 90), own=False)


def cost_of(
    name: str,
    *,
    how_many: int = 1,
    timber: str = "40.10",
    cloth: str = "21.35",
    hours: float = 3.0,
    on: str = "material and labour",
) -> WorkCost:
    return work_cost(
        work=name,
        how_many=how_many,
        timber=Decimal(timber),
        cloth=Decimal(cloth),
        sundries=Decimal("4.87"),
        operations=(),
        hours=Range(0.7 * hours, hours, 1.6 * hours),
        per_hour=24.0,
        overhead=0.2,
        overhead_on=on,
        waste=0.05,
    )


def sheet(*works: WorkCost) -> CostSheet:
    return CostSheet(works=works, materials=(), set_up=SET_UP, missing=())


def batch_of(
    names: dict[str, int], *, head: str = "", sets: str = "", price: dict[str, str] | None = None
) -> Batch:
    works = "".join(
        f'[[work]]\nname = "{name}"\nwidth = 1000\nheight = 700\nhow_many = {count}\n{(price or {}).get(name, "")}\n'
        for name, count in names.items()
    )
    return parse_batch(works + sets + head)


def test_a_margin_is_no_markup() -> None:
    worked = work_cost(
        work="w", how_many=1, timber=Decimal(85), cloth=Decimal(0), sundries=Decimal(0), operations=(),
        hours=Range(6.5, 6.5, 6.5), per_hour=28, overhead=0.35, overhead_on="labour", waste=0.15,
    )  # fmt: skip
    assert worked.total == Decimal("343.45")
    margin = parse_batch('[[work]]\nname = "w"\nwidth = 1000\nheight = 700\n[shop.rates]\nmargin = 0.3\n')
    markup = parse_batch('[[work]]\nname = "w"\nwidth = 1000\nheight = 700\n[shop.rates]\nmarkup = 0.3\n')
    by_margin, by_markup = (prices_of(batch, sheet(worked)) for batch in (margin, markup))
    assert by_margin.sums.gross == Decimal("490.64")
    assert by_markup.sums.gross == Decimal("446.49")  # 446.485, halves up
    assert by_margin.sums.markup == approx(0.3 / 0.7, abs=1e-4)
    assert by_markup.sums.margin == approx(0.3 / 1.3, abs=1e-4)
    assert float(price_with_margin(Decimal("343.45"), margin=0.3)) == approx(490.642857)


def test_overhead_is_a_share_of_what_is_named_and_never_of_what_is_spoiled() -> None:
    both, labour, material = (cost_of("w", on=on) for on in ("material and labour", "labour", "material"))
    assert both.overhead == (Decimal("0.2") * (both.material + both.labour)).quantize(CENT)
    assert labour.overhead == (Decimal("0.2") * both.labour).quantize(CENT)
    assert material.overhead == (Decimal("0.2") * both.material).quantize(CENT)


def test_the_learning_curve_by_hand() -> None:
    assert 60 * learned(0.85, 8) == approx(36.85, abs=0.005)
    assert 60 * learned(0.80, 4) == approx(38.40, abs=1e-9)
    assert copies_count(1.0, 7) == 7
    assert copies_count(0.8, 2) == approx(1.8)


def test_prices_by_size_are_the_rate_times_the_size() -> None:
    def each(rate: str, unit: str = "mm") -> Decimal:
        head = f"[price]\n{rate}\n"
        return prices_of(batch_of({"w": 1}, head=head), sheet(cost_of("w"))).works[0].each

    assert each("per_square_metre = 400") == Decimal("280.00")  # 1.0 × 0.7 m
    assert each("per_cm = 2.5") == Decimal("425.00")  # 170 cm
    assert each("per_inch = 6.35") == Decimal("425.00")
    assert each("per_square_foot = 40") == Decimal("301.39")  # 7.5347 sq ft
    assert each("per_cm = 2.5\nround_to = 20") == Decimal("420.00")  # 21.25 steps
    assert each('per_cm = 2.5\nround_to = 20\nround = "up"') == Decimal("440.00")


def test_an_agreed_price_is_not_figured_again_and_tells_what_an_hour_earns() -> None:
    batch = batch_of({"w": 2}, price={"w": "price = 100"}, head="[shop.rates]\nmargin = 0.5\n")
    one = prices_of(batch, sheet(cost_of("w", how_many=2))).works[0]
    assert (one.each, one.basis, one.sums.gross) == (Decimal("100.00"), "agreed", Decimal("200.00"))
    paid_out = one.sums.cost - one.sums.labour
    assert one.sums.per_hour == ((200 - paid_out) / 3).quantize(CENT)
    assert prices_of(batch, sheet(cost_of("w", how_many=2, hours=0.0))).works[0].sums.per_hour is None


def test_several_get_the_discount_of_the_most_pieces_they_reach() -> None:
    head = "[[price.several]]\npieces = 3\ndiscount = 0.05\n[[price.several]]\npieces = 6\ndiscount = 0.1\n"
    for count, share in ((2, 0.0), (3, 0.05), (5, 0.05), (6, 0.1), (40, 0.1)):
        assert (
            prices_of(batch_of({"w": count}, head=head), sheet(cost_of("w", how_many=count))).discount
            == share
        )


def test_prices_round_halves_up_and_nothing_is_given_away() -> None:
    assert rounded(Fraction("12.344"), to=CENT, up=False) == Decimal("12.34")
    assert rounded(Fraction("12.345"), to=CENT, up=False) == Decimal("12.35")
    assert rounded(Fraction("0.001"), to=Decimal(5), up=False) == Decimal(
        "5.00"
    )  # never given away by rounding
    assert rounded(Fraction(0), to=Decimal(5), up=True) == 0


amount = st.integers(0, 500_000).map(lambda cents: Decimal(cents) / 100)


@st.composite
def priced(draw: st.DrawFn) -> tuple[Batch, PriceList]:
    count = draw(st.integers(1, 7))
    names = {f"w{k}": draw(st.integers(1, 12)) for k in range(count)}
    grouped = [name for name in names if draw(st.booleans())]
    sets = ""
    if len(grouped) > 1:
        sets = f'[[set]]\nname = "S"\nmembers = {grouped}\n'.replace("'", '"')
    price = {name: f"price = {draw(amount)}" for name in names if draw(st.booleans())}
    head = (
        f"[shop.rates]\nmargin = {draw(st.sampled_from([0.0, 0.25, 0.333, 0.9]))}\n[price]\n"
        f"round_to = {draw(st.sampled_from(['0.01', '0.05', '5', '7.5']))}\n"
        f"tax = {draw(st.sampled_from([0.0, 0.07, 0.19, 0.2, 1.0]))}\n"
        f"[[price.several]]\npieces = 2\ndiscount = {draw(st.sampled_from([0.0, 0.03, 0.125, 1.0]))}\n"
    )
    batch = batch_of(names, head=head, sets=sets, price=price)
    costs = [
        cost_of(
            name,
            how_many=many,
            timber=str(draw(amount)),
            cloth=str(draw(amount)),
            hours=draw(st.integers(0, 900)) / 100,
        )
        for name, many in names.items()
    ]
    return batch, prices_of(batch, sheet(*costs))


@settings(max_examples=150, deadline=None)
@given(priced())
def test_sums_agree_to_the_cent_in_every_direction(made: tuple[Batch, PriceList]) -> None:
    batch, prices = made
    keys = ("gross", "discount", "net", "tax", "total", "cost", "labour")
    for key in keys:  # down: works make the batch, and so do sets
        whole = getattr(prices.sums, key)
        assert sum(getattr(one.sums, key) for one in prices.works) == whole
        if prices.sets:
            assert sum(getattr(one.sums, key) for one in prices.sets) == whole
        assert whole == whole.quantize(CENT)
    for line in (*(one.sums for one in prices.works), *(one.sums for one in prices.sets), prices.sums):
        assert line.gross - line.discount == line.net  # across
        assert line.net + line.tax == line.total
    for one in prices.works:
        assert one.each * one.how_many == one.sums.gross
        assert sum(one.copies) == one.sums.total
        assert max(one.copies) - min(one.copies) <= CENT
        # half a cent of the whole's own rounding beside the one of a share
        assert abs(one.sums.discount - one.sums.gross * Decimal(str(prices.discount))) < CENT * 3 / 2
        assert abs(one.sums.tax - one.sums.net * Decimal(str(prices.tax))) < CENT * 3 / 2
        assert 0 <= one.sums.discount <= one.sums.gross
    assert prices.sums.discount == (prices.sums.gross * Decimal(str(prices.discount))).quantize(CENT)
    assert prices.sums.tax == (prices.sums.net * Decimal(str(prices.tax))).quantize(CENT)
    assert sorted(name for one in prices.sets for name in one.works) in (
        [],
        sorted(w.name for w in batch.work),
    )


@settings(max_examples=200, deadline=None)
@given(amount, st.lists(st.floats(0, 1e6), min_size=1, max_size=9))
def test_shares_add_up_to_the_cent_and_none_is_a_cent_off(total: Decimal, weights: list[float]) -> None:
    named = {str(k): weight for k, weight in enumerate(weights)}
    shares = shared_out(total, named)
    assert sum(shares.values()) == total
    exact = {name: Fraction(weight) for name, weight in named.items()}
    if not sum(exact.values()):
        exact = dict.fromkeys(named, Fraction(1))
    for name, share in shares.items():
        assert abs(Fraction(share) - Fraction(total) * exact[name] / sum(exact.values())) < Fraction(1, 100)
