"""What things in the rack are searched by: label, name, timber and place in small letters, a narrow row for each.

A search for part of a word reads every row of it; being a tenth as wide as the things themselves it is read in a tenth
of the time, and case is folded when it is written and not once for every row when it is asked.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from sqlalchemy import ColumnElement, Connection, delete, func, insert, select

from longpoint.store.opening import Desk
from longpoint.store.tables import Item, Words

_COLUMNS = (Item.id, Item.label, Item.name, Item.timber, Item.place)


def folded(text: str) -> str:
    """A text as it is searched: case and ways to write a letter make no difference."""
    return unicodedata.normalize("NFC", text).casefold()


def words_of(label: str, name: str, timber: str, place: str) -> str:
    """What a thing is found by."""
    return folded("\n".join((label, name, timber, place)))


def holds(desk: Desk, words: str) -> ColumnElement[bool]:
    """Whether a thing is found by words."""
    if desk.session.get_bind().dialect.name == "sqlite":
        return func.instr(Words.text, folded(words)) > 0
    return Words.text.contains(folded(words), autoescape=True)


def written_anew(connection: Connection) -> None:
    """Writes every row from what stands there of the things."""
    connection.execute(delete(Words))
    rows = connection.execute(select(*_COLUMNS).order_by(Item.id)).all()
    if rows:
        connection.execute(insert(Words), [{"item_id": row[0], "text": words_of(*row[1:])} for row in rows])


def strangers(desk: Desk) -> Iterable[str]:
    """Labels of things that are not found by what is stated of them."""
    asked = select(Words.text, *_COLUMNS[1:]).select_from(Item).outerjoin(Words, Words.item_id == Item.id)
    for text, *columns in desk.session.execute(asked.execution_options(yield_per=2000)):
        if text != words_of(*columns):
            yield columns[0]
