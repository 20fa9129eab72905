"""Single cable segments against published and independently computed values."""

import numpy as np
import pytest

from atlas.rigging import hang_segment

# NREL MoorPy, tests/test_catenary.py (read): run, rise, length, EA, weight a metre in N and m;
# then horizontal tension and vertical force at both ends. The printed values were found with the
# solver's own tolerance on position, which allows 1e-5 of the force.
MOORPY_CASES = [
    ((400, 200, 500, 7.51e12, 200), (43694.58, -22365.60, 77634.40)),
    ((89.9, 59.2, 130, 7.51e8, 881.05), (31373.229, -26650.341, 87886.159)),
    (
        (246.22420940032947, 263.55766330843164, 360.62566262396927, 7e8, 3.08735),
        (71116.8, 75567.3, 76680.6),
    ),
    (
        (119.3237383002058, 52.49668849178113, 130.36140355177318, 7e8, 34.91060469991227),
        (72694.15, 29715.2, 34266.2),
    ),
]


@pytest.mark.parametrize(("segment", "forces"), MOORPY_CASES)
def test_slack_and_nearly_taut_segments(segment, forces):
    run, rise, length, stiffness, weight = segment
    found = hang_segment(
        run_m=run, rise_m=rise, unstretched_m=length, weight_n_m=weight, stiffness_n=stiffness
    )
    ours = (float(found.horizontal_n), float(found.first_vertical_n), float(found.last_vertical_n))
    assert ours == pytest.approx(forces, rel=1e-5)


# Exact elastic catenary (Irvine, Cable Structures), rope of 0.75 N/m and EA 2.0e5 N: run, rise, length;
# horizontal tension to six decimals. The PyPI library moorpy agrees to 8e-8 N.
ROPE_CASES = [
    ((60, 0, 60.3), 122.563733),
    ((60, 0, 60.0), 256.200666),
    ((60, 0, 59.8), 702.816694),
    ((60, 4, 60.3), 153.796794),
    ((60, -6, 60.6), 122.085332),
    ((30, 2, 30.2), 66.359333),
]


@pytest.mark.parametrize(("segment", "horizontal"), ROPE_CASES)
def test_rope_like_segments(segment, horizontal):
    run, rise, length = segment
    found = hang_segment(run_m=run, rise_m=rise, unstretched_m=length, weight_n_m=0.75, stiffness_n=2.0e5)
    assert float(found.horizontal_n) == pytest.approx(horizontal, abs=6e-7)  # half a unit of the last digit


@pytest.mark.filterwarnings("ignore")  # moorpy and its plotting parts warn on import
def test_random_segments_agree_with_moorpy():
    catenary = pytest.importorskip(
        "moorpy.Catenary", reason="moorpy not installed: the extra test-moorpy brings it"
    ).catenary
    random = np.random.default_rng(5)
    run = random.uniform(10, 250, 150)
    rise = run * random.uniform(-0.15, 0.15, 150)
    weight = random.uniform(0.5, 2.0, 150)
    stiffness = np.exp(random.uniform(np.log(15e3), np.log(8e5), 150))
    length = np.hypot(run, rise) * random.uniform(0.97, 1.1, 150)
    found = hang_segment(
        run_m=run, rise_m=rise, unstretched_m=length, weight_n_m=weight, stiffness_n=stiffness
    )
    for i in range(150):
        near_x, near_z, far_x, far_z, _ = catenary(
            run[i], rise[i], length[i], stiffness[i], weight[i], CB=-1e9, Tol=1e-10
        )
        # forces on the line's ends there; 1e-10 m through EA / length is 1e-5 N at most
        theirs = (near_x, near_z, -far_x, -far_z)
        horizontal = found.horizontal_n[i]
        ours = (horizontal, found.first_vertical_n[i], horizontal, found.last_vertical_n[i])
        assert theirs == pytest.approx(ours, rel=1e-6, abs=1e-5)
