"""People who sign in where the pages are shared: accounts, roles, sessions, and a trail of who did what.

Passwords are kept as Argon2id hashes with the library's own settings, of a session's token only the fingerprint: nobody
who reads the store can sign in with what stands there.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, get_args

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError
from sqlalchemy import delete, func, select

from longpoint.errors import Fault, FaultsError, Where, refuse
from longpoint.store.opening import Desk, Store
from longpoint.store.tables import Audit, Person, SignedIn

Role = Literal["look", "bench", "plan", "own"]

ROLES: tuple[Role, ...] = get_args(Role)
"""Each may do what those before it may: look; tick and measure; plan and order; keep accounts and restore."""

SHORTEST = 8
"""Of a password. [signs] NIST SP 800-63B (2017), 5.1.1.2, from memory: at least 8, no rules of composition."""

STAYS = timedelta(days=30)
"""How long somebody stays signed in. NIST SP 800-63B (2017), 4.1.3, from memory: anew at least every 30 days."""

TRIES, TRIES_FROM, WITHIN = 10, 50, timedelta(minutes=15)
"""So many wrong passwords of one name, or from one address, in that time, and none is looked at any more. Estimates."""

_HASHER = PasswordHasher()


@dataclass(frozen=True, slots=True)
class Who:
    """Somebody with an account.

    Attributes:
        name: Their name.
        role: See `ROLES`.
    """

    name: str
    role: Role

    def may(self, role: Role) -> bool:
        """Whether they may do what a role allows."""
        return ROLES.index(self.role) >= ROLES.index(role)


@dataclass(frozen=True, slots=True)
class Noted:
    """One line of the trail."""

    at: datetime
    who: str
    what: str
    about: str


def add_person(desk: Desk, name: str, password: str, role: Role) -> Who:
    """Makes an account.

    Raises:
        FaultsError: With everything wrong with it.
    """
    faults = _password_faults(password)
    if not name.strip() or len(name) > 80 or not name.isprintable():
        faults.append(
            Fault("no-name", "the name is empty, too long or cannot be printed.", "Write one.", Where("name"))
        )
    if role not in ROLES:
        faults.append(
            Fault("no-such-role", f"{role} is no role.", f"Use one of: {', '.join(ROLES)}.", Where("role"))
        )
    if desk.session.scalar(select(Person.id).where(Person.name == name)) is not None:
        faults.append(
            Fault("name-taken", f"{name} has an account already.", "Take another name.", Where("name"))
        )
    if faults:
        raise FaultsError(faults)
    desk.session.add(Person(name=name, role=role, password=_HASHER.hash(password), at=desk.now, until=None))
    note(desk, "account made", f"{name}, {role}")
    return Who(name, role)


def anybody(desk: Desk) -> bool:
    """Whether there is an account at all; without one nobody needs to sign in."""
    return desk.session.scalar(select(Person.id).where(Person.until.is_(None)).limit(1)) is not None


def people(desk: Desk) -> list[Who]:
    """Everybody with an open account."""
    rows = desk.session.scalars(select(Person).where(Person.until.is_(None)).order_by(Person.name)).all()
    return [_who(row) for row in rows]


def sign_in(store: Store, name: str, password: str, *, where: str = "") -> str | None:
    """Signs somebody in.

    The password is looked at outside of any transaction, since that takes long on purpose, and whoever waits at the
    store's door would wait for it.

    Args:
        store: The store.
        name: Their name.
        password: Their password.
        where: From which address.

    Returns:
        The token of the session; None where name and password do not go together, or it was tried too often.
    """
    asked = select(Person).where(Person.name == name, Person.until.is_(None))
    with store.reading(where) as desk:
        if _shut(desk, name):
            return None
        row = desk.session.scalar(asked)
        # as long for a name that is not there, so that nobody learns which are
        kept = row.password if row is not None else _NOBODY
    right = _is_right(kept, password)
    anew = _HASHER.hash(password) if right and _HASHER.check_needs_rehash(kept) else kept
    with store.writing(where) as desk:
        row = desk.session.scalar(asked.with_for_update())
        if _shut(desk, name):  # others tried meanwhile
            return None
        if row is None or row.password != kept or not right:
            note(desk, "wrong password", name)
            return None
        row.password = anew
        token = secrets.token_urlsafe(32)
        desk.session.execute(delete(SignedIn).where(SignedIn.until < desk.now))
        desk.session.add(SignedIn(token=_print(token), person_id=row.id, at=desk.now, until=desk.now + STAYS))
        note(desk, "signed in", name)
    return token


def _shut(desk: Desk, name: str) -> bool:
    """Whether too many wrong passwords were tried of a name, or from an address."""
    wrong = (
        select(func.count())
        .select_from(Audit)
        .where(Audit.what == "wrong password", Audit.at > desk.now - WITHIN)
    )
    of_name = desk.session.scalar(wrong.where(Audit.about == name[:120])) or 0
    from_there = desk.session.scalar(wrong.where(Audit.who == desk.who[:80])) or 0
    return of_name >= TRIES or from_there >= TRIES_FROM


def is_password_of(store: Store, name: str, password: str) -> bool:
    """Whether a password is somebody's; for who is signed in and wants another."""
    with store.reading() as desk:
        row = desk.session.scalar(select(Person).where(Person.name == name, Person.until.is_(None)))
        kept = row.password if row is not None else _NOBODY
    return _is_right(kept, password)


def who_is(desk: Desk, token: str) -> Who | None:
    """Who signed in with a token; None where nobody did, or it is over."""
    asked = (
        select(Person)
        .join(SignedIn, SignedIn.person_id == Person.id)
        .where(SignedIn.token == _print(token), SignedIn.until > desk.now, Person.until.is_(None))
    )
    row = desk.session.scalar(asked)
    return None if row is None else _who(row)


def sign_out(desk: Desk, token: str) -> None:
    """Ends a session."""
    if (who := who_is(desk, token)) is not None:
        note(desk, "signed out", who.name)
    desk.session.execute(delete(SignedIn).where(SignedIn.token == _print(token)))


def change_person(
    desk: Desk, name: str, *, password: str = "", role: Role | None = None, close: bool = False
) -> None:
    """Changes an account; all sessions of it end.

    Args:
        desk: A transaction that writes.
        name: Whose.
        password: New password; "" keeps it.
        role: New role; None keeps it.
        close: Whether the account is closed.

    Raises:
        FaultsError: If there is none, the password is too short, or nobody would be left who keeps accounts.
    """
    row = desk.session.scalar(select(Person).where(Person.name == name, Person.until.is_(None)))
    if row is None:
        raise refuse("no-such-person", f"{name} has no account.", "Look who has one.")
    if password and (faults := _password_faults(password)):
        raise FaultsError(faults)
    loses = row.role == "own" and (close or role not in (None, "own"))
    if loses and sum(one.role == "own" for one in people(desk)) < 2:
        raise refuse(
            "last-owner", f"{name} is the last who keeps accounts.", "Give somebody else that role first."
        )
    if password:
        row.password = _HASHER.hash(password)
    row.role = role or row.role
    row.until = desk.now if close else None
    desk.session.execute(delete(SignedIn).where(SignedIn.person_id == row.id))
    note(desk, "account closed" if close else "account changed", f"{name}, {row.role}")


def note(desk: Desk, what: str, about: str = "") -> None:
    """Adds a line to the trail."""
    desk.session.add(Audit(at=desk.now, who=desk.who[:80], what=what[:40], about=about[:120]))
    desk.session.flush()


def trail(desk: Desk, *, limit: int = 200) -> list[Noted]:
    """The last lines of the trail, newest first."""
    rows = desk.session.scalars(select(Audit).order_by(Audit.id.desc()).limit(limit)).all()
    return [Noted(row.at, row.who, row.what, row.about) for row in rows]


def _who(row: Person) -> Who:
    role: Role = next(role for role in ROLES if role == row.role)
    return Who(row.name, role)


def _print(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def _is_right(kept: str, password: str) -> bool:
    try:
        return _HASHER.verify(kept, password)
    except (VerifyMismatchError, InvalidHashError):
        return False


def _password_faults(password: str) -> list[Fault]:
    if SHORTEST <= len(password) <= 1000:
        return []
    what = f"the password has {len(password)} signs."
    return [Fault("password-short", what, f"Take {SHORTEST} to 1000; a few words do.", Where("password"))]


_NOBODY = "$argon2id$v=19$m=65536,t=3,p=4$MDEyMzQ1Njc4OWFiY2RlZg$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"
"""The hash of no password, made with the library's settings."""
