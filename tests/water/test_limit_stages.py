"""The stage at which a speed is reached, against the made river's law worked backwards."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from atlas.records import FieldMeasurement, GaugedSite, GaugeRecord, GaugeRelation
from atlas.water import StageSettings, stages_at_speed
from atlas.water.gauged import gauged_river

STAGES = np.array((0.9, 1.1, 1.4, 1.8, 2.3, 2.9, 3.6))
NOISE = (1.1, 0.9, 1.05, 0.94, 1.08, 0.95, 1.0)


@pytest.fixture
def river(access, note):
    """Q = 12 (h - 0.4)^1.8, v = 0.3 Q^0.4 / 0.65 at the surface, with scatter where asked."""

    def make(noise=(1.0,) * 7):
        rows = []
        for stage, by in zip(STAGES, noise, strict=True):
            flow = 12.0 * (stage - 0.4) ** 1.8
            fast = 0.3 * flow**0.4 * by
            rows.append(FieldMeasurement(date(2020, 1, 1), stage, flow, 20.0, flow / fast, fast))
        gauged = GaugedSite(
            GaugeRecord("G", None, None, None, tuple(rows)), GaugeRelation("A-1", 1.0, same_section=True)
        )
        return gauged_river(replace(access(note(1.4, 0.5), stage_m=1.4), gauged=gauged), StageSettings())

    return make


def test_without_scatter_it_is_the_law_backwards(river):
    # v = 0.3 (12 z^1.8)^0.4 / 0.65, so z = (((0.65 v / 0.3)^2.5) / 12)^(1 / 1.8)
    found = stages_at_speed(river(), surface_speed_m_s=2.0)
    stage = 0.4 + ((0.65 * 2.0 / 0.3) ** 2.5 / 12.0) ** (1.0 / 1.8)
    # looked for every 2.7 mm and straight between
    assert (found.low_m, found.middle_m, found.high_m) == pytest.approx((stage,) * 3, abs=1e-4)


def test_at_the_ends_of_the_interval_the_speeds_ends_are_the_speed(river):
    made = river(NOISE)
    found = stages_at_speed(made, surface_speed_m_s=1.6)
    assert found.low_m < found.middle_m < found.high_m
    for stage, end in ((found.low_m, 2), (found.middle_m, 0), (found.high_m, 1)):
        assert float(made.at(stage).speed_m_s[end]) == pytest.approx(1.6, rel=1e-4)


def test_a_speed_that_is_not_reached_and_one_always_passed(river):
    made = river(NOISE)
    assert stages_at_speed(made, surface_speed_m_s=50.0).middle_m is None
    found = stages_at_speed(made, surface_speed_m_s=0.05)
    assert (found.low_m, found.middle_m, found.high_m) == (made.lowest_m,) * 3
