"""One surveyed river access point, as read and checked. SI units, WGS 84 lon/lat in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from atlas.records.gauge import GaugedSite

LonLat = tuple[float, float]
"""Longitude, latitude [degrees, WGS 84]: the order of RFC 7946."""


class Bank(StrEnum):
    """The bank with the rigging team and the road, and the other."""

    NEAR = "near"
    FAR = "far"


class NearBank(StrEnum):
    """Which bank is the near one, facing downstream."""

    LEFT = "left"
    RIGHT = "right"


class AnchorUse(StrEnum):
    """What an anchor may hold."""

    TRACK = "track"
    FERRY = "ferry"
    UP_DOWN = "up_down"


class MeanKind(StrEnum):
    """Over what a mean speed was taken."""

    SECTION = "section"
    VERTICAL = "vertical"


class DangerKind(StrEnum):
    """Dangers with cautions of their own; anything else a survey names is OTHER."""

    STRAINER = "strainer"
    LOW_HEAD_DAM = "low_head_dam"
    BRIDGE_PIER = "bridge_pier"
    UNDERCUT = "undercut"
    DEBRIS = "debris"
    POWER_LINE = "power_line"
    OTHER = "other"


class PostKind(StrEnum):
    """Places people stand, and where things are kept or brought."""

    STAGING = "staging"
    COMMAND = "command"
    LAUNCH = "launch"
    LANDING = "landing"
    TAKE_OUT = "take_out"
    UPSTREAM_SPOTTER = "upstream_spotter"
    DOWNSTREAM_SAFETY = "downstream_safety"
    MEDICAL = "medical"
    HELICOPTER = "helicopter"


@dataclass(frozen=True, slots=True)
class Shape:
    """A geometry as coordinates: one part a point or line, rings for a polygon.

    Attributes
    ----------
    kind : ``point``, ``line`` or ``polygon``
    parts : tuple of coordinate tuples (a multi-geometry has several; a polygon's first is its shell)
    """

    kind: str
    parts: tuple[tuple[LonLat, ...], ...]


@dataclass(frozen=True, slots=True)
class LowHeadDam:
    """The dam that governs the water here: whom to ring, and how long its water takes to arrive."""

    name: str
    phone: str | None = None
    travel_min: float | None = None


@dataclass(frozen=True, slots=True)
class FlowNote:
    """One observation of the river. At least one speed is present."""

    date: date | None
    stage_m: float | None
    """Gauge stage [m]; where the note gave none, the survey day's (then `stage_assumed`)."""
    stage_assumed: bool
    discharge_m3_s: float | None
    width_m: float | None
    surface_speed_m_s: float | None
    """Fastest surface thread [m/s]."""
    mean_speed_m_s: float | None
    mean_kind: MeanKind | None
    depth_m: float | None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Anchor:
    """A tie point. `height_m` is above the water on the survey day."""

    tag: str
    bank: Bank
    uses: frozenset[AnchorUse]
    place: LonLat
    kind: str | None
    diameter_m: float | None
    height_m: float
    height_assumed: bool
    rating_n: float | None
    do_not_use: bool
    note: str | None = None


@dataclass(frozen=True, slots=True)
class WorkArea:
    """Where the boat must reach."""

    shape: Shape


@dataclass(frozen=True, slots=True)
class Danger:
    """Something on or near the water that can hurt."""

    kind: DangerKind
    kind_text: str
    shape: Shape
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Post:
    """A surveyed place for people or things."""

    kind: PostKind
    place: LonLat
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Access:
    """The access feature: everything said of the site as a whole."""

    place: LonLat
    name: str
    reach: str
    agency: str
    surveyed: date
    river: str
    near_bank: NearBank | None
    flow_toward_deg: float | None
    width_m: float | None
    reach_down_m: float | None
    stage_m: float | None
    planning_stage_m: float | None
    gauge: str | None
    rig: str | None
    tied_off: bool
    """The track line is tied off behind the progress capture (`lock_off` = tied_off)."""
    road: str | None
    far_access: str | None
    far_minutes: float | None
    near_run_m: float | None
    launch_method: str | None
    dam: LowHeadDam | None
    radio: str | None
    medical: str | None
    permission: str | None
    dangers: tuple[str, ...]
    notes: str | None
    flow_notes: tuple[FlowNote, ...]
    cold_water: bool = False
    """The surveyor judged the water cold (`water` = cold)."""
    gauged: GaugedSite | None = None
    """What is kept of its gauge; joined after reading."""


@dataclass(frozen=True, slots=True)
class Site:
    """One site, whole."""

    code: str
    file: str
    access: Access
    anchors: tuple[Anchor, ...]
    edges: tuple[tuple[Bank, tuple[LonLat, ...]], ...]
    work_areas: tuple[WorkArea, ...]
    dangers: tuple[Danger, ...]
    posts: tuple[Post, ...]
