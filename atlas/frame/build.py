"""One surveyed site put into its own metres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import atan2, degrees, hypot

from atlas.frame.flow import Flow, find_flow
from atlas.frame.metres import east_north, left_sign, to_along_left
from atlas.frame.problems import FrameProblem
from atlas.frame.reach import ReachDown, find_reach_down
from atlas.frame.site_frame import (
    PlacedAnchor,
    PlacedDanger,
    PlacedPost,
    PlacedShape,
    Point,
    SiteFrame,
)
from atlas.frame.ties import TrackTies, find_track_ties, span_problems, wrong_banks
from atlas.frame.water_edges import WaterEdges, find_water_edges
from atlas.records import Bank, LonLat, Shape, Site

__all__ = ["site_frame"]


@dataclass(frozen=True, slots=True)
class _Track:
    """The line between the tie points, and where every surveyed point lies beside it."""

    ties: TrackTies
    span_m: float
    x_azimuth_deg: float
    along_left: Mapping[LonLat, Point]


@dataclass(frozen=True, slots=True)
class _Placed:
    """Everything surveyed, in the site's frame."""

    anchors: tuple[PlacedAnchor, ...]
    edges: tuple[tuple[Bank, tuple[Point, ...]], ...]
    work_areas: tuple[PlacedShape, ...]
    dangers: tuple[PlacedDanger, ...]
    posts: tuple[PlacedPost, ...]
    access_at: Point


def site_frame(site: Site) -> SiteFrame | tuple[FrameProblem, ...]:
    """The site's geometry in its own metres, or all that stands against it.

    Parameters
    ----------
    site : a site as read; coordinates finite, longitude -180..180, latitude -90..90, lengths positive

    Returns
    -------
    SiteFrame, or the problems found (never an empty tuple)

    Notes
    -----
    Later questions are not asked where an earlier one has no answer: without two track anchors there
    is no line, and without a sense of flow there is no downstream.
    """
    ties = find_track_ties(site.anchors)
    if isinstance(ties, tuple):
        return ties
    track = _track(site, ties)
    problems = span_problems(track.span_m)
    if problems:
        return problems
    flow = find_flow(
        site.access.near_bank,
        site.access.flow_toward_deg,
        x_azimuth_deg=track.x_azimuth_deg,
        span_m=track.span_m,
        edges=[[track.along_left[point] for point in line] for _, line in site.edges],
    )
    if isinstance(flow, tuple):
        return flow
    placed = _place(site, track, flow)
    water = find_water_edges(placed.edges, width_m=site.access.width_m, span_m=track.span_m)
    reach = find_reach_down(placed.work_areas, given_m=site.access.reach_down_m)
    if isinstance(water, tuple) or isinstance(reach, tuple):
        return _problems_of(water) + _problems_of(reach)
    problems = wrong_banks(
        placed.anchors,
        near_edge_x_m=water.near_x_m,
        far_edge_x_m=water.far_x_m,
        span_m=track.span_m,
        skew_deg=flow.skew_deg,
    )
    return problems or _assemble(track, flow, placed, water, reach)


def _problems_of(answer: WaterEdges | ReachDown | tuple[FrameProblem, ...]) -> tuple[FrameProblem, ...]:
    return answer if isinstance(answer, tuple) else ()


def _track(site: Site, ties: TrackTies) -> _Track:
    """All points of the site in one call, then turned along the track line."""
    points = list(dict.fromkeys(_points_of(site)))
    metres = east_north(ties.near.place, points)
    far_east, far_north = metres[points.index(ties.far.place)].tolist()
    x_azimuth_deg = degrees(atan2(far_east, far_north)) % 360.0
    turned = to_along_left(metres, x_azimuth_deg).tolist()
    along_left = {point: (along, left) for point, (along, left) in zip(points, turned, strict=True)}
    # the tie points lie on the x axis by definition: no residue of the turn in their y
    span_m = hypot(far_east, far_north)
    along_left |= {ties.near.place: (0.0, 0.0), ties.far.place: (span_m, 0.0)}
    return _Track(ties, span_m, x_azimuth_deg, along_left)


def _points_of(site: Site) -> Iterator[LonLat]:
    yield site.access.place
    yield from (anchor.place for anchor in site.anchors)
    yield from (post.place for post in site.posts)
    for _, line in site.edges:
        yield from line
    shapes = [area.shape for area in site.work_areas] + [danger.shape for danger in site.dangers]
    for shape in shapes:
        for part in shape.parts:
            yield from part


def _place(site: Site, track: _Track, flow: Flow) -> _Placed:
    """Every feature with y downstream."""
    sign = left_sign(flow.near_bank)

    def at(point: LonLat) -> Point:
        along, left = track.along_left[point]
        return (along, sign * left)

    def shape(surveyed: Shape) -> PlacedShape:
        return PlacedShape(surveyed.kind, tuple(tuple(map(at, part)) for part in surveyed.parts))

    return _Placed(
        anchors=tuple(
            PlacedAnchor(
                tag=anchor.tag,
                bank=anchor.bank,
                uses=anchor.uses,
                at=at(anchor.place),
                height_m=anchor.height_m,
                do_not_use=anchor.do_not_use,
            )
            for anchor in site.anchors
        ),
        edges=tuple((bank, tuple(map(at, line))) for bank, line in site.edges),
        work_areas=tuple(shape(area.shape) for area in site.work_areas),
        dangers=tuple(
            PlacedDanger(danger.kind, danger.kind_text, shape(danger.shape), danger.note)
            for danger in site.dangers
        ),
        posts=tuple(PlacedPost(post.kind, at(post.place), post.note) for post in site.posts),
        access_at=at(site.access.place),
    )


def _assemble(track: _Track, flow: Flow, placed: _Placed, water: WaterEdges, reach: ReachDown) -> SiteFrame:
    near, far = track.ties.near, track.ties.far
    rise_m = far.height_m - near.height_m
    return SiteFrame(
        origin=near.place,
        x_azimuth_deg=track.x_azimuth_deg,
        downstream_azimuth_deg=(track.x_azimuth_deg - 90.0 * left_sign(flow.near_bank)) % 360.0,
        near_bank=flow.near_bank,
        span_m=track.span_m,
        chord_m=hypot(track.span_m, rise_m),
        rise_m=rise_m,
        near_edge_x_m=water.near_x_m,
        far_edge_x_m=water.far_x_m,
        width_m=water.far_x_m - water.near_x_m,
        setback_near_m=water.near_x_m,
        setback_far_m=track.span_m - water.far_x_m,
        near_tie_height_m=near.height_m,
        far_tie_height_m=far.height_m,
        skew_deg=flow.skew_deg,
        reach_down_m=reach.reach_down_m,
        edges_drawn=water.edges_drawn,
        width_drawn=water.width_drawn,
        reach_down_drawn=reach.drawn,
        track_near_tag=near.tag,
        track_far_tag=far.tag,
        anchors=placed.anchors,
        edges=placed.edges,
        work_areas=placed.work_areas,
        dangers=placed.dangers,
        posts=placed.posts,
        access_at=placed.access_at,
    )
