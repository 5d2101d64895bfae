"""The store's tables.

Lengths in columns are whole nanometres, amounts whole counts of an item's own unit, times UTC as text that sorts: both
databases keep them exactly. What is only shown stands in ``facts`` as it would in a batch file, in mm.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

CHAIN = ("m0001", "m0002", "m0003", "m0004", "m0005")
"""Every shape that a store ever had, oldest first; a store of another shape is newer than this program."""

Key = BigInteger().with_variant(Integer, "sqlite")


class Moment(TypeDecorator[datetime]):
    """A time as text in UTC, to the microsecond."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """To the database."""
        return None if value is None else moment_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """From the database."""
        return None if value is None else datetime.fromisoformat(value)


def moment_text(value: datetime) -> str:
    """A time as it stands in the store."""
    return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class Base(DeclarativeBase):
    """Base of the tables."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {datetime: Moment, dict[str, Any]: JSON, bytes: LargeBinary}  # noqa: RUF012


class Number(Base):
    """The last number given to a kind of label."""

    __tablename__ = "number"

    kind: Mapped[str] = mapped_column(String(20), primary_key=True)
    last: Mapped[int] = mapped_column(BigInteger, default=0)


class Item(Base):
    """A thing in the rack as it is now: the journal of `Event` played to its end.

    Attributes:
        label: What is written on it, unique for ever.
        kind: ``board``, ``offcut``, ``roll`` or ``supply``.
        name: What it is called.
        timber: Species or strength class; of a roll its fibre, of a supply what it is.
        thickness: The smaller side. [nm]
        depth: The greater side; of a roll its width. [nm]
        length: Of a board. [nm]
        grade: What a board is good for.
        serves: What an offcut will serve for.
        place: Where it stands.
        facts: Everything stated of it.
        amount: What is there: 1 or 0 boards; nm of a roll; thousandths of a supply's unit.
        reserved: How much of that is kept for plans.
        version: Counted up by every change.
    """

    __tablename__ = "item"
    __table_args__ = (
        CheckConstraint("amount >= 0", name="amount"),
        CheckConstraint("reserved >= 0 AND reserved <= amount", name="reserved"),
        Index(None, "kind", "thickness", "depth", "length"),
        Index(None, "kind", "amount"),
    )

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    label: Mapped[str] = mapped_column(String(80), unique=True)
    kind: Mapped[str] = mapped_column(String(10))
    name: Mapped[str] = mapped_column(String(80))
    timber: Mapped[str] = mapped_column(String(80), default="")
    thickness: Mapped[int] = mapped_column(BigInteger, default=0)
    depth: Mapped[int] = mapped_column(BigInteger, default=0)
    length: Mapped[int] = mapped_column(BigInteger, default=0)
    grade: Mapped[str] = mapped_column(String(20), default="")
    serves: Mapped[str] = mapped_column(String(20), default="")
    place: Mapped[str] = mapped_column(String(80), default="")
    facts: Mapped[dict[str, Any]]
    amount: Mapped[int] = mapped_column(BigInteger)
    reserved: Mapped[int] = mapped_column(BigInteger, default=0)
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012


class Words(Base):
    """What an item is searched by, written from its row: never more than that says, and in no backup.

    Attributes:
        text: Label, name, timber and place in small letters, a line each.
    """

    __tablename__ = "words"

    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True, autoincrement=False)
    text: Mapped[str] = mapped_column(Text)


class Event(Base):
    """One thing that happened in the rack; never changed, never taken away.

    Attributes:
        kind: ``receipt``, ``taking``, ``return``, ``count``, ``correction``, ``reservation`` or ``release``.
        amount: How much, in the item's unit; of a count, what was there.
        facts: Of a receipt all that is stated of it, of a correction what is other than before.
    """

    __tablename__ = "event"
    __table_args__ = (Index(None, "item_id", "id"), Index(None, "at"))

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(12))
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    plan_id: Mapped[int | None] = mapped_column(ForeignKey("plan.id"))
    amount: Mapped[int] = mapped_column(BigInteger)
    facts: Mapped[dict[str, Any]]
    note: Mapped[str] = mapped_column(Text, default="")


class Batch(Base):
    """A batch of works; its plans are `PlanRow` rows.

    Attributes:
        state: ``open``, ``done`` or ``dropped``.
    """

    __tablename__ = "batch"
    __table_args__ = (Index(None, "title"),)

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    title: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(10), default="open")
    at: Mapped[datetime]
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012


class PlanRow(Base):
    """One plan of a batch, or the rest of one planned anew.

    Attributes:
        number: Which of the batch's plans, from 1.
        revision: First signs of its fingerprint, as they stand on the sheets.
        kind: ``plan`` or ``replan``.
        state: ``standing``, ``replaced``, ``done`` or ``dropped``; only a standing plan keeps boards.
        document: ``plan.json`` or ``replan.json``, packed.
        on_desk: Its name on the desk of the pages, as `longpoint.store.book.on_desk` gives it; "" where none made it.
    """

    __tablename__ = "plan"
    __table_args__ = (UniqueConstraint("batch_id", "number"), Index(None, "revision"), Index(None, "on_desk"))

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"))
    number: Mapped[int] = mapped_column(Integer)
    revision: Mapped[str] = mapped_column(String(64))
    kind: Mapped[str] = mapped_column(String(10))
    state: Mapped[str] = mapped_column(String(10), default="standing")
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))
    note: Mapped[str] = mapped_column(Text, default="")
    document: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    on_desk: Mapped[str] = mapped_column(String(40), default="", server_default="")
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012


class Reservation(Base):
    """What a standing plan keeps of an item."""

    __tablename__ = "reservation"
    __table_args__ = (CheckConstraint("amount > 0", name="amount"), Index(None, "item_id"))

    plan_id: Mapped[int] = mapped_column(ForeignKey("plan.id"), primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True)
    amount: Mapped[int] = mapped_column(BigInteger)


class Copy(Base):
    """One copy of one work of a batch.

    Attributes:
        work: Name of the work.
        code: Letters of the work in the plan.
        number: Which copy, from 1.
        of: How many the plan makes.
        label: What its label's square code says, unique for ever.
        state: ``planned``, ``cut``, ``assembled``, ``stretched``, ``primed``, ``hung`` or ``gone``.
    """

    __tablename__ = "copy"
    __table_args__ = (UniqueConstraint("batch_id", "work", "number"), Index(None, "state"))

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    batch_id: Mapped[int] = mapped_column(ForeignKey("batch.id"))
    work: Mapped[str] = mapped_column(String(80), index=True)
    code: Mapped[str] = mapped_column(String(10))
    number: Mapped[int] = mapped_column(Integer)
    of: Mapped[int] = mapped_column(Integer)
    label: Mapped[str] = mapped_column(String(20), unique=True)
    state: Mapped[str] = mapped_column(String(10), default="planned")
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012


class Tick(Base):
    """A tick set or taken back; the last one of a key holds, none is changed.

    Attributes:
        uid: Made where it was ticked, so that a tick sent twice counts once.
        kind: ``cut``, ``step``, ``state``, ``board`` or ``roll``; from pages also ``buy``, ``run``,
            ``measure`` and ``place``.
        key: Which of them.
        state: What is so where that is more than done or not: ``spoiled``, ``split``, what was measured.
    """

    __tablename__ = "tick"
    __table_args__ = (Index(None, "plan_id", "kind", "key"), Index(None, "copy_id"))

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    uid: Mapped[str] = mapped_column(String(64), unique=True)
    plan_id: Mapped[int] = mapped_column(ForeignKey("plan.id"))
    copy_id: Mapped[int | None] = mapped_column(ForeignKey("copy.id"))
    kind: Mapped[str] = mapped_column(String(10))
    key: Mapped[str] = mapped_column(String(200))
    done: Mapped[bool]
    state: Mapped[str] = mapped_column(String(80), default="", server_default="")
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))


class Measured(Base):
    """A value measured at the bench; a later one of the same thing stands beside it.

    Attributes:
        about: What was measured where it is no copy of a work: a cloth, a timber.
        what: What was measured, as `longpoint.store.book.values` names it.
        value: In mm, kg, hours, N/m or shares, as ``what`` says.
        planned: What the plan says; None where it says nothing.
    """

    __tablename__ = "measured"
    __table_args__ = (Index(None, "what", "about"), Index(None, "copy_id"))

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    uid: Mapped[str] = mapped_column(String(64), unique=True)
    copy_id: Mapped[int | None] = mapped_column(ForeignKey("copy.id"))
    about: Mapped[str] = mapped_column(String(120), default="")
    what: Mapped[str] = mapped_column(String(40))
    value: Mapped[float]
    planned: Mapped[float | None]
    note: Mapped[str] = mapped_column(Text, default="")
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))


class Photograph(Base):
    """A photograph of a copy; the picture itself is a file beside the store, named by its fingerprint."""

    __tablename__ = "photograph"
    __table_args__ = (Index(None, "copy_id"),)

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    copy_id: Mapped[int] = mapped_column(ForeignKey("copy.id"))
    sha256: Mapped[str] = mapped_column(String(64))
    kind: Mapped[str] = mapped_column(String(10))
    size: Mapped[int] = mapped_column(Integer)
    caption: Mapped[str] = mapped_column(Text, default="")
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))


class Person(Base):
    """Somebody who may sign in where the pages are shared.

    Attributes:
        role: ``look``, ``bench``, ``plan`` or ``own``.
        until: When the account was closed.
    """

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    name: Mapped[str] = mapped_column(String(80), unique=True)
    role: Mapped[str] = mapped_column(String(10))
    password: Mapped[str] = mapped_column(String(200))
    at: Mapped[datetime]
    until: Mapped[datetime | None]
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012


class SignedIn(Base):
    """A session: only the fingerprint of its token is kept."""

    __tablename__ = "signed_in"

    token: Mapped[str] = mapped_column(String(64), primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    at: Mapped[datetime]
    until: Mapped[datetime]


class Audit(Base):
    """Who did what that is neither in the rack's journal nor in the book."""

    __tablename__ = "audit"
    __table_args__ = (Index(None, "at"),)

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))
    what: Mapped[str] = mapped_column(String(40))
    about: Mapped[str] = mapped_column(String(120), default="")


class LongWork(Base):
    """Something that takes long, done by whichever runner is free.

    Attributes:
        state: ``waiting``, ``running``, ``done``, ``failed`` or ``cancelled``.
        share: How much of it is done, 0 to 1.
        says: What it is doing, or why it failed.
        runner: Who runs it; a runner that no longer gives a sign loses it.
        sign: Last sign of life.
    """

    __tablename__ = "long_work"
    __table_args__ = (Index(None, "state", "id"),)

    id: Mapped[int] = mapped_column(Key, primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    given: Mapped[dict[str, Any]]
    state: Mapped[str] = mapped_column(String(10), default="waiting")
    share: Mapped[float] = mapped_column(default=0.0)
    says: Mapped[str] = mapped_column(Text, default="")
    cancel: Mapped[bool] = mapped_column(default=False)
    runner: Mapped[str] = mapped_column(String(80), default="")
    tries: Mapped[int] = mapped_column(Integer, default=0)
    at: Mapped[datetime]
    who: Mapped[str] = mapped_column(String(80))
    sign: Mapped[datetime | None]
    ended: Mapped[datetime | None]
    answer: Mapped[dict[str, Any] | None]
    version: Mapped[int] = mapped_column(Integer)

    __mapper_args__ = {"version_id_col": version}  # noqa: RUF012
