"""The hunt: thousands of cases from seeds, each answer held against referees, oracles and itself.

    python tests/hunt/run.py --kind boards --first 0 --cases 10000 --out out/hunt
    python tests/hunt/run.py --minutes 60          every kind in turn for an hour

A case that fails is written as a file with its kind, its seed and what was wrong, and can be run again by its seed.
"""

from __future__ import annotations

import argparse
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from hunt import batches, boards, choices, lays, sheets, ways  # noqa: F401  each of them registers its kinds
from hunt.kinds import KINDS, Checked

SLOW = 20.0  # seconds that are worth a line


def check(kind: str, seed: int) -> Checked:
    """Check one case; whatever it raises is wrong."""
    try:
        return KINDS[kind].check(seed)
    except Exception:
        return Checked((traceback.format_exc(limit=-4),))


def write_case(out: Path, kind: str, seed: int, wrong: tuple[str, ...]) -> Path:
    """Write a failing case: what was wrong, then the case itself."""
    out.mkdir(parents=True, exist_ok=True)
    try:
        text = KINDS[kind].write(seed)
    except Exception:
        text = traceback.format_exc()
    (out / f"{kind}-{seed}.case").write_text(text, encoding="utf-8")
    file = out / f"{kind}-{seed}.txt"
    file.write_text("\n".join([f"{kind} {seed}", *wrong, ""]), encoding="utf-8")
    return file


def main() -> int:
    """Run the hunt; 1 where something was found."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument(
        "--kind", action="append", choices=sorted(KINDS), help="only these; all where left out"
    )
    asked.add_argument("--first", type=int, default=0, help="first seed")
    asked.add_argument("--cases", type=int, default=0, help="cases of each kind; 0: until the time is over")
    asked.add_argument("--minutes", type=float, default=60.0, help="at most so long")
    asked.add_argument("--out", type=Path, default=Path("out/hunt"), help="where failing cases are written")
    given = asked.parse_args()
    kinds = given.kind or sorted(KINDS)
    begun = time.monotonic()
    counts: dict[str, Counter[str]] = {kind: Counter() for kind in kinds}
    slowest: dict[str, tuple[float, int]] = dict.fromkeys(kinds, (0.0, -1))
    found = number = 0
    try:
        while (not given.cases or number < given.cases) and time.monotonic() - begun < 60 * given.minutes:
            for kind in kinds:
                seed = given.first + number
                at = time.monotonic()
                checked = check(kind, seed)
                took = round(time.monotonic() - at, 2)
                slowest[kind] = max(slowest[kind], (took, seed))
                if took > SLOW:
                    print(f"{kind} {seed} took {took} s", flush=True)
                counts[kind].update(["cases", *checked.counts])
                if checked.wrong:
                    found += 1
                    file = write_case(given.out, kind, seed, checked.wrong)
                    print(f"{kind} {seed}: {checked.wrong[0].strip().splitlines()[-1]}  ({file})", flush=True)
            number += 1
            if number % 100 == 0:
                print(f"{number} of each, {time.monotonic() - begun:.0f} s, {found} wrong", flush=True)
    except KeyboardInterrupt:
        pass
    for kind in kinds:
        told = ", ".join(f"{name} {count}" for name, count in sorted(counts[kind].items()))
        print(
            f"{kind}: seeds from {given.first}: {told}; slowest {slowest[kind][0]} s (seed {slowest[kind][1]})"
        )
    print(f"{found} wrong in {time.monotonic() - begun:.0f} s")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
