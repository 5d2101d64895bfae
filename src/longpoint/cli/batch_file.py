"""A batch file with the order files that it names: read together, faults placed in the file they belong to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from longpoint.cli.writing import read_bytes
from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.batch import Batch
from longpoint.model.order import FILE_ENDING, OrderWish
from longpoint.model.reading import in_order, placed, read_batch_text, read_text
from longpoint.works.brief import briefs_of


@dataclass(frozen=True, slots=True)
class BatchFile:
    """A batch as read from disk.

    Attributes:
        batch: What is stated, orders from files among its own.
        name: Name of the batch file.
        text: Its text.
        orders: Number (from 1) of each order that came from a file, the file's name and text.
    """

    batch: Batch
    name: str
    text: str
    orders: tuple[tuple[int, str, str], ...]

    def placed(self, faults: Iterable[Fault]) -> tuple[Fault, ...]:
        """Faults found later, each with file and line; what one line does to several works is said once."""
        made: list[Fault] = []
        for fault in faults:
            for number, file, text in self.orders:
                head = f"order[{number}]"
                if fault.where.key == head or fault.where.key.startswith(f"{head}."):
                    key = fault.where.key.removeprefix(head).removeprefix(".") or "run"
                    made += placed([replace(fault, where=Where(key))], text, file=file)
                    break
            else:
                made += placed([fault], self.text, file=self.name)
        return _said_once(in_order(made), [work.name for work in self.batch.work])


def read_batch(path: Path) -> BatchFile:
    """Reads a batch file and the orders of stapling that it names as files, which lie beside it.

    Where something in it is wrong, everything else that can be read is held against itself in the same round, up to
    bars that no board gives, so that all of it can be mended at once.

    Args:
        path: The batch file.

    Returns:
        The batch.

    Raises:
        FaultsError: With every fault of any of the files.
    """
    reading = read_batch_text(read_bytes(path), file=path.name)
    batch = reading.stated
    if batch is None:
        raise FaultsError(reading.faults)
    text = reading.source
    wishes: list[OrderWish] = []
    files: list[tuple[int, str, str]] = []
    faults: list[Fault] = list(reading.faults)
    for key, name in _named_files(batch).items():
        number = len(batch.order) + len(files) + 1
        try:
            order = read_text(OrderWish, read_bytes(path.parent / name), file=name, unit=batch.unit)
            stated = order.whole()
        except FaultsError as error:
            faults += [_at_batch(fault, key, path.name, text) for fault in error.faults]
            continue
        wishes.append(stated.model_copy(update={"name": name}))
        files.append((number, name, order.source))
    whole = batch.model_copy(update={"order": (*batch.order, *wishes)}) if wishes else batch
    found = BatchFile(whole, path.name, text, tuple(files))
    if not faults:
        return found
    from longpoint.jobs.against import faults_against

    # A name of an order that was refused already stands against the batch only once.
    unread = reading.unread | ({("order",)} if len(faults) > len(reading.faults) else set())
    refused = {fault.where.key for fault in faults}
    more = [
        fault
        for fault in found.placed(faults_against(whole, briefs_of(whole), unread=unread))
        if fault.where.key not in refused
    ]
    raise FaultsError(in_order((*faults, *more)))


def _said_once(faults: Iterable[Fault], works: Sequence[str]) -> tuple[Fault, ...]:
    """Faults of the same line and kind about several works as one that names them; the first one's figures stay."""
    groups: dict[object, list[tuple[str, str, Fault]]] = {}
    for fault in faults:
        name = max((work for work in works if fault.what.startswith(f"{work}: ")), key=len, default="")
        shared = name and not fault.where.key.startswith("work[")
        group = (fault.where, fault.code, fault.remedy) if shared else fault
        groups.setdefault(group, []).append((name, fault.what[len(name) + 2 :] if name else "", fault))
    said: list[Fault] = []
    for members in groups.values():
        names = list(dict.fromkeys(name for name, _, _ in members))
        first = members[0][2]
        if len(names) < 2:
            said += [fault for _, _, fault in members]
        else:
            said.append(replace(first, what=f"{', '.join(names)}: {members[0][1]}"))
    return tuple(said)


def _named_files(batch: Batch) -> dict[str, str]:
    """Where each order file is first named, and its name; what stands under [[order]] needs no file."""
    own = {order.name for order in batch.order}
    named = [("cloth.order", batch.cloth.order)]
    named += [
        (f"work[{index}].cloth.order", work.cloth.order) for index, work in enumerate(batch.work, start=1)
    ]
    found: dict[str, str] = {}
    for key, name in named:
        if name.endswith(FILE_ENDING) and name not in own and name not in found.values():
            found[key] = name
    return found


def _at_batch(fault: Fault, key: str, file: str, text: str) -> Fault:
    """A file that cannot be read is named by the batch's line; what is wrong inside it keeps its own place."""
    if fault.where.file:
        return fault
    return placed([replace(fault, where=Where(key))], text, file=file)[0]
