"""The best pulls for a fixed order: a small least-squares problem with bounds and with limits on the staples' loads.

What every zone's pull adds is taken from the taut, linear field; what stands is taken from the last rehearsal, with
all its slack. So the answer says how to change the pulls that were rehearsed, and the next rehearsal corrects it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.rehearsal.linear import PullFields, PullLoads

#: Weight of the mean each way against the unevenness. Estimate.
MEAN_WEIGHT = 0.5
#: Weight that holds every share near what was rehearsed. Estimate; keeps the answer from leaping.
STAY_WEIGHT = 0.03
#: Most that a share may change in one go, of the greatest. Estimate: the linear field holds that far.
REACH = 0.4


@dataclass(frozen=True, slots=True, eq=False)
class LoadLimits:
    """Limits on the loads of staples, linear in the shares: ``rows @ shares <= most``.

    Attributes:
        rows: Shape (k, groups). [N]
        most: Shape (k,). [N]
    """

    rows: Floats
    most: Floats


def load_limits(
    loads: PullLoads, shares: Floats, *, tear_load: float, found: Floats | None = None
) -> LoadLimits:
    """What keeps every staple below its limit, near some shares: for each, at the step where it carries most.

    Args:
        loads: Loads as a sum over the groups.
        shares: Shares about which they are taken straight, shape (groups,).
        tear_load: What a staple may carry. [N]
        found: Greatest load after every step, as rehearsed with these shares, shape (steps,) [N]; the linear loads of
            a step are scaled to it. None: taken as they are.

    Returns:
        The limits.
    """
    both = loads.loads(shares)
    size = np.hypot(both[:, 0], both[:, 1]) * (both[:, 0] > 0)  # a strip round the edge does not push
    scale = np.ones(len(size))
    if found is not None:
        greatest = np.zeros(len(found) + 1)
        np.maximum.at(greatest, loads.steps, size)
        scale = (np.concatenate([[0.0], found]) / np.maximum(greatest, 1e-9)).clip(0.4, 2.5)[loads.steps]
    worst: dict[str, int] = {}
    for k in np.argsort(-size * scale, kind="stable").tolist():
        if size[k] > 0:
            worst.setdefault(loads.names[k], k)
    picked = np.array(sorted(worst.values()), dtype=np.intp)
    along = both[picked] / size[picked, None]
    rows = np.einsum("gka,ka->kg", loads.per_share[:, picked], along) * scale[picked, None]
    now = size[picked] * scale[picked]
    return LoadLimits(rows, tear_load - now + rows @ shares)


def within_limits(matrix: Floats, wished: Floats, rows: Floats, least: Floats) -> Floats | None:
    """Least squares of ``matrix @ x - wished`` with ``rows @ x >= least``, as a least-distance problem.

    Args:
        matrix: Of full column rank, shape (n, k).
        wished: Shape (n,).
        rows: Shape (m, k).
        least: Shape (m,).

    Returns:
        The answer, shape (k,); None where nothing keeps all limits.

    References:
        Lawson & Hanson, Solving Least Squares Problems, ch. 23: from memory.
    """
    from scipy.optimize import nnls  # heavy, and few plans need it

    q, r = np.linalg.qr(matrix)
    middle = q.T @ wished
    turned = np.linalg.solve(r.T, rows.T).T  # rows in terms of z = R x - Qᵀ wished
    left = least - turned @ middle
    size = np.maximum(np.linalg.norm(turned, axis=1), 1e-300)
    turned, left = turned / size[:, None], left / size
    scale = max(float(np.abs(left).max()), 1e-300)
    stack = np.vstack([turned.T, left[None, :] / scale])
    target = np.zeros(len(stack))
    target[-1] = 1.0
    try:
        dual, residual = nnls(stack, target, maxiter=50 * stack.shape[1])
    except RuntimeError:  # it did not come to an end: as good as no answer
        return None
    if residual < 1e-9:
        return None
    off = stack @ dual - target
    return np.asarray(np.linalg.solve(r, -off[:-1] / off[-1] * scale + middle))


def fitted_shares(
    fields: PullFields,
    *,
    shares: Floats,
    now: Floats,
    target: float,
    low: float,
    high: float,
    limits: LoadLimits | None = None,
) -> Floats:
    """Shares that leave a more even field than the ones rehearsed.

    Args:
        fields: What every group adds.
        shares: Shares that were rehearsed, shape (groups,).
        now: Window means that they left, Tx Ty, shape (rows, columns, 2). [N/mm]
        target: Mean wished each way. [N/mm]
        low: Least share.
        high: Greatest share: what hand and cloth allow.
        limits: On the staples' loads; left out where no shares within the bounds keep them.

    Returns:
        Shares, shape (groups,).
    """
    count = len(shares)
    means = fields.per_share.mean(axis=(1, 2)) / target  # (groups, 2)
    uneven = (fields.per_share - fields.per_share.mean(axis=(1, 2), keepdims=True)).reshape(
        count, -1
    ).T / target
    stands = (now - now.mean(axis=(0, 1))).ravel() / target
    size = np.sqrt(len(stands))
    matrix = np.vstack([uneven / size, MEAN_WEIGHT * means.T, STAY_WEIGHT * np.eye(count)])
    wished = np.concatenate(
        [
            (uneven @ shares - stands) / size,
            MEAN_WEIGHT * (1 - now.mean(axis=(0, 1)) / target + means.T @ shares),
            STAY_WEIGHT * shares,
        ]
    )
    reach = REACH * float(shares.max())
    bounds = np.concatenate([np.maximum(low, shares - reach), -np.minimum(high, shares + reach)])
    bounds[:count] = np.minimum(bounds[:count], -bounds[count:])
    rows = np.vstack([np.eye(count), -np.eye(count)])
    if limits is not None:
        found = within_limits(
            matrix, wished, np.vstack([rows, -limits.rows]), np.concatenate([bounds, -limits.most])
        )
        if found is not None:
            return found
    found = within_limits(matrix, wished, rows, bounds)
    return shares if found is None else found
