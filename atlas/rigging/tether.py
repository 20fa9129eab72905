"""Two-line and four-line tether: a boat held by lines to its bow from two stations upriver, no track line.

**What is computed.** For one site: needed lengths; the included angle at the bow over the whole work area
and how far upriver the stations must stand for it; for each stage and load case the greatest tension of
each bow line, its factor and the lift on the bow; what each station is pulled with and between which
directions; the limit speed in closed form; the reachable water. The four-line tether adds a stern line from
a station downriver on each bank: slack for load, they position the boat and share nothing of it, so every
force and limit is the two-line tether's, and only lengths, gear and crew differ.

**How a plan uses it.** Survey and policy give `TetherSite` and `TetherRules`. `tether_ground` computes what
all tethers on one pair of stations have in common, `measured_lines` measures the lines, the cache covers
them, and each rope taken becomes a `LineStrength`: rope wet and with its end and its connector, as
`ForceLimit`, and the hold of its station's anchor. `answered` then says everything at once for all stages and
cases; `two_line_tether` and `four_line_tether` do all of it for one rig. A pair of stations that was not
surveyed is placed side by side at the depth `tether_depth.level_depth_m`. Nothing here knows a template, a
word or a rope's name; gear and crew are the rig's template's.

**Verdict.** Inside plan needs the whole work area: between the stations' lines of flow, downriver of both,
the angle kept. Where that fails the rig is outside plan at every speed and has no limit speed; tensions are
then those of the part that can be held, so that the workings still say what it would carry.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, inf

import numpy as np

from atlas.faults import OutOfRange
from atlas.rigging.anchors import hold_needed_n
from atlas.rigging.ferry import StationPoint
from atlas.rigging.limit_speed import LimitSpeed
from atlas.rigging.reachable_water import Reach, reach_of
from atlas.rigging.tether_depth import StationDepth, station_depth
from atlas.rigging.tether_geometry import (
    Place,
    TetherGeometry,
    WorstAngle,
    pull_sector_deg,
    tether_geometry,
    to_flow,
    worst_angle,
)
from atlas.rigging.tether_lengths import measured_lines
from atlas.rigging.tether_loads import WorstShares, holding_speed_m_s, worst_shares_at
from atlas.rigging.tether_reach import HoldLimits, holding_part, tether_water
from atlas.rigging.tether_records import (
    BOW_LINES,
    CaseTension,
    LineLoad,
    LineStrength,
    StageTension,
    StationPull,
    TetherCase,
    TetherLine,
    TetherResult,
    TetherRules,
    TetherSite,
    TetherStage,
)

__all__ = ["TetherGround", "answered", "four_line_tether", "tether_ground", "two_line_tether"]


def two_line_tether(
    site: TetherSite,
    rules: TetherRules,
    *,
    strengths: tuple[LineStrength, LineStrength],
    cases: Sequence[TetherCase],
    stages: Sequence[TetherStage],
) -> TetherResult:
    """Two bow lines from upriver.

    Parameters
    ----------
    strengths : of the near and the far bow line
    cases : at least one of them judged
    stages : exactly one planned for

    Raises
    ------
    OutOfRange
        As `tether_geometry.tether_geometry`; no judged case; none or several stages planned for.
    """
    ground = tether_ground(replace(site, stern=None), rules, stages)
    return answered("two-line-tether", ground, _lines(ground), strengths=strengths, cases=cases)


def four_line_tether(
    site: TetherSite,
    rules: TetherRules,
    *,
    strengths: tuple[LineStrength, LineStrength],
    cases: Sequence[TetherCase],
    stages: Sequence[TetherStage],
) -> TetherResult:
    """Two bow lines from upriver that carry, and two stern lines from downriver that position.

    Raises
    ------
    OutOfRange
        As `two_line_tether`; and without stations for the stern lines.
    """
    if site.stern is None:
        raise OutOfRange("four-line tether: no stations for the stern lines")
    ground = tether_ground(site, rules, stages)
    return answered("four-line-tether", ground, _lines(ground), strengths=strengths, cases=cases)


def _lines(ground: TetherGround) -> tuple[TetherLine, ...]:
    rises_m = [stage.rise_m for stage in ground.stages]
    return measured_lines(ground.site, ground.rules, ground.geometry, rises_m=rises_m)


@dataclass(frozen=True, slots=True, eq=False)
class TetherGround:
    """What no rope, case or stern line of a tether changes: stations, work area, stages.

    Attributes
    ----------
    held : the part of the work area that can be held; None for nothing
    shares : worst tensions over drag in it, for each stage; none where nothing can be held
    """

    site: TetherSite
    rules: TetherRules
    geometry: TetherGeometry
    stages: tuple[TetherStage, ...]
    angle: WorstAngle
    depth: StationDepth
    held: TetherGeometry | None
    shares: tuple[WorstShares, ...]

    @property
    def planned(self) -> TetherStage:
        """The stage planned for."""
        return next(stage for stage in self.stages if stage.planning)

    def heights_m(self, rise_m: float) -> tuple[float, float]:
        """Stations over the bow ring [m]."""
        ring_m = rise_m + self.rules.bow_ring_m
        return self.site.near.z_m - ring_m, self.site.far.z_m - ring_m

    def shares_at(self, stage: TetherStage) -> WorstShares | None:
        """Worst tensions over drag at a stage; None where nothing can be held."""
        return self.shares[self.stages.index(stage)] if self.shares else None


def tether_ground(
    site: TetherSite,
    rules: TetherRules,
    stages: Sequence[TetherStage],
    *,
    geometry: TetherGeometry | None = None,
) -> TetherGround:
    """Angle, depth and shares of a pair of stations over a work area, once for all tethers on them.

    Parameters
    ----------
    geometry : of these stations and this work area, where it is there already

    Raises
    ------
    OutOfRange
        As `tether_geometry.tether_geometry`; none or several stages planned for.
    """
    count = sum(stage.planning for stage in stages)
    if count != 1:
        raise OutOfRange(f"stages: {count} planned for; allowed: exactly one")
    if geometry is None:
        geometry = tether_geometry(site.near, site.far, site.work_area, skew_deg=site.skew_deg)
    depth = station_depth(geometry, angle_most_deg=rules.angle_most_deg)
    # heights play no part where any tension will do
    limits = HoldLimits(near_height_m=0.0, far_height_m=0.0, angle_most_deg=rules.angle_most_deg)
    held = geometry if depth.serves else holding_part(geometry, limits)
    rings_m = np.array([stage.rise_m for stage in stages]) + rules.bow_ring_m
    heights_m = np.array([site.near.z_m, site.far.z_m]) - rings_m[:, np.newaxis]
    return TetherGround(
        site=site,
        rules=rules,
        geometry=geometry,
        stages=tuple(stages),
        angle=worst_angle(geometry),
        depth=depth,
        held=held,
        shares=() if held is None else tuple(worst_shares_at(held, heights_m)),
    )


def answered(
    rig: str,
    ground: TetherGround,
    lines: tuple[TetherLine, ...],
    *,
    strengths: tuple[LineStrength, LineStrength],
    cases: Sequence[TetherCase],
) -> TetherResult:
    """Everything of one tether, given its ground and what its bow lines stand.

    Parameters
    ----------
    lines : as measured
    strengths, cases : as `two_line_tether`

    Raises
    ------
    OutOfRange
        No judged case.
    """
    judged = [case for case in cases if case.judged]
    if not judged:
        raise OutOfRange("cases: none judged; allowed: at least one")
    work = _Work(ground, strengths)
    planned = ground.planned
    most_drag_n = max(case.drag_per_speed2 for case in judged) * planned.speed_m_s**2
    return TetherResult(
        rig=rig,
        lines=lines,
        angle=ground.angle,
        depth=ground.depth,
        stages=tuple(_stage(work, stage, cases) for stage in ground.stages),
        limit=_limit(work, planned, judged),
        stations=_pulls(work, planned, drag_n=most_drag_n),
        reachable=_reachable(work, planned, drag_n=most_drag_n),
        why=work.why_always,
    )


class _Work:
    """One tether while it is computed: its ground, and what its bow lines and their anchors stand."""

    def __init__(self, ground: TetherGround, strengths: tuple[LineStrength, LineStrength]) -> None:
        self.ground = ground
        self.site, self.rules, self.strengths = ground.site, ground.rules, strengths
        self.most_n = tuple(strength.most_n(anchor_ratio=ground.rules.anchor_ratio) for strength in strengths)
        self.why_always = _why_always(ground, strengths)

    def why_at(self, stage: TetherStage, tensions_n: Sequence[float]) -> tuple[str, ...]:
        """What is outside plan at a stage with these tensions of the bow lines."""
        stations = (self.site.near, self.site.far)
        found = ["anchor_drowned" for station in stations if station.z_m <= stage.rise_m]
        found += [
            code
            for line, tension_n in enumerate(tensions_n)
            for code, most_n in self.most_n[line]
            if tension_n > most_n
        ]
        return tuple(dict.fromkeys((*self.why_always, *found)))


def _why_always(ground: TetherGround, strengths: Sequence[LineStrength]) -> tuple[str, ...]:
    """What is outside plan whatever the stage and the speed."""
    found = []
    if ground.depth.move_m is None:
        found.append("outside_stations")
    elif not ground.depth.serves:
        found.append("included_angle")
    if not _stern_is_downriver(ground.site, ground.rules, ground.geometry):
        found.append("stern_upriver")
    for strength in strengths:
        if strength.on_scene:
            continue
        if strength.hold_n is None:
            found.append("anchor_unrated")
        elif strength.hold_n < ground.rules.anchor_least_n:
            found.append("anchor_station")
    return tuple(dict.fromkeys(found))


def _stern_is_downriver(site: TetherSite, rules: TetherRules, geometry: TetherGeometry) -> bool:
    """Each stern station lies downriver of the stern, wherever the boat works."""
    lowest_m = float(geometry.corners[:, 1].max()) + rules.boat_length_m
    return all(
        float(to_flow((station.x_m, station.y_m), skew_deg=site.skew_deg)[1]) > lowest_m
        for station in site.stern or ()
    )


def _stage(work: _Work, stage: TetherStage, cases: Sequence[TetherCase]) -> StageTension:
    shares = work.ground.shares_at(stage)
    return StageTension(stage, tuple(_case(work, stage, shares, case) for case in cases))


def _case(work: _Work, stage: TetherStage, shares: WorstShares | None, case: TetherCase) -> CaseTension:
    drag_n = case.drag_per_speed2 * stage.speed_m_s**2
    loads: tuple[LineLoad, ...] = ()
    if shares is not None:
        loads = tuple(
            _line_load(work.strengths[line], BOW_LINES[line], drag_n * share, place)
            for line, (share, place) in enumerate(zip(shares.both, shares.places, strict=True))
        )
    return CaseTension(
        case=case.name,
        judged=case.judged,
        drag_n=drag_n,
        lines=loads,
        lift_n=0.0 if shares is None else drag_n * shares.lift,
        why=work.why_at(stage, [load.tension_n for load in loads]),
    )


def _line_load(strength: LineStrength, line: str, tension_n: float, place: Place) -> LineLoad:
    weakest = min(strength.limits, key=lambda limit: limit.strength_n)
    factor = weakest.strength_n / tension_n if tension_n > 0.0 else inf
    return LineLoad(line, tension_n, place, factor, weakest.part)


def _limit(work: _Work, planned: TetherStage, judged: Sequence[TetherCase]) -> LimitSpeed | None:
    """Greatest speed with every judged case inside plan, the planning stage's geometry held."""
    shares = work.ground.shares_at(planned)
    if shares is None or work.why_at(planned, ()):
        return None
    drag_per_speed2 = max(case.drag_per_speed2 for case in judged)
    found = [
        (holding_speed_m_s(most_n=most_n, share=share, drag_per_speed2=drag_per_speed2), code)
        for line, share in enumerate(shares.both)
        for code, most_n in work.most_n[line]
    ]
    speed_m_s, code = min(found)
    if speed_m_s > work.rules.speed_most_m_s:
        return LimitSpeed(speed_m_s=work.rules.speed_most_m_s, governed_by="search_end")
    return LimitSpeed(speed_m_s=speed_m_s, governed_by=code)


def _pulls(work: _Work, planned: TetherStage, *, drag_n: float) -> tuple[StationPull, ...]:
    shares = work.ground.shares_at(planned)
    if shares is None:
        return ()
    ring_m = planned.rise_m + work.rules.bow_ring_m
    return tuple(
        _pull(
            work, line, station, ring_m=ring_m, load_n=drag_n * shares.both[line], place=shares.places[line]
        )
        for line, station in enumerate((work.site.near, work.site.far))
    )


def _pull(
    work: _Work, line: int, station: StationPoint, *, ring_m: float, load_n: float, place: Place
) -> StationPull:
    strength, rules = work.strengths[line], work.rules
    x_m, y_m, up_m = place[0] - station.x_m, place[1] - station.y_m, ring_m - station.z_m
    per_m = load_n / hypot(x_m, y_m, up_m)
    from_deg, to_deg = pull_sector_deg(station, work.ground.geometry)
    return StationPull(
        line=BOW_LINES[line],
        anchor=strength.anchor,
        load_n=load_n,
        pull_n=(per_m * x_m, per_m * y_m, per_m * up_m),
        from_deg=from_deg,
        to_deg=to_deg,
        needed_n=hold_needed_n(load_n=load_n, ratio=rules.anchor_ratio, least_n=rules.anchor_least_n),
        hold_n=strength.hold_n,
    )


def _reachable(work: _Work, planned: TetherStage, *, drag_n: float) -> Reach:
    """Where the boat can be held at the planning stage in the judged case with most drag."""
    ground = work.ground
    near_share, far_share = (
        min(most_n for _, most_n in work.most_n[line]) / drag_n if drag_n > 0.0 else inf for line in (0, 1)
    )
    worst = ground.shares_at(planned)
    if ground.depth.serves and worst is not None and worst.near <= near_share and worst.far <= far_share:
        return Reach(ground.site.work_area, 1.0)
    near_m, far_m = ground.heights_m(planned.rise_m)
    limits = HoldLimits(
        near_height_m=near_m,
        far_height_m=far_m,
        angle_most_deg=work.rules.angle_most_deg,
        near_share=near_share,
        far_share=far_share,
    )
    return reach_of(ground.site.work_area, tether_water(ground.geometry, limits))
