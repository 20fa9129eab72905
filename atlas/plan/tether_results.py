"""What a tether answers besides what every rig does: a boat held to its bow from two stations upriver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from atlas.frame import PlacedShape, Point
from atlas.plan.rig_results import CaseResult, RigPlan, StageResult

__all__ = [
    "BowLoad",
    "StationDepths",
    "TetherRig",
    "TetherRope",
    "TetherStation",
    "TetheredCase",
    "TetheredStage",
]


@dataclass(frozen=True, slots=True)
class BowLoad:
    """A bow line at its worst over the part of the work area that can be held.

    Attributes
    ----------
    at : of the bow then, x and y [m]
    factor, part : least factor over rope and connectors, and the part that has it
    """

    line: str
    tension_n: float
    at: Point
    factor: float
    part: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TetheredCase(CaseResult):
    """A load case of a tethered boat.

    Attributes
    ----------
    bow : near and far bow line
    lift_n : greatest pull of both lines upward on the bow; negative is down
    """

    bow: tuple[BowLoad, BowLoad]
    lift_n: float


TetheredStage: TypeAlias = StageResult[TetheredCase]
"""A row of the level table of a tether; made by calling `StageResult` itself."""


@dataclass(frozen=True, slots=True)
class TetherStation:
    """Where a line of the tether is worked from.

    Attributes
    ----------
    tag : of the surveyed anchor; None where it is to be found on scene
    height_m : over the survey day's water; of one to be found that of the bank's track tie point, assumed
    pull_from_deg, pull_to_deg : true bearings between which a bow line pulls on it over the whole work area;
        None of a stern line, which is slack for load
    set_aside : tags of usable anchors of that bank that do not serve
    """

    line: str
    bank: str
    at: Point
    height_m: float
    tag: str | None
    pull_from_deg: float | None
    pull_to_deg: float | None
    set_aside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StationDepths:
    """How far upriver the bow stations stand, and must stand, along the flow [m].

    Attributes
    ----------
    near_m, far_m : from the most upriver place of the work area up to the station; negative is downriver
    needed_m : of two stations side by side; None where no depth serves
    move_m : how much farther upriver both must be moved; 0 where they serve, None where no move does
    outside_m : how far the work area reaches past a station's line of flow
    """

    near_m: float
    far_m: float
    needed_m: float | None
    move_m: float | None
    outside_m: float


@dataclass(frozen=True, slots=True)
class TetherRope:
    """The rope a bow line was computed with; of none taken, the weakest its template asks for."""

    line: str
    name: str | None
    agency: str | None
    strength_n: float
    kept: float
    """Strength kept, wet x end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TetherRig(RigPlan):
    """A rig of lines to the boat's bow: what it answers besides.

    Attributes
    ----------
    angle_deg, angle_at : greatest included angle over the work area, and the bow's place there
    angle_most_deg : greatest that is inside plan
    stations : bow near and far, then stern near and far where there are stern lines
    ropes : near and far bow line
    work_areas : places of the bow; ``work_area_assumed`` where none was drawn
    reachable : rings of the part in which the boat can be held at the planning stage
    reachable_share : its part of the work area, 0 to 1
    skew_deg : of the flow
    """

    stages: tuple[TetheredStage, ...]
    angle_deg: float
    angle_at: Point
    angle_most_deg: float
    depths: StationDepths
    stations: tuple[TetherStation, ...]
    ropes: tuple[TetherRope, TetherRope]
    work_areas: tuple[PlacedShape, ...]
    work_area_assumed: bool
    reachable: tuple[tuple[Point, ...], ...]
    reachable_share: float
    bow_ring_m: float
    boat_length_m: float

    @property
    def planning(self) -> TetheredStage:
        """The row the sheet plans for."""
        return next(stage for stage in self.stages if stage.planning)
