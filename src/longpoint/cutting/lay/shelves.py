"""The plainest lay: rows of falling length, as by hand. What is left where no other lay may be used."""

from __future__ import annotations

from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put


def shelves(ground: Ground) -> tuple[Put, ...] | None:
    """Rows on the rolls in turn, each begun behind what flaw it would touch.

    Args:
        ground: Pieces and rolls.

    Returns:
        The lay; None where rows do not hold all pieces.
    """
    waiting = []
    for kind, want in enumerate(ground.wants):
        waiting += [kind] * want.count
    puts: list[Put] = []
    for at, stock in enumerate(ground.stocks):
        room = min(stock.length, UNLIMITED)

        def lies(kind: int, at: int = at) -> Put | None:
            stock, want = ground.stocks[at], ground.wants[kind]
            for turned in (stock.crossways, not stock.crossways):
                put = Put(at, kind, 0, 0, turned)
                across, along = ground.size(put)
                allowed = turned == stock.crossways or want.may_turn
                if allowed and across <= stock.width and along <= min(stock.length, ground.longest):
                    return put
            return None

        rest: list[int] = []
        fitting: list[Put] = []
        for kind in waiting:
            put = lies(kind)
            if put is None:
                rest.append(kind)
            else:
                fitting.append(put)
        fitting.sort(key=lambda put: (-ground.size(put)[1], -ground.size(put)[0], put.want))
        y = 0
        while fitting:
            height = ground.size(fitting[0])[1]
            y = _clear_from(stock.blocked, y, height)
            if y + height > room:
                rest.append(fitting.pop(0).want)
                continue
            x = 0
            left: list[Put] = []
            for put in fitting:
                across = ground.size(put)[0]
                if x + across <= stock.width:
                    puts.append(Put(at, put.want, x, y, put.turned))
                    x += across
                else:
                    left.append(put)
            fitting = left
            y += height
        waiting = rest
    return tuple(puts) if not waiting else None


def _clear_from(blocked: tuple[tuple[int, int, int, int], ...], y: int, height: int) -> int:
    """The first place from which a row touches no flaw."""
    for _, near, _, far in sorted(blocked, key=lambda flaw: flaw[1]):
        if near < y + height and y < far:
            y = far
    return y
