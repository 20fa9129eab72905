"""Two lines that hold a load between them, as the ferry lines do when the track line has parted."""

import numpy as np
import pytest

from atlas.rigging.ferry import StationPoint
from atlas.rigging.hung_boat import FerryHeld, HungBoat, RingPlace
from atlas.rigging.track_lost import track_lost

LBF_N = 4.4482216152605


@pytest.mark.parametrize(("angle_deg", "each_lb"), [(30, 52), (60, 58), (90, 71), (120, 100), (150, 193)])
def test_load_of_each_line_by_the_included_angle(angle_deg, each_lb):
    """Rescue handbook table (read), 1 / (2 cos(a / 2)): 100 lb between two lines; printed to 1 lb.

    The boat pulls 200 lb on two strands, and their working strand, straight upriver, takes 100 lb of it:
    100 lb is left for the ferry lines. All lies at one height; the lines hardly stretch.
    """
    half = np.radians(angle_deg / 2.0)
    length = 20.0
    near, far = (
        StationPoint(20.0 + side * length * np.sin(half), -length * np.cos(half), 0.3) for side in (-1, 1)
    )
    found = track_lost(
        HungBoat(
            drag_n=200.0 * LBF_N,
            skew_deg=0.0,
            weight_n=10.0,
            bow_ring_m=0.3,
            up_down=StationPoint(20.0, -40.0, 0.3),
            bow_strands=2,
            stiffness_n=1e8,
        ),
        ferry_near=FerryHeld(near, 1e8),
        ferry_far=FerryHeld(far, 1e8),
        ring=RingPlace(np.array([20.0]), np.array([0.0]), np.array([0.3])),
        strand_m=10.0,
    )
    assert found.near_n[0] / LBF_N == pytest.approx(each_lb, abs=1.0)
    assert found.far_n[0] == pytest.approx(found.near_n[0], rel=1e-6)
