"""Hydraulic geometry against its founders' exponents and a river's own measurements."""

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from atlas.records import Access, FlowNote
from atlas.water import (
    StageSettings,
    fit_power,
    river_model,
    river_state,
    surface_from_section_mean_m_s,
    surface_from_vertical_mean_m_s,
)

NASHUA = Path(__file__).parents[3] / "shared" / "data" / "usgs_01096500_measurements.csv"

# Nashua River at East Pepperell MA, USGS 01096500, field measurements (public domain): discharge [m3/s],
# width [m], mean depth [m], mean velocity [m/s]. Every 13th of 275 in order of discharge.
TYPED = np.array(
    (
        (0.540852, 20.7264, 0.232186, 0.112776),
        (1.46115, 21.4884, 0.311717, 0.219456),
        (2.5202, 24.5669, 0.412198, 0.249936),
        (3.79446, 32.9184, 0.417689, 0.27432),
        (4.89881, 21.8542, 0.480368, 0.466344),
        (6.17307, 22.4028, 0.530808, 0.51816),
        (6.90931, 31.6992, 0.480646, 0.454152),
        (8.04198, 26.1518, 0.454713, 0.676656),
        (9.25961, 38.4048, 0.471714, 0.509016),
        (10.4772, 29.6266, 0.624024, 0.566928),
        (12.1762, 27.0053, 0.629553, 0.71628),
        (15.0646, 25.7251, 0.689772, 0.850392),
        (17.16, 30.48, 0.630936, 0.893064),
        (20.7279, 30.48, 0.850392, 0.798576),
        (23.4463, 29.5656, 0.94268, 0.841248),
        (27.5523, 30.48, 1.08204, 0.844296),
        (31.998, 31.6992, 1.13714, 0.890016),
        (40.4931, 32.004, 1.13792, 1.16129),
        (55.2179, 33.8328, 1.53498, 1.06375),
        (67.1109, 44.8056, 1.44313, 1.03937),
        (114.966, 32.9184, 2.18158, 1.6063),
        (214.359, 48.4632, 3.20136, 1.37465),
    )
)
# log-log least squares over all 275, printed by the AHGestimation package (read): w, d, v = a Q^b
PUBLISHED = {1: (22.615, 0.1145), 2: (0.2018, 0.4794), 3: (0.2179, 0.4057)}


@pytest.fixture(scope="module")
def measurements():
    if not NASHUA.exists():
        pytest.skip("the public measurements of USGS 01096500 are not beside this checkout")
    with NASHUA.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return np.array([[float(row[key]) for key in ("Q_cms", "TW_m", "Y_m", "V_ms")] for row in rows])


@pytest.mark.parametrize("column", PUBLISHED)
def test_nashua_coefficients(measurements, column):
    fit = fit_power(discharge_m3_s=measurements[:, 0], value=measurements[:, column])
    coefficient, exponent = PUBLISHED[column]
    # printed to four decimals, the width's coefficient to three
    assert fit.coefficient == pytest.approx(coefficient, abs=5.1e-4 if column == 1 else 5.1e-5)
    assert fit.exponent == pytest.approx(exponent, abs=5.1e-5)


def test_nashua_intervals_hold_for_rows_the_fit_has_not_seen(measurements):
    # held out by fifths, in the file's order of years; USGS field measurements (public domain)
    inside = []
    for part in range(5):
        held = np.arange(len(measurements)) % 5 == part
        fit = fit_power(discharge_m3_s=measurements[~held, 0], value=measurements[~held, 3])
        _, low, high = fit.predict(discharge_m3_s=measurements[held, 0], level=0.9)
        inside += [(low <= measurements[held, 3]) & (measurements[held, 3] <= high)]
    # 90 % is promised; real scatter has heavier tails than the normal law, so 5 % either way
    assert 0.85 <= np.concatenate(inside).mean() <= 0.97


@pytest.mark.parametrize("column", PUBLISHED)
def test_nashua_typed_rows_agree_with_the_published_law(column):
    fit = fit_power(discharge_m3_s=TYPED[:, 0], value=TYPED[:, column])
    coefficient, exponent = PUBLISHED[column]
    # 22 rows of 275: their own standard errors are at most 0.030 in the exponent and, at the mean
    # discharge of the rows, 4 % in the value; three of them
    assert fit.exponent == pytest.approx(exponent, abs=0.09)
    middle, _, _ = fit.predict(discharge_m3_s=13.0)
    assert middle == pytest.approx(coefficient * 13.0**exponent, rel=0.12)


def test_exponents_of_width_depth_and_velocity_add_up_to_one():
    # continuity, Q = w d v: Leopold and Maddock, USGS PP 252 (1953)
    fits = [fit_power(discharge_m3_s=TYPED[:, 0], value=TYPED[:, column]) for column in (1, 2, 3)]
    # 0.5 %: the rows keep Q = w d v to 1 %, one to 4 %
    assert sum(fit.exponent for fit in fits) == pytest.approx(1.0, abs=0.005)


def test_doubled_discharge():
    # Leopold and Maddock, USGS PP 252 (1953), at-a-station exponents 0.26, 0.40, 0.34 (read second-hand):
    # twice the discharge is width x 1.197, depth x 1.320, velocity x 1.266
    note = FlowNote(date(2026, 5, 2), 1.0, False, 20.0, 30.0, 2.0, None, None, 1.0)
    access = Access(**dict.fromkeys(Access.__dataclass_fields__) | {"stage_m": 1.0, "flow_notes": (note,)})
    model = river_model(access, width_m=30.0, settings=StageSettings())
    state = river_state(model, rise_m=0.320)
    # printed to three decimals, and the half digit of the depth comes on top
    assert state.surface_speed_m_s / 2.0 == pytest.approx(1.266, abs=1e-3)
    assert state.width_m / 30.0 == pytest.approx(1.197, abs=1e-3)


def test_mean_of_a_vertical_is_085_of_its_surface_speed():
    # USGS WSP 2175 (read): coefficient 0.85 for a vertical
    assert surface_from_vertical_mean_m_s(0.85) == pytest.approx(1.0)
    # entropy-velocity literature (value from memory): section mean over fastest surface thread about 0.65
    assert surface_from_section_mean_m_s(0.65) == pytest.approx(1.0)
