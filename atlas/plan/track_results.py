"""What a rig with a track line answers besides what every rig does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from atlas.plan.crew_results import TrackAnswers
from atlas.plan.rig_results import CaseResult, Note, RigPlan, StageResult


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
class LowestLine:
    """The line that hangs lower than carriage and hardware, from its end on the bank to its end there.

    With these its lowest place over water is told again, as a catenary.

    Attributes
    ----------
    run_m, rise_m : level from end to end, and up toward the carriage
    tension_n : along the chord
    weight_n_m : of a metre as it hangs
    dry_share : of the run, from the bank to the water's edge
    carriage_end_m : its end at the carriage over the stage's water
    over_water_m : its lowest place over water
    """

    run_m: float
    rise_m: float
    tension_n: float
    weight_n_m: float
    dry_share: float
    carriage_end_m: float
    over_water_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackCase(CaseResult):
    """A load case on a track line, at the worst carriage place, over the printed haul and both bounds.

    Attributes
    ----------
    clearance_m : least over the water of the stage of hardware, track line, and ferry lines that cannot be
        kept at what is needed
    clearance_at : the state that it is of, whose carriage hangs there
    clearance_part : ``hardware``, ``track-line``, ``ferry-near`` or ``ferry-far``
    lowest_line : None where it is the hardware
    """

    tension_at: LoadPlace
    clearance_m: float
    clearance_needed_m: float
    clearance_at: LoadPlace
    bow_m: float
    ferry_near_n: float
    ferry_far_n: float
    up_down_hold_n: float
    up_down_haul_n: float
    bow_at: LoadPlace | None = None
    clearance_part: str = "hardware"
    lowest_line: LowestLine | None = None


TrackStage: TypeAlias = StageResult[TrackCase]
"""A row of the level table of a rig with a track line; made by calling `StageResult` itself."""


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
    design_speed_m_s, width_m : of that water
    set_n : the only set tension left there
    governed_by : which limit or rule the clearance meets there
    """

    rise_m: float
    stage_m: float | None
    design_speed_m_s: float
    width_m: float
    set_n: float
    governed_by: str


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
    """Lowest of carriage, hardware and lines, which is what the clearance is of [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLineRig(RigPlan):
    """A rig with a carriage on a line from bank to bank: what it answers besides."""

    stages: tuple[TrackStage, ...]
    rope: TrackRope
    pretension_n: float
    window: Window | None
    window_opens: Note | None
    """What would open an empty window."""
    haul: Haul
    closest_boat_m: float | None
    travel_from_m: float
    travel_to_m: float
    seating_m: float
    capture: str
    capture_limit_n: float | None
    """None when the line is tied off behind the capture."""
    profile: Profile
    leverage_m: tuple[float, float] | None = None
    """Between which both ferry lines keep their leverage [m]; None where they have it nowhere."""
    limit_bows: tuple[LimitBow, ...] = ()
    """At thirds and mid-span; a place is missing where the line is past its limit, or never at it."""
    tie_heights: TieHeights | None = None
    """None where no height that policy looks at keeps the clearance."""
    window_closes: WindowCloses | None = None
    """None where the window is empty at every stage, or open at every one."""
    track_answers: TrackAnswers | None = None
    """None as `answers`."""

    @property
    def planning(self) -> TrackStage:
        """The row the sheet plans for."""
        return next(stage for stage in self.stages if stage.planning)
