"""What is computed of one rig at one site, in SI and unrounded: what every rig answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from atlas.cover import Job
from atlas.frame import Point
from atlas.plan.crew_results import CrewAnswers
from atlas.records import LonLat

AnyCase_co = TypeVar("AnyCase_co", bound="CaseResult", covariant=True)


@dataclass(frozen=True, slots=True)
class Note:
    """A coded remark with its printed text (from templates/words); `about` is the anchor it concerns."""

    code: str
    text: str
    about: str | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """One named part of a line's length."""

    part: str
    length_m: float


@dataclass(frozen=True, slots=True)
class Take:
    """A real rope taken for a line."""

    agency: str
    rope: str
    length_m: float
    diameter_m: float


@dataclass(frozen=True, slots=True)
class LinePlan:
    """One line of the rig.

    Attributes
    ----------
    take : of whichever agency's stock; two where it is joined
    short_m : 0 when covered; else what the nearest rope lacks, or all of the need where there is none [m]
    nearest : where not covered, the longest suitable rope that anybody has left
    """

    line: str
    needed_m: float
    floor_m: float | None
    parts: tuple[Part, ...]
    take: tuple[Take, ...]
    short_m: float
    nearest: Take | None = None
    strands_note: str | None = None


@dataclass(frozen=True, slots=True)
class AnchorPull:
    """The greatest pull of all lines on one anchor together, as a vector in the site's frame [N].

    ``stands`` says which: near_tie, far_tie, ferry_near_station, ferry_far_station, up_down_station.
    """

    stands: str
    load_n: float
    along_n: float
    downstream_n: float
    up_n: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    """One load case at one stage, at its worst: what every rig answers.

    Attributes
    ----------
    tension_n : greatest of the line that holds most
    factor, factor_part : least factor of that line, and the part that has it
    """

    case: str
    judged: bool
    drag_n: float
    tension_n: float
    factor: float
    factor_part: str
    inside: bool
    why: tuple[Note, ...]
    anchor_pulls: tuple[AnchorPull, ...] = ()


@dataclass(frozen=True, slots=True)
class StageResult(Generic[AnyCase_co]):
    """One row of the level table."""

    name: str
    planning: bool
    stage_m: float | None
    rise_m: float
    """Water over that of the survey day [m]."""
    discharge_m3_s: float | None
    surface_speed_m_s: float
    design_speed_m_s: float
    width_m: float
    modelled: bool
    beyond_survey: bool
    assumed: tuple[str, ...]
    cases: tuple[AnyCase_co, ...]
    near_setback_m: float | None = None
    """From the near tie point to the water's edge; negative where the water is past it [m]."""
    far_setback_m: float | None = None
    drowned: tuple[str, ...] = ()
    """Surveyed anchors that are under water at this stage."""

    @property
    def inside(self) -> bool:
        """Every judged case is inside plan."""
        return all(case.inside for case in self.cases if case.judged)


@dataclass(frozen=True, slots=True)
class Limit:
    """From which design speed the rig is outside plan, and why.

    Attributes
    ----------
    surface_speed_m_s : the lesser of `held_speed_m_s` and `stage_speed_m_s`
    stage_m : least stage at which a case fails, geometry and speed moving together; None where no stage is
        known, or no row of the table is inside plan
    governed_by : what is met first past the printed speed
    rise_m : the limit stage over the survey day's water; known without any stage too
    stage_speed_m_s, stage_width_m : design speed and width at the limit stage
    stage_governed_by : what is met first past it
    held_speed_m_s, held_governed_by : limit speed with the planning stage's geometry held, and its cause
    """

    surface_speed_m_s: float
    stage_m: float | None
    governed_by: str
    float_distance_m: float
    """Paced distance of the float check, at least 10 s long at the limit [m]."""
    float_seconds: float
    """Seconds a floating stick takes over it at the limit speed [s]."""
    rise_m: float | None = None
    stage_speed_m_s: float | None = None
    stage_width_m: float | None = None
    stage_governed_by: str | None = None
    held_speed_m_s: float | None = None
    held_governed_by: str | None = None


@dataclass(frozen=True, slots=True)
class AnchorPlan:
    """One tie point or station with the greatest load at the planning stage."""

    tag: str
    bank: str
    uses: tuple[str, ...]
    surveyed: bool
    """False for a station placed by policy, to be found on scene."""
    place: LonLat
    at: Point
    kind: str | None
    height_m: float
    """Over the water of the survey day [m]."""
    height_planning_m: float
    """Over the water of the planning stage [m]."""
    load_n: float | None
    needed_n: float | None
    """Ultimate hold asked of it [N]."""
    rating_n: float | None
    rating_assumed: bool
    ratio: float | None
    do_not_use: bool
    drowned: bool
    why: tuple[Note, ...]
    note: str | None
    pull_bearing_deg: float | None = None
    """True bearing of the horizontal part of its greatest pull, which an anchor has to face."""
    pull_up_deg: float | None = None
    """Angle of that pull over the horizontal; negative where the lines pull down."""


@dataclass(frozen=True, slots=True)
class GearNeed:
    """A row of gear: needed, held by those who are called together, short."""

    item: str
    needed: int
    held: int
    short: int
    rating_n: float | None
    """Least rating [N]."""


@dataclass(frozen=True, slots=True)
class BroughtRope:
    """A rope that an agency brings for a line."""

    line: str
    rope: str
    length_m: float


@dataclass(frozen=True, slots=True)
class BroughtGear:
    """Pieces by which an agency makes an item less short."""

    item: str
    count: int


@dataclass(frozen=True, slots=True)
class Called:
    """An agency that is called, with what it adds to those before it.

    Attributes
    ----------
    minutes : from its station; None where nothing is known
    estimated : from the distance, not given by its cache
    people : it adds to those at posts; `on_duty` is all it has
    """

    agency: str
    name: str
    minutes: float | None
    estimated: bool
    ropes: tuple[BroughtRope, ...]
    gear: tuple[BroughtGear, ...]
    people: int
    on_duty: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverPlan:
    """Who is called for a rig: as few as lack no more than everybody together, the soonest complete.

    Attributes
    ----------
    first_due_complete : its own ropes, gear and people do
    complete : nothing is short with all who are called
    called : the first due first, the others by minutes
    minutes : until the last of them is there; None where nothing is known of one
    lines_short : lines that nobody's rope covers
    """

    first_due_complete: bool
    complete: bool
    called: tuple[Called, ...]
    minutes: float | None
    lines_short: tuple[str, ...]
    people_needed: int
    people_held: int
    people_short: int
    job: Job | None = None
    """What was asked of everybody: lengths as planned with the rope taken, gear, people."""

    @property
    def next_agencies(self) -> tuple[Called, ...]:
        """Those besides the first due."""
        return self.called[1:]


@dataclass(frozen=True, slots=True)
class CrewPost:
    """People at one place of the rig."""

    post: str
    people: int
    least: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RigPlan:
    """One rig at one site: what every rig answers.

    Attributes
    ----------
    least_factor : what the agency asks of the rig's load-bearing line
    cannot : why it cannot be computed at this site; then it has neither lines nor stages, and no limit
    """

    rig: str
    chosen: bool
    lines: tuple[LinePlan, ...]
    least_factor: float
    stages: tuple[StageResult[CaseResult], ...]
    limit: Limit | None
    anchors: tuple[AnchorPlan, ...]
    gear: tuple[GearNeed, ...]
    crew: tuple[CrewPost, ...]
    cover: CoverPlan | None = None
    """Who is called; None for a rig that cannot be computed."""
    cannot: Note | None = None
    answers: CrewAnswers | None = None
    """To what crews ask on the bank; None where they cannot be told, and `untold` says why."""
    untold: str | None = None

    @property
    def planning(self) -> StageResult[CaseResult]:
        """The row the sheet plans for."""
        return next(stage for stage in self.stages if stage.planning)

    @property
    def inside(self) -> bool:
        """Inside plan at the planning stage, with a limit speed to hold against."""
        return self.cannot is None and self.limit is not None and self.planning.inside

    @property
    def people(self) -> int:
        """People at all posts."""
        return sum(post.people for post in self.crew)

    @property
    def reasons(self) -> tuple[Note, ...]:
        """Why it is outside plan at the planning stage, each kind once."""
        if self.cannot is not None:
            return (self.cannot,)
        notes = [note for case in self.planning.cases if case.judged for note in case.why]
        return tuple({note.code: note for note in reversed(notes)}.values())[::-1]
