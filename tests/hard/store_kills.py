"""Kills in the middle of writes to a store: what was confirmed is there, what was not is there whole or not at all.

``python tests/hard/store_kills.py COUNT [SEED]`` kills a writing program with SIGKILL that often on each database, the
PostgreSQL server itself, without warning, every fiftieth time, and says what it found.
"""

from __future__ import annotations

import os
import random
import select
import signal
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from longpoint.errors import FaultsError
from longpoint.store import Place, open_store, place_of
from longpoint.store.keeping.archive import check_store
from longpoint.store.rack.stock import Wish, count, listed, put, take
from store.databases import Server, running_server, server_is_there
from store.making import board

FEW = 40
"""Kills between two checks of the whole store."""


def writer(place: Place, run: int, pipe: int) -> None:
    """Writes as fast as it can, and says what is confirmed; two boards come in each transaction, one goes."""
    store = open_store(place)
    number = 0
    try:
        while True:
            number += 1
            one, two = f"{run}-{number}-a", f"{run}-{number}-b"
            with store.writing("killed") as desk:
                put(desk, [board(name=one), board(name=two)])
                take(desk, one)
                count(desk, two, 1)
            os.write(pipe, f"{number}\n".encode())
    except FaultsError:  # the server went away
        os._exit(3)


def killed(place: Place, run: int, luck: random.Random) -> int:
    """Lets a writer run for a moment and kills it; the last number that it confirmed."""
    inward, outward = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(inward)
            writer(place, run, outward)
        finally:
            os._exit(9)
    os.close(outward)
    said = b""
    # the first write is waited for, then a moment of chance
    if select.select([inward], [], [], 60)[0]:
        said += os.read(inward, 4096)
    time.sleep(luck.random() * 0.05)
    os.kill(child, signal.SIGKILL)
    while piece := os.read(inward, 65536):
        said += piece
    os.close(inward)
    os.waitpid(child, 0)
    return int(said.split()[-1]) if said.split() else 0


def against(place: Place, run: int, confirmed: int) -> list[str]:
    """What is lost or half there of a run."""
    store = open_store(place)
    try:
        with store.reading() as desk:
            gone = {one.label for one in listed(desk, Wish(words=f"{run}-", gone=True), limit=None)}
            here = {one.label for one in listed(desk, Wish(words=f"{run}-"), limit=None)}
    finally:
        store.close()
    ones = {int(label.split("-")[1]) for label in gone if label.startswith(f"{run}-")}
    twos = {int(label.split("-")[1]) for label in here if label.startswith(f"{run}-")}
    found = [
        f"run {run}: {number} was confirmed and is lost"
        for number in range(1, confirmed + 1)
        if number not in ones
    ]
    if ones != twos:
        found.append(f"run {run}: {sorted(ones ^ twos)} is half there")
    if ones and max(ones) > confirmed + 1:
        found.append(f"run {run}: {max(ones)} is there, {confirmed} was the last confirmed")
    return found


def attack(place: Place, kills: int, luck: random.Random, server: Server | None = None) -> list[str]:
    """Kills a writer again and again; everything that is wrong afterwards."""
    found: list[str] = []
    open_store(place).close()
    writes = 0
    for run in range(1, kills + 1):
        confirmed = killed(place, run, luck)
        if server is not None and run % 50 == 0:
            server.stop()
            server.start()
        writes += confirmed
        found += against(place, run, confirmed)
        if run % FEW == 0 or run == kills:
            store = open_store(place)
            found += check_store(store)
            store.close()
    print(f"{place}: {kills} kills, {writes} writes confirmed, {len(found)} wrong")
    return found


def main() -> int:
    """Both databases."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    luck = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 0)
    with tempfile.TemporaryDirectory() as name:
        found = attack(place_of(name, {}), kills, luck)
        if server_is_there():
            with running_server() as server:
                found += attack(Place(place_of(server.new(), {}).url, Path(name)), kills, luck, server)
        else:
            print("Debian's postgresql is not installed: only SQLite was attacked")
    for line in found[:20]:
        print(f"  {line}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
