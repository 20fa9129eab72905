"""If the track line parts: the ring hangs on the two ferry lines as a tether, the boat below it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.rigging.ferry import AnyStation, toward
from atlas.rigging.hung_boat import FerryHeld, HungBoat, RingPlace
from atlas.rigging.rope_net import Net, elongations, settle_net
from atlas.rigging.shown import FloatArray, Shown, require
from atlas.rigging.states import EndPull

__all__ = ["TrackLost", "track_lost"]

_AWAY_M = Shown("strand_m", 0.5, 200.0, "m")


@dataclass(frozen=True, slots=True, eq=False)
class TrackLost:
    """Ring and boat at rest on the ferry lines; every array has the shape of the ring places given.

    Attributes
    ----------
    ring : where the ring comes to rest
    boat_x_m, boat_y_m : where the bow comes to rest [m]
    drift_m : how far the bow moves until then, in plan [m]
    near_n, far_n, up_down_n : tension of the lines at rest [N]
    near_pull, far_pull : on the ferry stations' anchors [N]
    """

    ring: RingPlace
    boat_x_m: FloatArray
    boat_y_m: FloatArray
    drift_m: FloatArray
    near_n: FloatArray
    far_n: FloatArray
    up_down_n: FloatArray
    near_pull: EndPull
    far_pull: EndPull


def track_lost(
    boat: HungBoat, *, ferry_near: FerryHeld, ferry_far: FerryHeld, ring: RingPlace, strand_m: npt.ArrayLike
) -> TrackLost:
    """Rest of ring and boat after the track line has parted, ferry lines and up-down line held as they were.

    Parameters
    ----------
    boat : what hangs below; of many sites as arrays that broadcast with the ring places, as all else here
    ferry_near, ferry_far : the ferry lines
    ring : where the carriage ring was
    strand_m : how far below it the bow was, in plan; broadcasts with the ring places [m]

    Raises
    ------
    OutOfRange
        For a strand outside 0.5 to 200 m, and where `HungBoat` or `FerryHeld` says.
    NoSolution
        Where the forces do not settle; no such case is known.

    Notes
    -----
    Equilibrium at rest; lines straight, elastic, without weight beyond the half that is in the carriage's.
    The jerk on the way there is not in it. A load put suddenly on a taut elastic line pulls at most twice as
    hard as at rest (S. Timoshenko, Strength of Materials, 1, on impact). Stepped through time, a boat whose
    drag goes by its speed through the water pulled 1.1 to 1.4 times as hard with no slack in the lines, up
    to 1.9 times with 3 m of it. The less slack and the stiffer the lines, the flatter they lie and the more
    they carry.
    """
    x, y, z, away = np.broadcast_arrays(
        *(np.asarray(value, dtype=np.float64) for value in (ring.x_m, ring.y_m, ring.z_m)),
        require(_AWAY_M, strand_m),
    )
    before = RingPlace(x, y, z)
    flow_x, flow_y = boat.flow
    start = np.stack([x, y, z, x + away * flow_x, y + away * flow_y], axis=-1).reshape(-1, 5)
    net = _net(boat, ferry_near, ferry_far, before, away)
    rest = settle_net(net, start)
    tension = net.stiffness_n_m * np.maximum(elongations(net, rest), 0.0)
    there = RingPlace(*(rest[:, axis].reshape(x.shape) for axis in range(3)))
    near_n, far_n, up_down_n = (tension[:, line].reshape(x.shape) for line in range(3))
    return TrackLost(
        ring=there,
        boat_x_m=rest[:, 3].reshape(x.shape),
        boat_y_m=rest[:, 4].reshape(x.shape),
        drift_m=np.hypot(*(rest - start)[:, 3:].T).reshape(x.shape),
        near_n=near_n,
        far_n=far_n,
        up_down_n=up_down_n,
        near_pull=_pull(ferry_near.station, there, near_n),
        far_pull=_pull(ferry_far.station, there, far_n),
    )


def _net(
    boat: HungBoat, ferry_near: FerryHeld, ferry_far: FerryHeld, ring: RingPlace, away_m: FloatArray
) -> Net:
    """The lines as they were held: each as long as it was, less what its tension had stretched it."""
    slant_m = boat.strands_m(ring, away_m=away_m)
    pull_n = np.asarray(boat.drag_n) * slant_m / away_m / boat.bow_strands
    up_down = (_distance_m(boat.up_down, ring) + boat.bow_strands * slant_m) / (
        1.0 + pull_n / boat.stiffness_n
    )
    ferries = [ferry.rope_out_m(_distance_m(ferry.station, ring)) for ferry in (ferry_near, ferry_far)]

    def flat(*values: float | FloatArray) -> FloatArray:
        """Values of every state, one after the other in a last axis."""
        wide = [np.broadcast_to(value, away_m.shape) for value in values]
        return np.stack(wide, axis=-1).reshape(-1, len(values))

    lengths = flat(*ferries, up_down)
    places = [(station.x_m, station.y_m, station.z_m) for station in (ferry_near.station, ferry_far.station)]
    places.append((boat.up_down.x_m, boat.up_down.y_m, boat.up_down.z_m))
    drag_n = np.asarray(boat.drag_n)
    return Net(
        stations=np.stack([flat(*place) for place in places], axis=1),
        strands=np.array([0.0, 0.0, float(boat.bow_strands)]),
        lengths_m=lengths,
        stiffness_n_m=flat(ferry_near.stiffness_n, ferry_far.stiffness_n, boat.stiffness_n) / lengths,
        weight_n=flat(boat.weight_n)[:, 0],
        drag_n=flat(*(drag_n * way for way in boat.flow)),
        bow_ring_m=flat(boat.bow_ring_m)[:, 0],
    )


def _distance_m(station: AnyStation, ring: RingPlace) -> FloatArray:
    return toward(station, x_m=ring.x_m, y_m=ring.y_m, z_m=ring.z_m)[3]


def _pull(station: AnyStation, ring: RingPlace, tension_n: FloatArray) -> EndPull:
    """On the anchor, toward the ring."""
    to_station = toward(station, x_m=ring.x_m, y_m=ring.y_m, z_m=ring.z_m)
    return EndPull(*(-tension_n * part for part in to_station[:3]))
