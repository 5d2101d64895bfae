"""The plain ground the lay search works on: whole ticks, pieces as counted kinds, rolls with their costs.

Everything is a whole number of ticks, so that "fits" needs no slack. A tick is chosen by the caller so that all
sizes are whole. x runs across the roll, y along it.
"""

from __future__ import annotations

from dataclasses import dataclass

UNLIMITED = 1 << 60


@dataclass(frozen=True, slots=True)
class Want:
    """A kind of rectangle wanted, so many times.

    Attributes:
        across: Size across the roll. [ticks]
        along: Size along the roll. [ticks]
        count: How many.
        may_turn: May lie turned a quarter.
    """

    across: int
    along: int
    count: int
    may_turn: bool

    @property
    def turns(self) -> bool:
        """Whether turning makes a difference."""
        return self.may_turn and self.across != self.along


@dataclass(frozen=True, slots=True)
class Stock:
    """One roll as the search sees it: only the usable width, only the length behind the squared end.

    The cost of using ``u > 0`` ticks is ``fixed + rate * ceil(u / step) * step`` less ``worth`` times what
    remains, where what remains is at least ``kept``.

    Attributes:
        width: Usable width. [ticks]
        length: Usable length; `UNLIMITED` where there is no limit. [ticks]
        blocked: Rectangles that no piece may touch, as (x from, y from, x to, y to). [ticks]
        fixed: Cost of touching the roll at all.
        rate: Cost of a tick.
        worth: Worth of a tick that remains.
        kept: Shortest remaining length that is worth anything. [ticks]
        step: Lengths are rounded up to a multiple of this. [ticks]
        start: Length lost before the usable part begins, counted when lengths are rounded. [ticks]
        crossways: The warp runs across the roll: what may not turn lies turned here, and only here.
    """

    width: int
    length: int = UNLIMITED
    blocked: tuple[tuple[int, int, int, int], ...] = ()
    fixed: float = 0.0
    rate: float = 1.0
    worth: float = 0.0
    kept: int = 0
    step: int = 1
    start: int = 0
    crossways: bool = False

    def cost(self, used: int) -> float:
        """What it costs to use so many ticks.

        Returns:
            The cost; 0 where nothing is used.
        """
        if used <= 0:
            return 0.0
        taken = used + self.start
        bought = -(-taken // self.step) * self.step
        remains = self.length - used if self.length < UNLIMITED else 0
        return self.fixed + self.rate * bought - (self.worth * remains if remains >= self.kept else 0.0)


@dataclass(frozen=True, slots=True)
class Put:
    """A rectangle put down.

    Attributes:
        stock: Which roll, by its place in the list.
        want: Which kind, by its place in the list.
        x: Left edge. [ticks]
        y: Near edge. [ticks]
        turned: It lies turned.
    """

    stock: int
    want: int
    x: int
    y: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Ground:
    """All of it.

    Attributes:
        wants: Kinds of rectangles.
        stocks: Rolls.
        longest: Longest length taken off in one go. [ticks]
    """

    wants: tuple[Want, ...]
    stocks: tuple[Stock, ...]
    longest: int = UNLIMITED

    def size(self, put: Put) -> tuple[int, int]:
        """Size of a put rectangle as it lies.

        Returns:
            Across, along. [ticks]
        """
        want = self.wants[put.want]
        return (want.along, want.across) if put.turned else (want.across, want.along)

    def used(self, puts: tuple[Put, ...]) -> tuple[int, ...]:
        """Length used on every roll.

        Returns:
            One length per roll. [ticks]
        """
        reach = [0] * len(self.stocks)
        for put in puts:
            reach[put.stock] = max(reach[put.stock], put.y + self.size(put)[1])
        return tuple(reach)

    def cost(self, puts: tuple[Put, ...]) -> float:
        """Cost of a lay.

        Returns:
            Sum over the rolls.
        """
        return sum(stock.cost(used) for stock, used in zip(self.stocks, self.used(puts), strict=True))
