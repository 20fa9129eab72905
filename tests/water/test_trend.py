"""How fast a river rises, by hand."""

import pytest

from atlas.faults import OutOfRange
from atlas.water import rise_rate_m_s

HOUR = 3600.0


def rate(*readings):
    before, stage = zip(*readings, strict=True)
    return rise_rate_m_s(before_s=[hours * HOUR for hours in before], stage_m=stage)


@pytest.mark.parametrize(
    ("readings", "metres_an_hour"),
    [
        # 0.3 m over three hours, 0.1 over the last
        ([(0.0, 2.0), (1.0, 1.9), (3.0, 1.7)], 0.1),
        # just begun: 0.2 m in the last hour, level before
        ([(0.0, 2.0), (1.0, 1.8), (2.0, 1.8), (3.0, 1.8)], 0.2),
        # slowing down: the faster of the two counts
        ([(0.0, 2.0), (1.0, 1.95), (3.0, 1.4)], 0.2),
        # falling
        ([(0.0, 1.6), (1.0, 1.7), (3.0, 2.0)], -0.1),
        # in any order; what lies more than three hours back does not count
        ([(5.0, 0.1), (1.0, 1.9), (0.0, 2.0)], 0.1),
        ([(0.0, 2.0), (0.5, 1.9)], 0.2),
    ],
)
def test_the_faster_of_one_hour_and_three(readings, metres_an_hour):
    assert rate(*readings) * HOUR == pytest.approx(metres_an_hour)


@pytest.mark.parametrize("readings", [[(0.0, 2.0)], [(0.0, 2.0), (0.2, 1.0)], [(0.0, 2.0), (4.0, 1.0)]])
def test_no_reading_to_tell_it_by(readings):
    assert rate(*readings) is None


@pytest.mark.parametrize(
    ("before", "stage", "told"),
    [
        ([0.0], [float("nan")], "finite readings are needed, a time for each stage"),
        ([0.0, 1.0], [2.0], "finite readings are needed, a time for each stage"),
        ([60.0], [2.0], "the latest reading is needed, at 0 s"),
        ([], [], "the latest reading is needed, at 0 s"),
        ([-5.0, 0.0], [2.0, 2.0], "the latest reading is needed, at 0 s"),
    ],
)
def test_readings_that_cannot_be_used(before, stage, told):
    with pytest.raises(OutOfRange) as raised:
        rise_rate_m_s(before_s=before, stage_m=stage)
    assert str(raised.value) == f"rise of the water: {told}"
