"""If one line goes: the track line parts, the far ferry line is lost."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin

import numpy as np
import shapely

from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.crew_results import BackUp, FarFerryLost, TrackParted
from atlas.plan.grounds import ground_of
from atlas.plan.questions_scene import Hanging, Scene
from atlas.rigging import Rope, TrackLine
from atlas.rigging.ferry import StationPoints
from atlas.rigging.ferry_lost import Runaway, ferry_lost
from atlas.rigging.hung_boat import FerryHeld
from atlas.rigging.hung_carriage import HungCarriage
from atlas.rigging.no_go_ground import swept_by_line
from atlas.rigging.reachable_water import mesh_ground
from atlas.rigging.setups import CarriageSetup, Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.track_lost import track_lost

__all__ = ["far_ferries_lost", "tracks_parted"]

_LOOKED_AT = slice(None, None, 2)
"""Every other place of the scene."""
_PARTED = (Hanging.HEAVY_SOFT, Hanging.HEAVY_STIFF, Hanging.HELD_CLOSE)
_RUN = (Hanging.HEAVY_SOFT,)
_RUN_PLACES = 13
_STILL = 1e-4
"""Share of the load: a few tenths of a newton, less than a centimetre of the way."""


def _ferries(scene: Scene, hangings: Sequence[Hanging], places: slice) -> tuple[FerryHeld, FerryHeld]:
    """Near and far ferry line of every site as they are held, no slack in them: so they stand most."""
    near, far, _ = scene.stations()

    def held(station: StationPoints, line: str, tension_n: FloatArray) -> FerryHeld:
        return FerryHeld(
            station, scene.rope_stiffness_n(line), tension_n=scene.of(tension_n, hangings, places)
        )

    return held(near, "ferry-near", scene.ferry_near_n), held(far, "ferry-far", scene.ferry_far_n)


def _back_up(context: Context, scene: Scene, site: int, *, bank: str, load_n: float) -> BackUp:
    line = f"ferry-{bank}"
    station = getattr(context.stations, f"ferry_{bank}")
    sudden_n = context.policy.if_lost.sudden * load_n
    hold = None if station.tag is None else rated_hold_n(context, station.tag)
    hold_n = None if hold is None else hold.hold_n
    return BackUp(
        line=line,
        load_n=load_n,
        sudden_n=sudden_n,
        factor=scene.ropes[site][line].kept_n / sudden_n,
        anchor=context.words(f"station.ferry_{bank}") if station.tag is None else station.tag,
        anchor_hold_n=hold_n,
        anchor_ratio=None if hold_n is None else hold_n / sudden_n,
    )


def tracks_parted(scene: Scene) -> list[TrackParted]:
    """The track line parts: what the ferry lines and their anchors then hold, at every site.

    With the heaviest boat at its farthest and the held one at its nearest, over the carriage's travel, from
    where the slackest and the tightest line held the ring.

    Raises
    ------
    OutOfRange, NoSolution
        From `track_lost`.
    """
    near, far = _ferries(scene, _PARTED, _LOOKED_AT)
    rest = track_lost(
        scene.boat(_PARTED, _LOOKED_AT),
        ferry_near=near,
        ferry_far=far,
        ring=scene.ring(_PARTED, _LOOKED_AT),
        strand_m=scene.of(scene.strand_m, _PARTED, _LOOKED_AT),
    )
    near_n, far_n, drift_m = (most.max(axis=1) for most in (rest.near_n, rest.far_n, rest.drift_m))
    return [
        TrackParted(
            drift_m=float(drift_m[site]),
            lines=(
                _back_up(context, scene, site, bank="near", load_n=float(near_n[site])),
                _back_up(context, scene, site, bank="far", load_n=float(far_n[site])),
            ),
            factor_needed=context.policy.if_lost.factor_back_up,
        )
        for site, context in enumerate(scene.contexts)
    ]


def _carriages(scene: Scene) -> HungCarriage:
    """Of every site at the far end of its travel: the heaviest boat at its farthest, the slackest line."""
    last = slice(-1, None)
    ropes = scene.rigged.ropes
    set_n = np.array([[one.haul.least_n] for one in scene.mechanics])
    track = TrackLine(
        span_m=scene.of_sites(Of.SPAN),
        rise_m=scene.of_sites(Of.RISE),
        rope=Rope(
            strength_n=scene.mechanics[0].rope.strength_n,
            weight_n_m=scene.of_sites(Of.WEIGHT),
            stiffness_n=ropes.low_n[:, np.newaxis],
        ),
        pretension_n=set_n,
        seating_m=ropes.seating_m[:, np.newaxis],
    )
    return HungCarriage(
        track=track,
        near_tie_height_m=scene.of_sites(Of.NEAR_TIE),
        ring_below_line_m=scene.of_sites(Of.RING_BELOW),
        boat=scene.boat(_RUN, last),
        ferry=_ferries(scene, _RUN, last)[0],
        ring=scene.ring(_RUN, last),
        strand_m=scene.of(scene.strand_m, _RUN, last),
    )


def _lost_ground(setup: CarriageSetup, run: Runaway, site: int) -> shapely.Geometry:
    """Ground that ring, boat, up-down line and near ferry line of a site may sweep [m]."""
    skew = radians(setup.skew_deg)
    rings = np.column_stack([run.path.ring.x_m[site], run.path.ring.y_m[site]])
    boats = rings + run.path.away_m[site, :, np.newaxis] * np.array([sin(skew), cos(skew)])
    return shapely.union_all(
        [
            mesh_ground(np.stack([rings, boats])),
            *(
                swept_by_line((station.x_m, station.y_m), rings)
                for station in (setup.up_down, setup.ferry_near)
            ),
        ]
    )


def far_ferries_lost(scene: Scene) -> tuple[list[FarFerryLost], list[shapely.Geometry]]:
    """The far ferry line is lost with the carriage at the far end of its travel, at every site.

    Returns
    -------
    where each carriage runs to, and the ground it may sweep

    Raises
    ------
    OutOfRange, NoSolution
        From `ferry_lost`.
    """
    run = ferry_lost(_carriages(scene), places=_RUN_PLACES, still=_STILL)
    setups = [one.site.setup for one in scene.mechanics]
    grounds = [_lost_ground(setup, run, site) for site, setup in enumerate(setups)]
    columns = zip(
        scene.travel_m[:, 1].tolist(),
        run.rest_m.tolist(),
        run.at_end.tolist(),
        run.swept_from_m.tolist(),
        run.swept_to_m.tolist(),
        zip(run.boat_x_m.tolist(), run.boat_y_m.tolist(), strict=True),
        grounds,
        strict=True,
    )
    lost = [
        FarFerryLost(
            from_m=from_m,
            rest_m=rest_m,
            at_end=at_end,
            swept_from_m=swept_from_m,
            swept_to_m=swept_to_m,
            boat_at=boat_at,
            ground=ground_of(ground),
        )
        for from_m, rest_m, at_end, swept_from_m, swept_to_m, boat_at, ground in columns
    ]
    return lost, grounds
