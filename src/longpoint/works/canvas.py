"""The canvas of one work: piece, fold, staples, pull, prime, press, and what the year does to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.frame.members import Frame
from longpoint.joinery.joints.joint import Joint
from longpoint.model.hardware import Staple
from longpoint.stretching.climate import Air
from longpoint.stretching.cloth_first import cloth_first
from longpoint.stretching.fold import CleanSides, CornerFold, CornerPlace, corner_fold, corner_places
from longpoint.stretching.next_time import Afterwards, next_time
from longpoint.stretching.piece import ClothPiece, Fastening, cloth_piece
from longpoint.stretching.press_place import PressPlan
from longpoint.stretching.primer import PrimingPlan, priming_plan
from longpoint.stretching.pull import FourTensions, PliersPull, pliers_pull, pull_that_leaves
from longpoint.stretching.pull_limits import Wetting, check_pull, pull_limits, wetting
from longpoint.stretching.staple_hold import LegFit, StapleHold, check_leg, leg_fit, staple_hold
from longpoint.stretching.staple_map import StapleMap, staple_map
from longpoint.stretching.staple_seat import bodies_of
from longpoint.stretching.steps import BenchStep
from longpoint.stretching.year import YearChart, year_chart
from longpoint.tables import all_species, cloth_thickness, coating, staple_kind
from longpoint.works.brief import Brief
from longpoint.works.cloth import WorkCloth
from longpoint.works.mass import brushed_of
from longpoint.works.piece import depth_and_beyond, turnover_of
from longpoint.works.press_bench import PressBench, press_bench, proposed_or_none
from longpoint.works.stapling import Stapling, stapling_of
from longpoint.works.tension import FRAME_TAKES, Tensions, tensions_of, water_of
from longpoint.works.wood import Wood

_FASTENINGS = {"back": Fastening.BACK, "side": Fastening.SIDE, "hem": Fastening.HEM}


@dataclass(frozen=True, slots=True)
class Proven:
    """What was computed of a frame's strength, as far as the canvas pages speak of it.

    Attributes:
        frame_passes: Whether every limit is kept; None where nothing was computed.
        touching_load: Push at which canvas touches timber, where that is less than its limit, else without end; None
            where it was not computed. [N]
    """

    frame_passes: bool | None = None
    touching_load: float | None = None


NOTHING_PROVEN = Proven()


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasPlan:
    """The canvas of one work.

    Attributes:
        state: State of the cloth in service, as in the tables.
        raw: Whether it is stretched raw.
        piece: The piece of cloth.
        fold: How a corner is folded.
        corners: Which side carries each corner's fold.
        first: What to do before the first staple.
        staples: The staple map, in the order that the batch wishes.
        stapling: That order.
        legs: Which legs fit.
        leg: Length of the legs that are used. [mm]
        hold: What a staple holds.
        tensions: Pull, prestrain, peak and what is left, cloth pulled to the wish.
        story: Tensions at each stage, whatever brings them.
        pull: Force at the pliers; for raw cloth that will be wetted, only what makes it snug.
        wetting: What water-borne size or primer does to raw cloth; None where nothing wets it.
        priming: Size and primer; None for cloth bought primed or left raw.
        bench: The work laid flat for pressing.
        press: Where to press, with what, and what to expect; None where no bay takes the pad.
        year: What the year does.
        afterwards: What can be done later.
        cautions: What a person should know.
        faults: What stands against it.
    """

    state: str
    raw: bool
    piece: ClothPiece
    fold: CornerFold
    corners: tuple[CornerPlace, ...]
    first: tuple[BenchStep, ...]
    staples: StapleMap
    stapling: Stapling
    legs: LegFit
    leg: float
    hold: StapleHold
    tensions: FourTensions
    story: Tensions
    pull: PliersPull
    wetting: Wetting | None
    priming: PrimingPlan | None
    bench: PressBench
    press: PressPlan | None
    year: YearChart
    afterwards: tuple[Afterwards, ...]
    cautions: tuple[Caution, ...]
    faults: tuple[Fault, ...]


def canvas_of(
    brief: Brief,
    *,
    frame: Frame,
    wood: Wood,
    joints: Sequence[Joint],
    share: float = 1 - FRAME_TAKES,
    tensions: Tensions | None = None,
    pressing: bool = True,
    proven: Proven = NOTHING_PROVEN,
) -> CanvasPlan | tuple[Fault, ...]:
    """Everything about putting one work's canvas on.

    Args:
        brief: The work.
        frame: Its frame.
        wood: Wood of its bars.
        joints: Its joints, whose screws no staple may meet.
        share: Tension that the frame leaves over what one that does not give would leave. [1]
        tensions: As rehearsed; None: estimated.
        pressing: Whether a press test is proposed, which takes far longer than all else.
        proven: What was computed of the frame's strength.

    Returns:
        The plan, or everything that stands against it.
    """
    try:
        return _canvas(
            brief,
            frame=frame,
            wood=wood,
            joints=joints,
            share=share,
            story=tensions or tensions_of(brief, share=share),
            pressing=pressing,
            proven=proven,
        )
    except FaultsError as error:
        return error.faults


def _canvas(
    brief: Brief,
    *,
    frame: Frame,
    wood: Wood,
    joints: Sequence[Joint],
    share: float,
    story: Tensions,
    pressing: bool,
    proven: Proven,
) -> CanvasPlan:
    design, key, style = frame.design, brief.key, brief.style
    wish, made = brief.cloth, brief.work_cloth
    roll, raw, state = made.roll, made.raw, made.settled.name
    fastening = _FASTENINGS[wish.fasten]
    depth, thickness = float(design.bar_depth), float(design.bar_thickness)
    width, height = float(design.width), float(design.height)
    cloth = cloth_piece(
        face_width=width,
        face_height=height,
        depth=depth,
        thickness=thickness,
        fastened=fastening,
        tail_trimmed=False,
        turnover=float(turnover_of(wish, depth=design.bar_depth)),
        thread_allowance=float(wish.edge_allowance),
        spare=float(wish.spare),
        spare_side=wish.spare_side,
        style=style,
        where=Where(f"{key}.cloth.turnover"),
    )
    thick = cloth_thickness(mass=roll.mass, primed=roll.state.endswith("primed"))
    fold = corner_fold(depth=depth, turnover=cloth.turnover, cloth_thickness=thick)
    left = wish.tension
    tensions = pull_that_leaves(left=left, frame_takes=1 - share, fastened=fastening)
    # Where even the most that water adds leaves the cloth slack, it is pulled to the wish before.
    wet = water_of(brief)
    likely = story.left.middle
    staple = brief.stock.staples
    into = depth if fastening is not Fastening.SIDE else thickness
    layers = 3
    legs = leg_fit(wood=into, layers=layers, cloth_thickness=thick, legs=[float(item.leg) for item in staple])
    chosen = legs.chosen if legs.chosen is not None else float(staple[0].leg)
    # As much as the pliers need is no fault, however it was stated; the stapling page says how much hangs over.
    usual = float(depth_and_beyond(wish, depth=design.bar_depth))
    cautions = [
        caution for caution in cloth.cautions if cloth.turnover > usual or caution.code != "turnover-past-bar"
    ]
    clean = CleanSides.UPRIGHT if wish.folds == "bottom and top" else CleanSides.LEVEL
    cautions += check_leg(leg=chosen, fit=legs, where=Where("staple[1].leg"), style=style)
    hold = staple_hold(
        tension=tensions.peak.high,
        specific_gravity=wood.specific_gravity,
        kind=staple_kind("flat crown, narrow"),
        leg=chosen,
        cloth_under_crown=thick,
    )
    cautions += hold.cautions
    mapped = staple_map(
        face_width=width,
        face_height=height,
        depth=depth,
        staple_line=cloth.staple_line,
        widest=hold.spacing,
        crown=_crown(staple, chosen),
        leg=chosen,
        thickness=thickness,
        metal=bodies_of(joints),
        clean=clean,
    )
    if fastening is Fastening.SIDE:  # the row gave way to screws in the sides
        cloth = replace(cloth, staple_line=mapped.seat.line, row=mapped.seat.line)
    stapling = stapling_of(brief, mapped=mapped, clean=clean)
    mapped = stapling.mapped
    pulled_to = wet.snug.middle if wet is not None else tensions.prestrain.middle
    if stapling.full_pull is not None:
        pulled_to = stapling.full_pull
    cautions += check_pull(
        tension=pulled_to,
        limits=pull_limits(state=made.pulled, fibre_name=roll.fibre, mass=roll.mass),
        where=Where(f"{key}.cloth.tension_left"),
    )
    if wet is not None:
        cautions.append(
            Caution(
                "snug-before-water",
                facts=(
                    ("fibre", roll.fibre),
                    ("from", f"{1000 * wet.snug.low:.0f}"),
                    ("to", f"{1000 * wet.snug.high:.0f} N/m"),
                ),
            )
        )
    elif made.wetted:
        water = wetting(state=made.pulled, fibre_name=roll.fibre)
        cautions.append(
            Caution(
                "water-adds-little",
                facts=(
                    ("fibre", roll.fibre),
                    ("from", f"{1000 * water.added.low:.0f}"),
                    ("to", f"{1000 * water.added.high:.0f} N/m"),
                ),
            )
        )
    priming = _priming(made, area=brushed_of(design))
    if priming is not None:
        cautions += priming.cautions
    climate = brief.climate
    now = Air("now", climate.temperature, climate.humidity_now / 100)
    airs = (
        Air("driest", climate.temperature, climate.humidity_low / 100),
        Air("dampest", climate.temperature, climate.humidity_high / 100),
    )
    keyed = design.corner == "keyed mitre"
    year = year_chart(
        state=state,
        left=likely,
        stretched_in=now,
        airs=airs,
        species_name=_species(wood),
        thickness=thickness,
        flat_sawn=True,
        keyed=keyed,
    )
    cautions += year.cautions
    bench = press_bench(frame, cloth=made.membrane(made.settled), state=state, tension=likely)
    return CanvasPlan(
        state=state,
        raw=raw,
        piece=cloth,
        fold=fold,
        corners=corner_places(clean),
        first=cloth_first(
            piece=cloth,
            face_width=width,
            face_height=height,
            warp_along_width=made.warp == "x",
            state="raw" if raw else roll.state,
            style=style,
        ),
        staples=mapped,
        stapling=stapling,
        legs=legs,
        leg=chosen,
        hold=hold,
        tensions=tensions,
        story=story,
        pull=pliers_pull(tension=pulled_to, fastened=fastening),
        wetting=wet,
        priming=priming,
        bench=bench,
        press=proposed_or_none(bench) if pressing else None,
        year=year,
        afterwards=next_time(
            tension_left=likely,
            lowest_of_year=year.lowest.middle,
            keyed=keyed,
            touching_load=proven.touching_load,
            staples=mapped.driven,
            fastened=fastening,
            staple_line=cloth.staple_line,
            spacing=mapped.spacing_level,
            on_back=cloth.turnover - (cloth.staple_line if fastening is Fastening.SIDE else depth),
            frame_passes=proven.frame_passes,
            painted=True,
            style=style,
        ),
        cautions=tuple(dict.fromkeys(cautions)),
        faults=(),
    )


def _crown(staples: Sequence[Staple], leg: float) -> float:
    """Crown of the staple with the legs that are used. [mm]"""
    return next((float(each.crown) for each in staples if float(each.leg) == leg), float(staples[0].crown))


def _species(wood: Wood) -> str:
    """The species whose movement stands for a timber; a strength class is taken for Scots pine."""
    return wood.name if any(row.name == wood.name for row in all_species()) else "scots pine"


def _priming(cloth: WorkCloth, *, area: float) -> PrimingPlan | None:
    if not cloth.coats:
        return None
    return priming_plan(
        coatings=[(coating(item.kind), item.coats, item.covers) for item in cloth.coats],
        area=area,
        raw=cloth.raw,
    )
