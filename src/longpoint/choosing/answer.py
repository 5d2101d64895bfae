"""What the choice of a design answers: the design, what was computed of it, the ones beside it."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.choosing.candidates import Buildable, Price
from longpoint.joinery import BuildPlan
from longpoint.strength.verdicts.cases import AllCases
from longpoint.strength.verdicts.verdict import Answer, Verdict, answer_of
from longpoint.strength.work_case import WorkCase
from longpoint.works.designed import Designed
from longpoint.works.tension import Tensions


@dataclass(frozen=True, slots=True)
class Other:
    """A design beside the chosen one.

    Attributes:
        option: The design with its timber.
        more: What it costs more than the chosen one; None where nothing is priced.
        timber: Timber it takes more. [m]
        mass: Of its timber. [kg]
        pulled_in: Now. [mm]
        passes: Whether it keeps every limit.
        misses: The limit it overruns most; None where it passes or could not be solved.
        broken: Why it could not be solved or built; "" where it could.
    """

    option: Buildable
    more: float | None
    timber: float
    mass: float
    pulled_in: float
    passes: bool
    misses: Verdict | None
    broken: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class WorkStrength:
    """What was computed for one work.

    Attributes:
        case: The work in plain values.
        cases: The computed cases.
        verdicts: Every verdict, with remedies where one is missed.
        option: The design with its timber.
        price: What it takes.
        stated: Whether everything was stated, so that nothing was chosen.
        passes: Whether every limit of a design is kept.
        decided: The limit that decided the choice; None where the first design passed, or where a nearer one keeps all
            and cannot be built.
        led: Whether the first design passed.
        rivals: The two nearest rivals.
        unbeaten: Designs that hold and that no other beats in cost, mass and pull-in, this one among them.
        solved: How many designs were solved.
        looked: How many designs were looked at where nothing that is stated holds, each solved or beyond a bound.
        possible: Of how many that could be laid out.
        would_hold: Where a frame that is all stated does not hold: a design with timber to be bought that does; None
            where none was found.
        instead: Where nothing that is stated holds and timber bought besides is planned: the nearest miss of what is
            stated; else None.
        tensions: Its tensions at each stage, which the verdicts are held against.
    """

    case: WorkCase
    cases: AllCases
    verdicts: tuple[Verdict, ...]
    option: Buildable
    price: Price
    stated: bool
    passes: bool
    decided: Verdict | None
    led: bool
    rivals: tuple[Other, ...]
    unbeaten: tuple[Other, ...]
    solved: int
    looked: int = 0
    possible: int = 0
    would_hold: Other | None = None
    instead: Other | None = None
    tensions: Tensions

    @property
    def share(self) -> float:
        """Tension that the frame leaves over what one that does not give would leave. [1]"""
        return self.cases.likely.answer.mean[0] / self.cases.likely.prestress

    @property
    def bears(self) -> float | None:
        """Tension that frame and joints bear; None where no limit of strength is judged. [N/mm]"""
        return next((verdict.limit for verdict in self.verdicts if verdict.key == "bears"), None)

    @property
    def answer(self) -> Answer:
        """Holds, holds unless, does not hold: the worst of its verdicts."""
        return answer_of(self.verdicts)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ChosenDesign(Designed):
    """A design with what was computed for it.

    Attributes:
        strength: What was computed.
        built: How its frame goes together; None in a work that shares another's design: marks are its own.
    """

    strength: WorkStrength
    built: BuildPlan | None = None

    @property
    def share(self) -> float:
        """Tension that the frame leaves over what one that does not give would leave. [1]"""
        return self.strength.share

    @property
    def bears(self) -> float | None:
        """Tension that frame and joints bear; None where no limit of strength is judged. [N/mm]"""
        return self.strength.bears

    @property
    def is_changed(self) -> bool:
        """Whether other timber is planned than stated, for nothing stated holds."""
        return self.strength.instead is not None
