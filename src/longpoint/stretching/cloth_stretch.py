"""How far cloth stretches for a tension, and what opening a keyed corner adds."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.errors import OutOfRangeError
from longpoint.stretching.ranges import Range
from longpoint.tables import ClothState, canvas_constant


def biaxial_tension(
    *,
    warp_stiffness: float,
    weft_stiffness: float,
    poisson_warp: float,
    poisson_weft: float,
    warp_strain: float,
    weft_strain: float,
) -> tuple[float, float]:
    """Tensions of cloth strained both ways.

    Args:
        warp_stiffness: Along warp. [N/mm]
        weft_stiffness: Along weft. [N/mm]
        poisson_warp: Thinning along weft for a pull along warp. [1]
        poisson_weft: Thinning along warp for a pull along weft. [1]
        warp_strain: Along warp. [1]
        weft_strain: Along weft. [1]

    Returns:
        Tension along warp and along weft. [N/mm]
    """
    coupling = 1.0 - poisson_warp * poisson_weft
    return (
        warp_stiffness / coupling * (warp_strain + poisson_weft * weft_strain),
        weft_stiffness / coupling * (weft_strain + poisson_warp * warp_strain),
    )


def biaxial_strain(
    *,
    warp_stiffness: float,
    weft_stiffness: float,
    poisson_warp: float,
    poisson_weft: float,
    warp_tension: float,
    weft_tension: float,
) -> tuple[float, float]:
    """Strains of cloth pulled both ways; the other way round of ``biaxial_tension``.

    Args:
        warp_stiffness: Along warp. [N/mm]
        weft_stiffness: Along weft. [N/mm]
        poisson_warp: Thinning along weft for a pull along warp. [1]
        poisson_weft: Thinning along warp for a pull along weft. [1]
        warp_tension: Along warp. [N/mm]
        weft_tension: Along weft. [N/mm]

    Returns:
        Strain along warp and along weft. [1]
    """
    return (
        warp_tension / warp_stiffness - poisson_weft * weft_tension / weft_stiffness,
        weft_tension / weft_stiffness - poisson_warp * warp_tension / warp_stiffness,
    )


@dataclass(frozen=True, slots=True)
class Stretch:
    """How much longer cloth becomes across the whole work, take-up at both edges included.

    Attributes:
        along_warp: Across the whole length along warp. [mm]
        along_weft: Across the whole length along weft. [mm]
        take_up: Part of it that goes into settling round the edges and at the staples. [mm]
    """

    along_warp: Range
    along_weft: Range
    take_up: float


def stretch_for(*, state: ClothState, tension: float, along_warp: float, along_weft: float) -> Stretch:
    """How far cloth must be drawn to reach a tension both ways. Wide ranges: cloth differs by a factor.

    Args:
        state: State of the cloth.
        tension: Wanted both ways. [N/mm]
        along_warp: Length of the face along warp. [mm]
        along_weft: Length of the face along weft. [mm]

    Returns:
        Ranges from the softest to the stiffest cloth of that state.
    """
    take_up = 2.0 * canvas_constant("take-up at an edge").value

    def drawn(warp: float, weft: float) -> tuple[float, float]:
        # the same thinning for soft and stiff cloth, shared so that reciprocity holds
        root = (warp / weft) ** 0.5
        found = biaxial_strain(
            warp_stiffness=warp,
            weft_stiffness=weft,
            poisson_warp=state.poisson * root,
            poisson_weft=state.poisson / root,
            warp_tension=tension,
            weft_tension=tension,
        )
        # the softer direction may even shorten on paper; a hand never pushes
        return (
            max(found[0], 0.0) * along_warp + take_up,
            max(found[1], 0.0) * along_weft + take_up,
        )

    soft = drawn(state.warp_low, state.weft_low)
    middle = drawn(state.warp, state.weft)
    stiff = drawn(state.warp_high, state.weft_high)
    return Stretch(
        along_warp=Range(stiff[0], middle[0], soft[0]),
        along_weft=Range(stiff[1], middle[1], soft[1]),
        take_up=take_up,
    )


def key_out(*, opening: float, length: float, stiffness: float) -> tuple[float, float]:
    """What opening the corners of a keyed frame adds.

    Args:
        opening: How much longer the side becomes. [mm]
        length: Of the side, above 0. [mm]
        stiffness: Of the cloth along that side. [N/mm]

    Returns:
        Strain added, and tension added. [1, N/mm]

    Raises:
        OutOfRangeError: If the side has no length.
    """
    if length <= 0.0:
        msg = f"A side must be longer than 0 mm, not {length:g}."
        raise OutOfRangeError(msg)
    strain = opening / length
    return strain, strain * stiffness
