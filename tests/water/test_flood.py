"""Where a stage lies among flood categories."""

import pytest

from atlas.records import FloodCategory, FloodLevel
from atlas.water import flood_place

ACTION, MINOR, MAJOR = (
    FloodLevel(FloodCategory.ACTION, 2.6, None),
    FloodLevel(FloodCategory.MINOR, 3.0, 200.0),
    FloodLevel(FloodCategory.MAJOR, 4.4, None),
)
FLOW_ALONE = FloodLevel(FloodCategory.MODERATE, None, 300.0)
FLOOD = (ACTION, MINOR, FLOW_ALONE, MAJOR)


@pytest.mark.parametrize(
    ("stage", "reached", "following", "to_next"),
    [
        (2.0, None, ACTION, 0.6),
        (2.6, ACTION, MINOR, 0.4),
        (3.5, MINOR, MAJOR, 0.9),
        (4.4, MAJOR, None, None),
        (9.0, MAJOR, None, None),
    ],
)
def test_categories_about_a_stage(stage, reached, following, to_next):
    place = flood_place(FLOOD, stage_m=stage)
    assert (place.reached, place.following) == (reached, following)
    assert place.to_next_m == (None if to_next is None else pytest.approx(to_next))


@pytest.mark.parametrize("flood", [(), (FLOW_ALONE,)])
def test_without_stages_nothing_is_said(flood):
    assert flood_place(flood, stage_m=2.0) is None
