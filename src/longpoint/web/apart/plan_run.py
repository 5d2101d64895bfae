"""A plan, made apart: reads a run's folder, plans its batch, writes results and what the pages show of them.

Run by the server: ``python -m longpoint.web.apart.plan_run FOLDER``. The folder holds ``batch.toml`` and ``run.json``;
what is being done stands in ``doing.json``, the end in ``end.json``.
"""

from __future__ import annotations

import json
import pickle
import sys
from pathlib import Path
from typing import Any

from longpoint.web.apart.limits import go_with_the_server, keep_within
from longpoint.web.desk import write_whole

CPU_SECONDS = 1800
"""Computing that a plan may take. [s]"""

PICKLE = "plan.pickle"


def main(folder: Path) -> None:
    """Plans the batch of a run.

    Args:
        folder: The run's.
    """
    keep_within(seconds=CPU_SECONDS)
    go_with_the_server()
    wish = json.loads((folder / "run.json").read_text(encoding="utf-8"))
    try:
        end = _planned(folder, wish)
    except MemoryError:
        end = {"state": "failed", "why": "memory"}
    write_whole(folder / "end.json", json.dumps(end, ensure_ascii=False).encode())


def _planned(folder: Path, wish: dict[str, Any]) -> dict[str, Any]:
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.errors import FaultsError
    from longpoint.export.results import result_files
    from longpoint.jobs.plan import plan_batch
    from longpoint.jobs.possible import with_things_to_buy
    from longpoint.model.reading import placed
    from longpoint.web.batch_text import by_field, read
    from longpoint.web.told.files import write_told

    number = 0

    def say(text: str) -> None:
        nonlocal number
        number += 1
        write_whole(folder / "doing.json", json.dumps({"number": number, "text": text}).encode())

    text = (folder / "batch.toml").read_text(encoding="utf-8")
    try:
        batch = read(text)
        try:
            plan = plan_batch(
                batch, choose=ComputedChooser(say), rehearsing=bool(wish.get("rehearsing")), say=say
            )
        except FaultsError as error:
            raise FaultsError(with_things_to_buy(batch, error.faults)) from None
    except FaultsError as error:
        return {"state": "refused", "faults": by_field(placed(error.faults, text, file=""))}
    say("sheets")
    out = folder / "out"
    for path, contents in result_files(plan):
        target = out / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(contents)
    say("pages")
    write_whole(folder / PICKLE, pickle.dumps(plan))
    own = {"language": batch.language, "system": batch.style.system}
    write_told(folder, plan, **own)
    write_whole(folder / "own.json", json.dumps(own).encode())
    return {"state": "done", "revision": plan.revision, "unrehearsed": not wish.get("rehearsing")}


if __name__ == "__main__":
    main(Path(sys.argv[1]))
