"""A site as a tether sees it: where the boat works, and the stations its lines are worked from.

A bow station is a surveyed anchor upriver, one for a ferry line before one for the track line, which a
tether does without. Of several the first pair that keeps the included angle; where none does, the pair
that lacks least. Where a bank has none, the station is put at the depth that two stations side by side
need, on the flow through that bank's track tie point, to be found on scene.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import radians, tan

import shapely

from atlas.faults import OutOfRange
from atlas.frame import PlacedAnchor, PlacedShape, Point, SiteFrame
from atlas.plan.context import Context
from atlas.records import AnchorUse, Bank
from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether import TetherGround, tether_ground
from atlas.rigging.tether_depth import level_depth_m, station_depth
from atlas.rigging.tether_geometry import TetherGeometry, from_flow, tether_geometry, to_flow, with_stations
from atlas.rigging.tether_records import TetherRules, TetherSite, TetherStage

__all__ = ["Placed", "TetherPlace", "tether_place"]

_Choice = tuple[StationPoint, str | None]
"""A station, and the tag of its anchor; None of one to be found on scene."""
_BANKS = (Bank.NEAR, Bank.FAR)
_HAND_M = 0.05
"""A station is put a hand deeper than it must be: the angle is kept, not met."""
_FAR_UPRIVER_M = 60.0
"""A station put there for a first look keeps clear of every work area."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A station of one line.

    Attributes
    ----------
    tag : of the surveyed anchor, None for one to be found on scene
    set_aside : usable anchors of the bank that do not serve
    """

    bank: Bank
    point: StationPoint
    tag: str | None
    set_aside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class TetherPlace:
    """Work area, stations, and what all tethers on them have in common.

    Attributes
    ----------
    bow, stern : near and far station
    work_areas : places of the bow; assumed where none was drawn
    """

    ground: TetherGround
    bow: tuple[Placed, Placed]
    stern: tuple[Placed, Placed]
    work_areas: tuple[PlacedShape, ...]
    work_area_assumed: bool

    def site(self, *, stern: bool) -> TetherSite:
        """The site with or without stations for stern lines."""
        points = (self.stern[0].point, self.stern[1].point) if stern else None
        return replace(self.ground.site, stern=points)


def _geometry(shape: PlacedShape) -> shapely.Geometry:
    if shape.kind == "polygon":
        shell, *holes = shape.parts
        return shapely.Polygon(shell, holes)
    if shape.kind == "line":
        return shapely.union_all([shapely.LineString(part) for part in shape.parts])
    return shapely.MultiPoint([point for part in shape.parts for point in part])


def _assumed_area(context: Context) -> PlacedShape:
    """The water from the nearest a boat hangs under a track line down to the reach-down, bank to bank."""
    frame, top_m = context.frame, context.policy.loads.strand_distance_least
    slope = tan(radians(frame.skew_deg))
    top_m = min(top_m, 0.5 * frame.reach_down_m)

    def at(edge_x_m: float, y_m: float) -> Point:
        return (edge_x_m + slope * y_m, y_m)

    near_m, far_m, low_m = frame.near_edge_x_m, frame.far_edge_x_m, frame.reach_down_m
    ring = (at(near_m, top_m), at(far_m, top_m), at(far_m, low_m), at(near_m, low_m), at(near_m, top_m))
    return PlacedShape(kind="polygon", parts=(ring,))


def tether_rules(context: Context) -> TetherRules:
    """The agency's figures for a tether."""
    policy = context.policy
    return TetherRules(
        angle_most_deg=policy.tether.included_angle_most,
        bow_ring_m=policy.loads.bow_ring_above_water,
        boat_length_m=policy.tether.boat_length,
        anchor_ratio=policy.limits.anchor_ratio,
        anchor_least_n=policy.limits.anchor_station_least,
        tail_m=policy.lines.tail_tended,
        messenger_tail_m=policy.lines.tail_messenger,
        spare_fraction=policy.lines.spare_fraction,
        spare_least_m=policy.lines.spare_least,
        speed_most_m_s=policy.loads.speed_most,
    )


def _usable(context: Context, bank: Bank, *uses: AnchorUse) -> list[PlacedAnchor]:
    """Anchors of a bank that a line may be put on at the planning stage, those of the first use first."""
    rise_m = context.planning.rise_m
    fit = [
        anchor
        for anchor in context.frame.anchors
        if anchor.bank is bank and not anchor.do_not_use and anchor.height_m > rise_m
    ]
    found = [anchor for use in uses for anchor in fit if use in anchor.uses]
    return list(dict.fromkeys(found))


def _point(anchor: PlacedAnchor) -> StationPoint:
    return StationPoint(anchor.at[0], anchor.at[1], anchor.height_m)


def _tie(frame: SiteFrame, bank: Bank) -> tuple[Point, float]:
    """A bank's track tie point and its height."""
    if bank is Bank.NEAR:
        return (0.0, 0.0), frame.near_tie_height_m
    return (frame.span_m, 0.0), frame.far_tie_height_m


def _on_flow(frame: SiteFrame, bank: Bank, along_m: float) -> StationPoint:
    """A station on the flow through a bank's track tie point, so far along it."""
    tie, height_m = _tie(frame, bank)
    across_m = float(to_flow(tie, skew_deg=frame.skew_deg)[0])
    x_m, y_m = from_flow((across_m, along_m), skew_deg=frame.skew_deg).tolist()
    return StationPoint(x_m, y_m, height_m)


def _upriver(context: Context, bank: Bank, use: AnchorUse, top_m: float) -> list[PlacedAnchor]:
    """Usable anchors of a bank that lie upriver of the whole work area."""
    skew_deg = context.frame.skew_deg
    return [
        anchor
        for anchor in _usable(context, bank, use)
        if float(to_flow(anchor.at, skew_deg=skew_deg)[1]) < top_m
    ]


def _choices(context: Context, look: TetherGeometry, angle_most_deg: float) -> list[list[_Choice]]:
    """Of each bank the stations that a bow line may be worked from, the preferred first.

    Anchors for ferry lines, then those for the track line; without one for a ferry line, last a place at the
    depth that two stations side by side need.
    """
    top_m, frame = float(look.corners[:, 1].min()), context.frame
    ferry, track = (
        {bank: _upriver(context, bank, use, top_m) for bank in _BANKS}
        for use in (AnchorUse.FERRY, AnchorUse.TRACK)
    )
    ends = [
        _point(ferry[bank][0]) if ferry[bank] else _on_flow(frame, bank, top_m - _FAR_UPRIVER_M)
        for bank in _BANKS
    ]
    depth_m = level_depth_m(with_stations(look, *ends), angle_most_deg=angle_most_deg)
    if depth_m is None:
        depth_m = context.policy.stations.ferry_upriver_most
    found = []
    for bank in _BANKS:
        anchors = dict.fromkeys([*ferry[bank], *track[bank]])
        choices: list[_Choice] = [(_point(anchor), anchor.tag) for anchor in anchors]
        if not ferry[bank]:
            choices.append((_on_flow(frame, bank, top_m - depth_m - _HAND_M), None))
        found.append(choices)
    return found


def _set_aside(context: Context, bank: Bank, tag: str | None) -> tuple[str, ...]:
    """Anchors surveyed for a ferry line before the one that is taken."""
    tags = [anchor.tag for anchor in _usable(context, bank, AnchorUse.FERRY)]
    return tuple(tags[: tags.index(tag)] if tag in tags else tags)


def _bow_stations(
    context: Context, look: TetherGeometry, angle_most_deg: float
) -> tuple[TetherGeometry, tuple[Placed, Placed]]:
    """The first pair that serves; else the one that lacks least depth; else the first that can be meant.

    Raises
    ------
    OutOfRange
        No pair can be meant; says why of the last.
    """
    best: tuple[float, TetherGeometry, tuple[_Choice, ...]] | None = None
    refused: OutOfRange | None = None
    for pair in product(*_choices(context, look, angle_most_deg)):
        try:
            geometry = with_stations(look, pair[0][0], pair[1][0])
        except OutOfRange as cause:
            refused = cause
            continue
        move_m = station_depth(geometry, angle_most_deg=angle_most_deg).move_m
        lacking_m = float("inf") if move_m is None else move_m
        if best is None or lacking_m < best[0]:
            best = (lacking_m, geometry, pair)
        if lacking_m == 0.0:
            break
    if best is None:
        raise refused or OutOfRange("bow stations: none")
    near, far = (
        Placed(bank, point, tag, _set_aside(context, bank, tag))
        for bank, (point, tag) in zip(_BANKS, best[2], strict=True)
    )
    return best[1], (near, far)


def _stern_stations(context: Context, geometry: TetherGeometry, rules: TetherRules) -> tuple[Placed, Placed]:
    """A surveyed anchor downriver of the stern wherever the boat works, else a place to be found."""
    frame = context.frame
    lowest_m = float(geometry.corners[:, 1].max()) + rules.boat_length_m
    found = []
    for bank in _BANKS:
        anchors = _usable(context, bank, AnchorUse.UP_DOWN)
        serving = [anchor for anchor in anchors if to_flow(anchor.at, skew_deg=frame.skew_deg)[1] > lowest_m]
        aside = tuple(anchor.tag for anchor in anchors if anchor not in serving[:1])
        if serving:
            found.append(Placed(bank, _point(serving[0]), serving[0].tag, aside))
        else:
            along_m = lowest_m + context.policy.tether.stern_below
            found.append(Placed(bank, _on_flow(frame, bank, along_m), None, aside))
    return found[0], found[1]


def _stages(context: Context) -> Sequence[TetherStage]:
    return [
        TetherStage(row.name_code, row.rise_m, row.design_speed_m_s, planning=row.planning)
        for row in context.rows
    ]


def tether_place(context: Context) -> TetherPlace:
    """Work area and stations of a site, and what all its tethers have in common.

    Raises
    ------
    OutOfRange
        A work area or stations that cannot be meant.
    """
    frame, rules = context.frame, tether_rules(context)
    areas = frame.work_areas or (_assumed_area(context),)
    work_area = shapely.union_all([_geometry(area) for area in areas])
    along = to_flow(shapely.get_coordinates(work_area), skew_deg=frame.skew_deg)[:, 1]
    near, far = (_on_flow(frame, bank, float(along.min()) - _FAR_UPRIVER_M) for bank in _BANKS)
    look = tether_geometry(near, far, work_area, skew_deg=frame.skew_deg)
    geometry, bow = _bow_stations(context, look, rules.angle_most_deg)
    site = TetherSite(
        near=bow[0].point,
        far=bow[1].point,
        work_area=work_area,
        skew_deg=frame.skew_deg,
        width_m=max(context.planning.width_m, frame.width_m),
    )
    return TetherPlace(
        ground=tether_ground(site, rules, _stages(context), geometry=geometry),
        bow=bow,
        stern=_stern_stations(context, geometry, rules),
        work_areas=areas,
        work_area_assumed=not frame.work_areas,
    )
