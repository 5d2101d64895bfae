"""The rest after something went wrong at the saw: planned from what was ticked, told like the first plan."""

from __future__ import annotations

import json
import pickle
import shutil
import tempfile
from pathlib import Path
from typing import Any

from longpoint.drawing.paper.pages import paper_named
from longpoint.drawing.words.voice import Voice
from longpoint.errors import FaultsError
from longpoint.export.replan_files import replan_json, replan_pack
from longpoint.export.rows.replan import read_old_plan
from longpoint.jobs.replan import replan_after
from longpoint.model.events import Events
from longpoint.replanning.answer import Replan
from longpoint.web.desk import write_whole
from longpoint.web.told.blocks import told_page
from longpoint.web.told.places import told_folder
from longpoint.web.told.saw import told_section
from longpoint.web.told.voices import voice_for


def plan_rest(
    run: Path, before: Path, into: Path, events: dict[str, Any], *, language: str, system: str
) -> dict[str, Any]:
    """Plans the rest and writes it beside the plan, whole or not at all.

    Args:
        run: The run's folder.
        before: ``plan.json``, or ``replan.json`` of the rest planned last.
        into: Folder of this rest; must not be there yet.
        events: What happened since.
        language: Two letters.
        system: mm, cm or in.

    Returns:
        ``faults``: what stands against it; [] where it was planned.
    """
    try:
        found = replan_after(read_old_plan(before.read_bytes()), Events.model_validate(events))
    except FaultsError as error:
        return {"faults": [f"{fault.what} {fault.remedy}" for fault in error.faults]}
    into.parent.mkdir(exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=".rest-", dir=run))
    (made / "replan.json").write_bytes(replan_json(found))
    (made / "rest.pickle").write_bytes(pickle.dumps(found))
    tell_rest(made, found, language=language, system=system)
    try:
        made.rename(into)
    except OSError:  # another was quicker
        shutil.rmtree(made, ignore_errors=True)
    return {"faults": []}


def tell_rest(folder: Path, found: Replan, *, language: str, system: str) -> None:
    """Writes what pages show of a rest.

    Args:
        folder: Of the rest.
        found: The rest.
        language: Two letters.
        system: mm, cm or in.
    """
    say = voice_for(language, system, fraction=found.batch.style.fraction)
    target = told_folder(folder, language=language, system=system)
    target.mkdir(parents=True, exist_ok=True)
    write_whole(target / "saw.json", json.dumps(_told(found, say), ensure_ascii=False).encode())


def _told(found: Replan, say: Voice) -> dict[str, Any]:
    works = {part.mark: part.work for part in found.parts}
    pack = replan_pack(found, say=say, paper=paper_named(found.batch.paper))
    return {
        "sections": [
            told_section(
                section.cut.use,
                section.again.problem,
                section.again.plan,
                works,
                say,
                begun={board.name: (board.board, board.copy) for board in section.again.boards},
            )
            for section in found.sections
            if not section.again.finished
        ],
        "pages": [told_page(page) for page in pack.pages[:1]],
        "lists": [told_page(page) for page in pack.pages[1:]],
    }
