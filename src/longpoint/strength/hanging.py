"""The work as it hangs: two points carry it, its bottom edge leans on the wall, its own weight bends it, years on.

Own weight is small beside the canvas's pull; what hanging adds is told so that nobody need wonder.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_matrix, vstack

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.beam import beam_movement_at
from longpoint.strength.beams.frame_model import FrameModel


def place_rows(model: FrameModel, member: str, at: float) -> csr_matrix:
    """Rows that give the movement of a place on a member's node line.

    Args:
        model: The frame.
        member: Its name.
        at: Distance from its start. [mm]

    Returns:
        x y z, sparse (3, 6 n_nodes).

    Raises:
        OutOfRangeError: If the place lies beyond the member.
    """
    index = model.member_index(member)
    stations = model.stations[index]
    if not 0.0 <= at <= stations[-1]:
        msg = f"{at:g} mm lies beyond {member!r}, which is {stations[-1]:g} mm long"
        raise OutOfRangeError(msg)
    local = min(int(np.searchsorted(stations, at, side="right")) - 1, len(stations) - 2)
    beam = model.member_beams[index][local : local + 1]
    inside = np.array([(at - stations[local]) / (stations[local + 1] - stations[local])])
    shapes = beam_movement_at(model.beams, beam, inside)[0, :3]
    freedoms = (6 * model.beams.ends[beam[0]][:, None] + np.arange(6)).ravel()
    columns = np.tile(freedoms, 3)
    return csr_matrix(
        (shapes.ravel(), (np.repeat(np.arange(3), 12), columns)), shape=(3, model.freedom_count)
    )


def hung_supports(
    model: FrameModel, *, hangers: tuple[tuple[str, float], tuple[str, float]], bottom: str = "bottom"
) -> csr_matrix:
    """Rows that hold a work as it hangs: two hangers, bottom edge against the wall, statically determinate.

    Args:
        model: The frame.
        hangers: Member and distance from its start of each hanger; both hold up and to the wall, the first also
            sideways. [mm]
        bottom: Member that leans against the wall, by the mean of its ends.

    Returns:
        Sparse, shape (6, 6 n_nodes), order: first x, y, z; second y, z; bottom z.
    """
    first, second = (place_rows(model, name, at) for name, at in hangers)
    length = model.members[model.member_index(bottom)].length
    ends = 0.5 * (place_rows(model, bottom, 0.0) + place_rows(model, bottom, length))
    return csr_matrix(vstack([first, second[1:], ends[2]]))
