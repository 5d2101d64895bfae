"""How time and memory grow with the number of works: each stage of a whole unrehearsed plan, files and all.

``python tests/hard/growth.py 1 5 20`` plans that many works of different sizes, each count in a process of its own, and
prints the processor seconds of each stage, the peak of memory, and by which power each stage grew since the last count.
``--cutting 20 60 200 1000`` designs by rule and only cuts boards and cloth; gaps to the proven bounds stand below.
"""

from __future__ import annotations

import json
import math
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

STAGES = {
    "Designing": "design",
    "Computing": "design",
    "Joints": "joints",
    "Cutting": "boards",
    "Laying": "cloth",
}
"""What a stage says when it begins, and how it is called here."""


def batch_text(count: int, seed: int = 0) -> str:
    """A batch of works that all differ in width and height, 300 to 1600 mm."""
    luck = random.Random(seed)
    widths, heights = (luck.sample(range(300, 1600), count) for _ in range(2))
    works = (
        f'[[work]]\nname = "No {number:04d}"\nwidth = {width}\nheight = {height}\n'
        for number, (width, height) in enumerate(zip(widths, heights, strict=True), start=1)
    )
    return 'unit = "mm"\n' + "".join(works)


class Clock:
    """Seconds by stage."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self._stage, self._since = "reading", time.process_time()

    def begins(self, stage: str) -> None:
        """A stage begins, the one before it ends."""
        now = time.process_time()
        self.seconds[self._stage] = self.seconds.get(self._stage, 0.0) + now - self._since
        self._stage, self._since = stage, now

    def say(self, text: str) -> None:
        """Hears what the program says that it does."""
        self.begins(STAGES.get(text.split()[0].rstrip(","), self._stage))

    def followed(self, files: Iterable[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
        """Files as they are made, each kind of file a stage of its own; writing is another."""
        for path, contents in files:
            top, *rest = path.split("/")
            self.begins("writing")
            made = self.seconds.pop("a file", 0.0)
            own = f"{top}/{rest[0]}" if len(rest) > 1 else top
            self.seconds[own] = self.seconds.get(own, 0.0) + made
            yield path, contents
            self.begins("a file")


def planned(count: int, options: list[str]) -> dict[str, float]:
    """Seconds of each stage, GB and pages of one plan, in this process."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.folder import PLANNED, write_folder
    from longpoint.export.results import result_files
    from longpoint.export.typeset.pdf import sheets_in
    from longpoint.jobs.plan import plan_batch
    from longpoint.model.reading import parse_batch

    begun = time.process_time()
    clock = Clock()
    batch = parse_batch(batch_text(count))
    plan = plan_batch(
        batch, choose=design_of if "--by-rule" in options else ComputedChooser(clock.say), say=clock.say
    )
    clock.begins("a file")
    after = _peak()
    with tempfile.TemporaryDirectory() as name:
        out = Path(name) / "out"
        write_folder(out, PLANNED, clock.followed(result_files(plan)))
        clock.begins("end")
        pages = sum(sheets_in(file.read_bytes()) for file in out.glob("*.pdf"))
    return {
        **clock.seconds,
        "processor": time.process_time() - begun,
        "GB planned": after,
        "GB": _peak(),
        "pages": pages,
        "gap of boards %": 100 * max(float(cut.plan.gap) for cut in plan.boards),
    }


def cut(count: int) -> dict[str, float]:
    """Seconds, gaps and GB of cutting boards and cloth of one batch that is designed by rule, in this process."""
    from longpoint.choosing.by_rule import design_of
    from longpoint.cutting import plan_boards
    from longpoint.cutting.cloth.search import plan_cloth
    from longpoint.model.reading import parse_batch
    from longpoint.needs.boards import board_plans
    from longpoint.needs.cloth import lay_cloth
    from longpoint.works.brief import briefs_of
    from longpoint.works.draft import draft_of

    batch = parse_batch(batch_text(count))
    briefs = briefs_of(batch)
    drafts = [draft_of(brief, design_of(brief)) for brief in briefs]
    begun = time.process_time()
    boards = board_plans(batch, [(draft.designed, draft.parts) for draft in drafts], solve=plan_boards)
    sawn = time.process_time()
    cloths = lay_cloth(briefs, tuple(draft.piece for draft in drafts), sewn=batch.cloth, solve=plan_cloth)
    return {
        "boards": sawn - begun,
        "cloth": time.process_time() - sawn,
        "gap of boards %": 100 * max(float(one.plan.gap) for one in boards),
        "gap of cloth %": 100 * max(one.plan.gap for one in cloths),
        "GB": _peak(),
    }


def _peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 << 20)


def table(rows: dict[int, dict[str, float]], say: Callable[[str], None] = print) -> None:
    """Prints seconds by stage and count, with the power by which each grew since the count before."""
    names = list(dict.fromkeys(name for row in rows.values() for name in row))
    say(f"{'works':<16}" + "".join(f"{count:>16}" for count in rows))
    for name in names:
        cells, before = [], None
        for count, row in rows.items():
            value = row.get(name, 0.0)
            power = ""
            if before is not None and before[1] > 0.2 and value > 0.2:
                power = f"^{math.log(value / before[1]) / math.log(count / before[0]):.2f}"
            cells.append(f"{value:>10.2f}{power:>6}")
            before = count, value
        say(f"{name:<16}" + "".join(cells))


def main() -> None:
    """Plans each count in a child and prints the table."""
    counts = [int(word) for word in sys.argv[1:] if word.isdigit()]
    options = [word for word in sys.argv[1:] if word.startswith("--")]
    if "--one" in options:
        print(json.dumps(cut(counts[0]) if "--cutting" in options else planned(counts[0], options)))
        return
    rows: dict[int, dict[str, float]] = {}
    for count in counts:
        command = [sys.executable, __file__, "--one", *options, str(count)]
        done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
        rows[count] = json.loads(done.stdout)
        table(rows)


if __name__ == "__main__":
    main()
