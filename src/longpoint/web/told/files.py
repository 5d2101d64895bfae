"""All that pages show of a run, written into its folder for one language and one unit."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from longpoint.costing.buying import bought
from longpoint.drawing.paper.pages import Pack, paper_named
from longpoint.drawing.views.frame import back_view
from longpoint.drawing.words.own_words import remarks_words
from longpoint.drawing.words.remarks import ranked
from longpoint.drawing.words.strength import design_words
from longpoint.drawing.words.voice import Voice
from longpoint.export.packs.answer_of import answer_of
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.jobs.plan import Plan
from longpoint.web.told.blocks import picture, told_page
from longpoint.web.told.places import told_folder
from longpoint.web.told.saw import told_section
from longpoint.web.told.voices import voice_for
from longpoint.web.told.works import told_work

PAGES: Mapping[str, tuple[str, ...]] = {
    "days": ("days", "tools"),
    "yard": ("yard", "buying"),
    "bevel": ("bevel",),
    "saw-list": ("saw-stops", "saw-boards"),
    "corners": ("build-card",),
    "cloth": ("cloth",),
    "ready": ("canvas-ready", "corner"),
    "firm": ("stapling",),
    "after": ("canvas-after", "year"),
    "wall": ("ways", "hanging"),
    "money": ("cost",),
    "limits": ("limits",),
}
"""Sheets that a page shows whole, by the key of the sheet."""


def write_told(run: Path, plan: Plan, *, language: str, system: str) -> None:
    """Writes what pages show of a plan, all or nothing.

    Args:
        run: The run's folder.
        plan: The plan.
        language: Two letters.
        system: mm, cm or in.
    """
    target = told_folder(run, language=language, system=system)
    if target.exists():
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=".told-", dir=target.parent))
    made.chmod(0o755)
    say = voice_for(language, system, fraction=plan.batch.style.fraction)
    for name, value in told_of(plan, say).items():
        (made / f"{name}.json").write_text(json.dumps(value, ensure_ascii=False), encoding="utf-8")
    try:
        made.rename(target)
    except OSError:  # another was quicker
        shutil.rmtree(made, ignore_errors=True)


def told_of(plan: Plan, say: Voice) -> dict[str, Any]:
    """What pages show of a plan, by page.

    Args:
        plan: The plan.
        say: How they speak.
    """
    paper = paper_named(plan.batch.paper)
    pages = _by_key(pack_of(plan, say=say, paper=paper), reasons_of(plan, say=say, paper=paper))
    works = {part.mark: work.name for work in plan.works for part in work.parts}
    found: dict[str, Any] = {
        "plan": _summary(plan, say),
        "saw": {
            "sections": [told_section(cut.use, cut.problem, cut.plan, works, say) for cut in plan.boards]
        },
        **{
            name: {"pages": [page for key in keys for page in pages.get(key, [])]}
            for name, keys in PAGES.items()
        },
    }
    for work in plan.works:
        found[f"work-{work.code}"] = told_work(plan, work, say, paper)
    return found


def _by_key(*packs: Pack) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for pack in packs:
        for page in pack.pages:
            if any(page.key in keys for keys in PAGES.values()):
                found.setdefault(page.key, []).append(told_page(page))
    return found


def _summary(plan: Plan, say: Voice) -> dict[str, Any]:
    currency = plan.batch.currency
    total = bought(plan.buying)
    hours = plan.cost.hours.middle

    def money(amount: object) -> str:
        return f"{say.number(float(str(amount)), places=2)} {currency}".strip()

    works = []
    for work in plan.works:
        answer = answer_of(work, say, currency=currency)
        design = work.designed.design
        works.append(
            {
                "code": work.code,
                "name": work.name,
                "how_many": work.how_many,
                "in_set": work.in_set,
                "face": say.face(design.width, design.height),
                "design": design_words(design, say),
                "mass": say.mass(work.mass, unit=True),
                "answer": {"holds": "holds", "holds-unless": "unless", "holds-not": "not"}.get(
                    answer.status, ""
                ),
                "line": answer.line,
                "svg": picture(back_view(work.frame, say=say, room=(140.0, 104.0)), work.name),
                "rails": len(design.cross_rails),
            }
        )
    return {
        "title": plan.batch.title,
        "revision": plan.revision,
        "pieces": sum(work.how_many for work in plan.works),
        "parts": sum(part.how_many for work in plan.works for part in work.parts),
        "boards": sum(cut.to_buy for cut in plan.boards),
        "cloth": say.run(sum(use.used for cloth in plan.cloths for use in cloth.plan.uses), cloth=True),
        "hours": say.number(hours, places=1),
        "to_buy": "" if total is None else money(total),
        "cost": "" if not plan.cost.total else money(plan.cost.total),
        "works": works,
        "remarks": [
            {"rank": rank, "title": say(f"summary.{rank}"), "lines": remarks_words(some, say)}
            for rank, some in ranked(plan.cautions)
        ],
        "has_ways": bool(plan.ways),
    }
