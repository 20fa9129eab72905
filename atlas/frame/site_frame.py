"""The site in its own metres: what every later room works in.

x runs from the near track tie point toward the far one, horizontally; y is horizontal, square to x
and downstream (the frame is left-handed when the near bank is river right); heights are above the
water of the survey day.
"""

from __future__ import annotations

from dataclasses import dataclass

from atlas.records import AnchorUse, Bank, DangerKind, LonLat, NearBank, PostKind

Point = tuple[float, float]
"""x, y [m] in the site's frame."""


@dataclass(frozen=True, slots=True)
class PlacedAnchor:
    """An anchor in the site's frame."""

    tag: str
    bank: Bank
    uses: frozenset[AnchorUse]
    at: Point
    height_m: float
    do_not_use: bool


@dataclass(frozen=True, slots=True)
class PlacedShape:
    """A danger, work area or edge in the site's frame; parts as in `atlas.records.Shape`."""

    kind: str
    parts: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class PlacedDanger:
    """A danger in the site's frame."""

    kind: DangerKind
    kind_text: str
    shape: PlacedShape
    note: str | None


@dataclass(frozen=True, slots=True)
class PlacedPost:
    """A surveyed post in the site's frame."""

    kind: PostKind
    at: Point
    note: str | None


@dataclass(frozen=True, slots=True)
class SiteFrame:
    """Geometry of one site.

    Attributes
    ----------
    origin : the near track tie point, where x and y are 0 [degrees]
    x_azimuth_deg : true bearing of +x [degrees]
    downstream_azimuth_deg : true bearing of +y [degrees]
    near_bank : which bank is near, facing downstream
    span_m, chord_m, rise_m : horizontal and straight distance between the two track tie points,
        far above near [m]
    near_edge_x_m, far_edge_x_m : the water's edges along the track line on the survey day [m]
    width_m : far edge less near edge [m]
    setback_near_m, setback_far_m : tie point to its water's edge [m]
    near_tie_height_m, far_tie_height_m : above the water of the survey day [m]
    skew_deg : from +y toward +x, the angle of the flow [degrees]; 0 is square to the track line
    reach_down_m : greatest y of the work area [m]
    edges_drawn, width_drawn, reach_down_drawn : came from geometry rather than from a property
    track_near_tag, track_far_tag : the two anchors the track line is planned on
    """

    origin: LonLat
    x_azimuth_deg: float
    downstream_azimuth_deg: float
    near_bank: NearBank
    span_m: float
    chord_m: float
    rise_m: float
    near_edge_x_m: float
    far_edge_x_m: float
    width_m: float
    setback_near_m: float
    setback_far_m: float
    near_tie_height_m: float
    far_tie_height_m: float
    skew_deg: float
    reach_down_m: float
    edges_drawn: bool
    width_drawn: bool
    reach_down_drawn: bool
    track_near_tag: str
    track_far_tag: str
    anchors: tuple[PlacedAnchor, ...]
    edges: tuple[tuple[Bank, tuple[Point, ...]], ...]
    work_areas: tuple[PlacedShape, ...]
    dangers: tuple[PlacedDanger, ...]
    posts: tuple[PlacedPost, ...]
    access_at: Point
