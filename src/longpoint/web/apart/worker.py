"""A process that stays warm beside the server and answers short wishes, one after the other.

Run by the server: ``python -m longpoint.web.apart.worker``. A line of JSON on its standard input is a wish, a line on
its standard output an answer with the wish's number; a wish may be answered twice, at once and for good.
"""

from __future__ import annotations

import json
import os
import pickle
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from longpoint.web.apart.limits import keep_within
from longpoint.web.desk import write_whole

CPU_SECONDS = 6 * 3600
"""Computing until a fresh one takes over. [s]"""


MOST_LIKE = 400
"""Works whose last design is remembered."""


def main() -> None:
    """Answers wishes until the server goes."""
    keep_within(seconds=CPU_SECONDS)
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # nothing that a library prints gets between the answers
    desk = _Answers()
    for line in sys.stdin:
        wish = json.loads(line)
        try:
            for answer in desk.answers(wish):
                out.write(json.dumps({"number": wish["number"], **answer}, ensure_ascii=False) + "\n")
                out.flush()
        except MemoryError:
            os._exit(1)
        except (
            Exception
        ) as error:  # the worker outlives what goes wrong with one wish; the server writes it down
            told = {"number": wish["number"], "last": True, "broken": f"{type(error).__name__}: {error}"}
            out.write(json.dumps(told) + "\n")
            out.flush()


class _Answers:
    """What is kept between wishes."""

    def __init__(self) -> None:
        from longpoint.choosing.chooser import ComputedChooser

        self._make = ComputedChooser
        self._choosers: dict[str, ComputedChooser] = {}
        self._like: dict[str, Any] = {}
        self._last_plan: tuple[Path | None, Any] = (None, None)

    def answers(self, wish: dict[str, Any]) -> Iterator[dict[str, Any]]:
        """The answers to one wish, the last marked so."""
        if wish["wish"] == "warm":
            from longpoint.web.told import answer, files, remainder  # noqa: F401 the heavy modules, loaded before they are asked for

            yield {"last": True}
        elif wish["wish"] == "tell":
            self._tell(wish)
            yield {"last": True}
        elif wish["wish"] == "tell-rest":
            self._tell_rest(wish)
            yield {"last": True}
        elif wish["wish"] == "rehearse":
            self._rehearse(wish)
            yield {"last": True, "told": {}}
        elif wish["wish"] == "orders":
            self._orders(wish)
            yield {"last": True, "told": {}}
        elif wish["wish"] == "lengths":
            yield {"last": True, "told": self._lengths(wish)}
        elif wish["wish"] == "press":
            yield {"last": True, "told": self._press(wish)}
        elif wish["wish"] == "rest":
            yield {"last": True, "told": self._rest(wish)}
        elif wish["wish"] == "work":
            yield from self._work(wish)

    def _plan(self, folder: Path) -> Any:
        """The plan of a run; the last one is kept, since wishes come several about one."""
        if self._last_plan[0] != folder:
            self._last_plan = (folder, pickle.loads((folder / "plan.pickle").read_bytes()))
        return self._last_plan[1]

    def _tell(self, wish: dict[str, Any]) -> None:
        from longpoint.web.told.files import write_told

        folder = Path(wish["folder"])
        write_told(folder, self._plan(folder), language=wish["language"], system=wish["system"])

    @staticmethod
    def _tell_rest(wish: dict[str, Any]) -> None:
        from longpoint.web.told.remainder import tell_rest

        folder = Path(wish["folder"])
        found = pickle.loads((folder / "rest.pickle").read_bytes())
        tell_rest(folder, found, language=wish["language"], system=wish["system"])

    def _rehearse(self, wish: dict[str, Any]) -> None:
        from longpoint.web.told.rehearsed import told_rehearsal

        folder = Path(wish["folder"])
        told = told_rehearsal(self._plan(folder), wish["code"])
        write_whole(folder / f"rehearsed-{wish['code']}.json", json.dumps(told).encode())

    def _orders(self, wish: dict[str, Any]) -> None:
        from longpoint.web.told.measured import told_orders

        folder = Path(wish["folder"])
        told = told_orders(self._plan(folder), wish["code"])
        write_whole(folder / f"orders-{wish['code']}.json", json.dumps(told).encode())

    def _lengths(self, wish: dict[str, Any]) -> dict[str, Any]:
        from longpoint.web.told.measured import told_lengths

        return told_lengths(self._plan(Path(wish["folder"])), wish["code"], **wish["given"])

    def _press(self, wish: dict[str, Any]) -> dict[str, Any]:
        from longpoint.web.told.measured import told_press

        own = {name: wish[name] for name in ("language", "system")}
        return told_press(self._plan(Path(wish["folder"])), wish["code"], **wish["given"], **own)

    @staticmethod
    def _rest(wish: dict[str, Any]) -> dict[str, Any]:
        from longpoint.web.told.remainder import plan_rest

        run, before, into = (Path(wish[name]) for name in ("run", "before", "into"))
        return plan_rest(run, before, into, wish["events"], language=wish["language"], system=wish["system"])

    def _work(self, wish: dict[str, Any]) -> Iterator[dict[str, Any]]:
        from longpoint.errors import FaultsError
        from longpoint.jobs.answer import first_answer, whole_answer
        from longpoint.jobs.plan import fingerprint
        from longpoint.web.batch_text import by_field, read
        from longpoint.web.told.answer import told_answer, told_faults
        from longpoint.web.told.voices import voice_for
        from longpoint.works.brief import briefs_of

        say = voice_for(wish["language"], wish["system"])
        try:
            batch = read(wish["text"])
            brief = briefs_of(batch)[wish["index"]]
            shared = fingerprint(batch.model_copy(update={"work": (), "title": "x"}))
            like = self._like.get(f"{wish['about']}")
            only = wish.get("only", "")
            first = first_answer(brief, like, fully=only == "fully")
            if isinstance(first, tuple):
                yield {"last": bool(only), "told": told_faults(by_field(first))}
            else:
                yield {"last": bool(only), "told": told_answer(batch, first, say)}
            if only:
                return
            if len(self._choosers) > 8:
                self._choosers.pop(next(iter(self._choosers)))
            choose = self._choosers.setdefault(shared, self._make())
            whole = whole_answer(brief, choose)
            if isinstance(whole, tuple):
                yield {"last": True, "told": told_faults(by_field(whole))}
                return
            self._like[f"{wish['about']}"] = whole.draft.designed.design
            if len(self._like) > MOST_LIKE:
                self._like.pop(next(iter(self._like)))
            yield {"last": True, "told": told_answer(batch, whole, say)}
        except FaultsError as error:
            yield {"last": True, "told": told_faults(by_field(error.faults))}


if __name__ == "__main__":
    main()
