"""Where the cases of a study are solved: here, in processes of this machine, or on a cluster one brings along."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from longpoint.errors import LongpointError, refuse
from longpoint.strength.study import CaseResult, Study, study_case

Run = Callable[[Sequence[tuple[Study, int]]], list[CaseResult]]


@contextmanager
def spread(*, processes: int, cluster: str) -> Iterator[Run]:
    """A way to solve cases, open as long as the block lasts.

    Args:
        processes: How many; 0 for one per core, 1 for none beside this one.
        cluster: Address of a dask scheduler; "" for none.

    Yields:
        A function that solves cases and returns their results in order.
    """
    if cluster:
        with _on_cluster(cluster) as run:
            yield run
        return
    count = processes or os.cpu_count() or 1
    if count == 1:
        yield lambda cases: [study_case(case) for case in cases]
        return
    from longpoint.cli.processes import pool_of

    with pool_of(count) as pool:
        yield lambda cases: list(pool.map(study_case, cases, chunksize=max(1, len(cases) // (8 * count))))


@contextmanager
def _on_cluster(address: str) -> Iterator[Run]:
    try:
        from distributed import Client, Security
    except ImportError:
        code, what = "cluster-not-installed", "a cluster needs the packages of the extra called cluster."
        raise refuse(code, what, "Install longpoint[cluster], or leave --cluster out.") from None
    # certificates come from dask's own settings; a tls:// address without them is refused by dask itself
    security = Security(require_encryption=True) if address.startswith("tls://") else None
    try:
        client = Client(address, security=security, timeout=10)
    except (OSError, TypeError, ValueError) as error:
        code, what = "cluster-not-reached", f"the scheduler at {address} cannot be reached: {error}."
        raise refuse(code, what, "Start it, or leave --cluster out to compute on this machine.") from None
    with client:

        def run(cases: Sequence[tuple[Study, int]]) -> list[CaseResult]:
            futures = client.map(study_case, cases, pure=False)
            try:
                return list(client.gather(futures))
            except LongpointError:
                raise
            except Exception as error:
                code, what = "cluster-failed", f"a case failed on the cluster: {error}."
                raise refuse(code, what, "Its workers need the same longpoint as this machine.") from None

        yield run
