"""What goes into a tether and what comes out: frozen records, SI, x and y in the site's frame.

What goes in is refused where it is no number or cannot be meant: a comparison with a number that is none
would pass for inside plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.limit_speed import LimitSpeed
from atlas.rigging.limits import ForceLimit
from atlas.rigging.lines import LineLength
from atlas.rigging.reachable_water import Reach
from atlas.rigging.shown import Shown, require
from atlas.rigging.tether_depth import StationDepth
from atlas.rigging.tether_geometry import Place, WorstAngle

__all__ = [
    "BOW_LINES",
    "STERN_LINES",
    "CaseTension",
    "LineLoad",
    "LineStrength",
    "StageTension",
    "StationPull",
    "TetherCase",
    "TetherLine",
    "TetherResult",
    "TetherRules",
    "TetherSite",
    "TetherStage",
]

BOW_LINES = ("bow-near", "bow-far")
STERN_LINES = ("stern-near", "stern-far")

_LENGTH_M = Shown("lengths of rules and site", 0.0, 1000.0, "m")
_PLACE_M = Shown("stations", -1000.0, 1000.0, "m")
_SHARE = Shown("spare_fraction", 0.0, 1.0, "")
_RATIO = Shown("anchor_ratio, divided_by", 1.0, 100.0, "")
_FORCE_N = Shown("strength_n, hold_n, anchor_least_n", 0.0, 10e6, "N")
_SPEED_M_S = Shown("speed_m_s, speed_most_m_s", 0.0, 15.0, "m/s")
_RISE_M = Shown("rise_m", -50.0, 50.0, "m")
_DRAG = Shown("drag_per_speed2", 0.0, 100e3, "N s2/m2")


@dataclass(frozen=True, slots=True)
class TetherSite:
    """Where the lines are worked from and the boat must work, in the site's frame.

    Attributes
    ----------
    near, far : stations of the bow lines, upriver; z over the survey day's water [m]
    work_area : places of the bow, points or polygons [m]
    skew_deg : of the flow, from +y toward +x [degrees]
    width_m : of the water at its widest planned for [m]
    stern : near and far station of the stern lines, downriver; None for two lines
    """

    near: StationPoint
    far: StationPoint
    work_area: shapely.Geometry
    skew_deg: float
    width_m: float
    stern: tuple[StationPoint, StationPoint] | None = None

    def __post_init__(self) -> None:
        require(_LENGTH_M, self.width_m)
        for station in (self.near, self.far, *(self.stern or ())):
            require(_PLACE_M, [station.x_m, station.y_m, station.z_m])


@dataclass(frozen=True, slots=True)
class TetherRules:
    """The agency's figures.

    Attributes
    ----------
    angle_most_deg : greatest included angle, 120 unless the agency says [degrees]
    bow_ring_m : bow ring over the water [m]
    boat_length_m : bow ring to stern ring [m]
    anchor_ratio, anchor_least_n : hold asked of a station: so many times its load, never under the least
    tail_m, messenger_tail_m, spare_fraction, spare_least_m : of the lengths
    speed_most_m_s : where a limit speed ends, for want of knowing such water
    """

    angle_most_deg: float
    bow_ring_m: float
    boat_length_m: float
    anchor_ratio: float
    anchor_least_n: float
    tail_m: float
    messenger_tail_m: float
    spare_fraction: float
    spare_least_m: float
    speed_most_m_s: float

    def __post_init__(self) -> None:
        require(
            _LENGTH_M,
            [self.bow_ring_m, self.boat_length_m, self.tail_m, self.messenger_tail_m, self.spare_least_m],
        )
        require(_SHARE, self.spare_fraction)
        require(_RATIO, self.anchor_ratio)
        require(_FORCE_N, self.anchor_least_n)
        require(_SPEED_M_S, self.speed_most_m_s)


@dataclass(frozen=True, slots=True)
class LineStrength:
    """What a bow line and its station stand.

    Attributes
    ----------
    limits : of rope and connectors, code ``factor_line``
    anchor : tag of the station's anchor
    hold_n : its ultimate hold [N]; None where it has no rating and none can be assumed
    on_scene : the station is still to be found, and its anchor judged there: it is not judged here
    """

    limits: tuple[ForceLimit, ...]
    anchor: str
    hold_n: float | None
    on_scene: bool = False

    def __post_init__(self) -> None:
        if not self.limits:
            raise OutOfRange("limits: a bow line of nothing; allowed: at least its rope")
        require(_FORCE_N, [limit.strength_n for limit in self.limits])
        require(_RATIO, [limit.divided_by for limit in self.limits])
        if self.hold_n is not None:
            require(_FORCE_N, self.hold_n)

    def most_n(self, *, anchor_ratio: float) -> list[tuple[str, float]]:
        """What sets the greatest tension of the line, and that tension [N]."""
        found = [(limit.code, limit.most_n) for limit in self.limits]
        if self.hold_n is not None and not self.on_scene:
            found.append(("anchor_station", self.hold_n / anchor_ratio))
        return found


@dataclass(frozen=True, slots=True)
class TetherCase:
    """A load case: drag at 1 m/s, surge included [N s2/m2], and whether it is judged."""

    name: str
    drag_per_speed2: float
    judged: bool

    def __post_init__(self) -> None:
        require(_DRAG, self.drag_per_speed2)


@dataclass(frozen=True, slots=True)
class TetherStage:
    """A stage: water over the survey day's [m], design speed [m/s], and whether it is planned for."""

    name: str
    rise_m: float
    speed_m_s: float
    planning: bool = False

    def __post_init__(self) -> None:
        require(_RISE_M, self.rise_m)
        require(_SPEED_M_S, self.speed_m_s)


@dataclass(frozen=True, slots=True)
class TetherLine:
    """A line of the rig and what it must measure."""

    line: str
    length: LineLength


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A bow line at its worst.

    Attributes
    ----------
    tension_n : greatest over the work area [N]
    place : of the bow then, x, y in the site's frame [m]
    factor : least strength over tension of its parts, the anchor not among them; infinite without load
    part : which part has it
    """

    line: str
    tension_n: float
    place: Place
    factor: float
    part: str


@dataclass(frozen=True, slots=True)
class CaseTension:
    """One load case at one stage.

    Attributes
    ----------
    lines : near and far bow line; none where nothing of the work area can be held
    lift_n : greatest pull of both lines upward on the bow [N]; negative is down
    why : codes of what is outside plan, most serious first
    """

    case: str
    judged: bool
    drag_n: float
    lines: tuple[LineLoad, ...]
    lift_n: float
    why: tuple[str, ...]

    @property
    def inside(self) -> bool:
        """Nothing is outside plan."""
        return not self.why


@dataclass(frozen=True, slots=True)
class StageTension:
    """All cases at one stage."""

    stage: TetherStage
    cases: tuple[CaseTension, ...]

    @property
    def inside(self) -> bool:
        """Every judged case is inside plan."""
        return all(case.inside for case in self.cases if case.judged)


@dataclass(frozen=True, slots=True)
class StationPull:
    """What a bow line asks of its station at the planning stage, in the judged case that asks most.

    Attributes
    ----------
    load_n : the line's greatest tension [N]
    pull_n : the same as a vector on the anchor: x, y, up in the site's frame [N]
    from_deg, to_deg : between which directions it pulls over the whole work area, from +y toward +x
    needed_n : ultimate hold asked of it [N]
    """

    line: str
    anchor: str
    load_n: float
    pull_n: tuple[float, float, float]
    from_deg: float
    to_deg: float
    needed_n: float
    hold_n: float | None


@dataclass(frozen=True, slots=True)
class TetherResult:
    """Everything of one tether at one site.

    Attributes
    ----------
    rig : ``two-line-tether`` or ``four-line-tether``
    why : codes that hold at every stage and speed: stations, angle, anchors
    limit : None where the rig is outside plan in still water
    """

    rig: str
    lines: tuple[TetherLine, ...]
    angle: WorstAngle
    depth: StationDepth
    stages: tuple[StageTension, ...]
    limit: LimitSpeed | None
    stations: tuple[StationPull, ...]
    reachable: Reach
    why: tuple[str, ...]

    @property
    def planning(self) -> StageTension:
        """The stage planned for."""
        return next(stage for stage in self.stages if stage.stage.planning)

    @property
    def least_factor(self) -> float:
        """Least factor of the judged cases at the planning stage."""
        judged = [case for case in self.planning.cases if case.judged]
        return min((load.factor for case in judged for load in case.lines), default=0.0)
