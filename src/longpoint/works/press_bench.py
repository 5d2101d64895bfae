"""The press test of one work: bays, rails and cloth as designed, for the printed page and for the command alike."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.errors import FaultsError
from longpoint.frame.members import Frame, Kind
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.press import Press, PressAnswer, press_answer
from longpoint.stretching.press_place import MASSES, PressPlan, propose_press

PAD = 60.0
"""Size of the round pad. [mm]  Common practice, no published source: a jar's foot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressBench:
    """One work laid flat for pressing.

    Attributes:
        width: Free canvas from lip to lip along x. [mm]
        height: Free canvas along y. [mm]
        cloth: The cloth in service.
        state: Its state, as in the tables.
        tension: Tension that is wished. [N/mm]
        upright: Members that run along y: middle from the left lip and size along x. [mm]
        level: Members that run along x: middle from the lower lip and size along y. [mm]
        bar: Thickness of the outer bars, seen from the front. [mm]
        gap: Room between canvas and rails; None without rails. [mm]
    """

    width: float
    height: float
    cloth: Cloth
    state: str
    tension: float
    upright: tuple[tuple[float, float], ...]
    level: tuple[tuple[float, float], ...]
    bar: float
    gap: float | None

    def proposed(
        self, *, pad: float = PAD, tension: float | None = None, mass: float | None = None
    ) -> PressPlan:
        """Where to press, with what, and what to expect.

        Args:
            pad: Size of the round pad. [mm]
            tension: Tension that is wished, where not the batch's. [N/mm]
            mass: What there is to lay on, pad included; None for what a studio has. [kg]

        Returns:
            The plan.

        Raises:
            FaultsError: If no bay takes the pad.
        """
        return propose_press(
            width=self.width,
            height=self.height,
            cloth=self.cloth,
            tension=self.tension if tension is None else tension,
            upright_rails=self.upright,
            level_rails=self.level,
            bar=self.bar,
            gap=self.gap,
            pad=pad,
            masses=MASSES if mass is None else (mass,),
        )

    def answer(self, *, x: float, y: float, mass: float, pad: float, deep: float) -> PressAnswer:
        """What a dip says.

        Args:
            x: Middle of the pad from the left lip. [mm]
            y: Middle of the pad from the lower lip. [mm]
            mass: What was laid on, pad included. [kg]
            pad: Size of the round pad. [mm]
            deep: The dip. [mm]

        Returns:
            The tension with its range, the verdict, and what to do.

        Raises:
            FaultsError: If the press is impossible, or no tension explains the dip.
        """
        laid = Press(width=self.width, height=self.height, x=x, y=y, mass=mass, pad=pad, cloth=self.cloth)
        return press_answer(laid, deep=deep, gap=self.gap)


def press_bench(frame: Frame, *, cloth: Cloth, state: str, tension: float) -> PressBench:
    """Lays one work's frame for pressing.

    Args:
        frame: The frame.
        cloth: The cloth in service.
        state: Its state, as in the tables.
        tension: Tension that is wished. [N/mm]
    """
    design = frame.design
    members = [member for member in frame.members if member.kind is not Kind.BAR]
    upright, level = (
        tuple((float(m.centre), float(m.thickness)) for m in members if m.axis == axis) for axis in ("y", "x")
    )
    return PressBench(
        width=float(design.width),
        height=float(design.height),
        cloth=cloth,
        state=state,
        tension=tension,
        upright=upright,
        level=level,
        bar=float(design.bar_thickness),
        gap=float(design.gap) if design.has_rails else None,
    )


def proposed_or_none(bench: PressBench) -> PressPlan | None:
    """The proposal for the printed page; none where a face is too small for the pad, which is no fault."""
    try:
        return bench.proposed()
    except FaultsError:
        return None
