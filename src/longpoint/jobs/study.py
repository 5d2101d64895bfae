"""Studies of the works of a batch: what is varied and how far, from the tables."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import sqrt
from typing import TYPE_CHECKING

from longpoint.choosing.bench import own_limits
from longpoint.errors import Fault, Where
from longpoint.model.batch import Batch
from longpoint.strength.study import (
    CaseResult,
    ClothBand,
    Study,
    StudyResult,
    make_study,
    study_points,
)
from longpoint.tables import ClothState
from longpoint.works.brief import briefs_of
from longpoint.works.strength import makes_of

if TYPE_CHECKING:
    from longpoint.jobs.check import Checked

MOST_CASES = 4096
"""More cases than this say nothing more about bands that are estimates."""

Run = Callable[[Sequence[tuple[Study, int]]], Iterable[CaseResult]]


def study_faults(*, cases: int, processes: int, cluster: str) -> tuple[Fault, ...]:
    """What is wrong with how a study is asked for.

    Args:
        cases: How many cases.
        processes: How many processes; 0 for as many as there are cores.
        cluster: Address of a scheduler; "" for none.
    """
    faults = []
    if not 8 <= cases <= MOST_CASES:
        what = f"a study of {cases} cases cannot be made."
        faults.append(Fault("study-cases", what, f"Ask for 8 to {MOST_CASES}.", Where("--cases")))
    if not 0 <= processes <= 256:
        what = f"{processes} processes cannot be started."
        faults.append(
            Fault("study-processes", what, "Ask for 1 to 256, or 0 for one per core.", Where("--processes"))
        )
    if cluster and not (cluster.startswith("tls://") or _is_loopback(cluster)):
        faults.append(
            Fault(
                "study-cluster",
                f"{cluster!r} would send the batch over an open line.",
                "Use a scheduler on this machine (tcp://127.0.0.1:port) or one that speaks TLS (tls://host:port).",
                Where("--cluster"),
            )
        )
    return tuple(faults)


def _is_loopback(address: str) -> bool:
    host = address.removeprefix("tcp://")
    if host == address:
        return False
    return host.startswith(("127.0.0.1:", "localhost:", "[::1]:"))


def study_works(
    batch: Batch,
    checked: Sequence[Checked],
    *,
    cases: int,
    seed: int,
    run: Run,
    say: Callable[[str], None] = lambda _text: None,
) -> dict[str, StudyResult]:
    """Studies of all checked works; works with equal designs are studied once.

    Args:
        batch: What is stated.
        checked: The works.
        cases: How many cases each; rounded up to a power of two.
        seed: Of the sequence.
        run: Solves cases, here or elsewhere, in order.
        say: Told what is being done.

    Returns:
        Studies by the name of the work.
    """
    points = study_points(cases=cases, seed=seed)
    cloths = {brief.work.name: brief.work_cloth for brief in briefs_of(batch)}
    found: dict[str, StudyResult] = {}
    done: dict[object, StudyResult] = {}
    for item in checked:
        strength = item.chosen.strength
        if strength.case not in done:
            say(f"Studying {item.name}: {len(points)} cases")
            makes = makes_of(
                cloths[item.name],
                bars=strength.option.bars.wood,
                rails=(strength.option.rails or strength.option.bars).wood,
            )
            study = Study(
                case=strength.case,
                own=own_limits(batch.limits, people=batch.shop.people),
                raw=_band(makes.raw_state),
                settled=_band(makes.settled_state),
                points=points,
            )
            done[strength.case] = make_study(study, run=run)
        found[item.name] = done[strength.case]
    return found


def _band(state: ClothState) -> ClothBand:
    return ClothBand(
        warp=sqrt(state.warp_high / state.warp_low),
        weft=sqrt(state.weft_high / state.weft_low),
        shear=sqrt(state.shear_high / state.shear_low),
    )
