"""What is computed for one site: one frozen `SitePlan`, in SI and unrounded.

Sheets, workings and the binder print from these and compute nothing of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from atlas.frame import Point, SiteFrame
from atlas.records import Agency, County, LonLat, PostKind, Reach, Site


@dataclass(frozen=True, slots=True)
class Note:
    """A coded remark with its printed text (from templates/words); `about` is the anchor it concerns."""

    code: str
    text: str
    about: str | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution: ``signal`` is DANGER, WARNING, CAUTION or NOTICE (ANSI Z535.4)."""

    signal: str
    text: str
    code: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A value the survey did not give: what was taken instead, and on whose word."""

    code: str
    value: float | None
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """A limit of the agency's policy that took part in the verdict, in SI."""

    key: str
    value: float
    unit: str
    source: str


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

    ``short_m`` is 0 when covered; else what the nearest rope of the first-due agency lacks.
    """

    line: str
    needed_m: float
    floor_m: float | None
    parts: tuple[Part, ...]
    take: tuple[Take, ...]
    short_m: float
    strands_note: str | None = None


@dataclass(frozen=True, slots=True)
class TrackRope:
    """The rope the track line was computed with."""

    name: str
    agency: str | None
    diameter_m: float
    strength_n: float
    weight_n_m: float
    stiffness_n: float
    stiffness_low_n: float
    stiffness_high_n: float
    kept: float
    """Strength kept, wet x end."""


@dataclass(frozen=True, slots=True)
class Window:
    """Set tensions between which every limit holds at the planning stage [N]."""

    low_n: float
    high_n: float
    high_governed_by: str
    low_governed_by: str


@dataclass(frozen=True, slots=True)
class Haul:
    """The haul that sets the pretension: what it reaches really and what it may have set ideally."""

    system: str
    people: int
    least_n: float
    most_n: float
    travel_m: float
    """Rope the haul must take in, slack and stretch and seating [m]."""
    fits: bool


@dataclass(frozen=True, slots=True)
class LoadPlace:
    """The arguments with which `TrackLine` gives a printed value back.

    ``whole`` says whose load it is: of the whole system of forces, or of drag alone.
    """

    at_m: float
    along_n: float
    downstream_n: float
    up_n: float
    pretension_n: float
    stiffness_n: float
    seating_m: float
    whole: bool = False


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


@dataclass(frozen=True, slots=True)
class CaseResult:
    """One load case at one stage, at the worst carriage place, over the printed haul and both bounds."""

    case: str
    judged: bool
    drag_n: float
    tension_n: float
    tension_at: LoadPlace
    clearance_m: float
    clearance_needed_m: float
    clearance_at: LoadPlace
    bow_m: float
    factor: float
    factor_part: str
    ferry_near_n: float
    ferry_far_n: float
    up_down_hold_n: float
    up_down_haul_n: float
    inside: bool
    why: tuple[Note, ...]
    bow_at: LoadPlace | None = None
    anchor_pulls: tuple[AnchorPull, ...] = ()


@dataclass(frozen=True, slots=True)
class StageResult:
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
    cases: tuple[CaseResult, ...]
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
    stage_speed_m_s, stage_governed_by : design speed at the limit stage, and what is met first past it
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
    stage_governed_by: str | None = None
    held_speed_m_s: float | None = None
    held_governed_by: str | None = None


@dataclass(frozen=True, slots=True)
class LimitBow:
    """The bow at which the track line is at its limit, with the carriage at a place, whatever the speed.

    At the most set and the stiff bound: there the tension is greatest for a bow.

    Attributes
    ----------
    place : the state at the limit, which `TrackLine` gives back: its bow and its tension
    tension_n : of the rope there
    governed_by : which limit of the track line it is
    """

    at_m: float
    bow_m: float
    tension_n: float
    governed_by: str
    place: LoadPlace


@dataclass(frozen=True, slots=True)
class TieHeights:
    """The least heights of both ties at which every case keeps its clearance at the planning stage [m].

    Over the survey day's water; both ties moved alike, by `raised_m`, with what the haul is sure to set.
    """

    near_m: float
    far_m: float
    raised_m: float


@dataclass(frozen=True, slots=True)
class WindowCloses:
    """The water that empties the window: over it no set tension meets every limit.

    Attributes
    ----------
    rise_m : over the survey day's water
    stage_m : None where no stage is known
    design_speed_m_s : of that water
    set_n : the only set tension left there
    governed_by : which limit or rule the clearance meets there
    """

    rise_m: float
    stage_m: float | None
    design_speed_m_s: float
    set_n: float
    governed_by: str


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
    """A row of gear."""

    item: str
    needed: int
    held: int
    short: int
    rating_n: float | None
    """Least rating [N]."""


@dataclass(frozen=True, slots=True)
class CrewPost:
    """People at one place of the rig."""

    post: str
    people: int
    least: int


@dataclass(frozen=True, slots=True)
class PostPlan:
    """A surveyed place with its distance from the track line."""

    kind: PostKind
    place: LonLat
    at: Point
    downstream_m: float
    """Positive below the track line, negative above [m]."""
    note: str | None


@dataclass(frozen=True, slots=True)
class Profile:
    """Ordinates of the section over the water at the planning stage; heights over the survey day's water.

    Attributes
    ----------
    x_m : shape (n,) from the near tie point
    unloaded_m, loaded_m : heights of the rope empty and with the carriage at its lowest, shape (n,)
    bow_x_m, bow_y_m : the loaded track line in plan, shape (k,)
    """

    x_m: tuple[float, ...]
    unloaded_m: tuple[float, ...]
    loaded_m: tuple[float, ...]
    bow_x_m: tuple[float, ...]
    bow_y_m: tuple[float, ...]
    carriage_x_m: float
    carriage_height_m: float
    lowest_m: float
    """Lowest of carriage and hardware [m]."""


@dataclass(frozen=True, slots=True)
class RigPlan:
    """Everything of one rig at one site."""

    rig: str
    chosen: bool
    lines: tuple[LinePlan, ...]
    rope: TrackRope
    pretension_n: float
    window: Window | None
    window_opens: Note | None
    """What would open an empty window."""
    least_factor: float
    haul: Haul
    closest_boat_m: float | None
    travel_from_m: float
    travel_to_m: float
    seating_m: float
    capture: str
    capture_limit_n: float | None
    """None when the line is tied off behind the capture."""
    stages: tuple[StageResult, ...]
    limit: Limit | None
    anchors: tuple[AnchorPlan, ...]
    gear: tuple[GearNeed, ...]
    crew: tuple[CrewPost, ...]
    profile: Profile
    limit_bows: tuple[LimitBow, ...] = ()
    """At thirds and mid-span; a place is missing where the line is past its limit, or never at it."""
    tie_heights: TieHeights | None = None
    """None where no height within policy's search keeps the clearance."""
    window_closes: WindowCloses | None = None
    """None where the window is empty at every stage of the table, and above."""

    @property
    def planning(self) -> StageResult:
        """The row the sheet plans for."""
        return next(stage for stage in self.stages if stage.planning)


@dataclass(frozen=True, slots=True)
class SitePlan:
    """One site, computed."""

    site: Site
    county: County
    reach: Reach
    agency: Agency
    """First due."""
    as_of: date
    edition: str
    valid_until: date
    overdue: bool
    frame: SiteFrame
    access_place: LonLat
    near_tie_place: LonLat
    far_tie_place: LonLat
    rigs: tuple[RigPlan, ...]
    posts: tuple[PostPlan, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[Note, ...]
    assumed: tuple[Assumed, ...]
    limits_used: tuple[LimitUsed, ...]

    @property
    def chosen(self) -> RigPlan:
        """The rig the sheet prints in full."""
        return next(rig for rig in self.rigs if rig.chosen)
