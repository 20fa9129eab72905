"""Hydraulic geometry against its founders' exponents and a river's own measurements."""

import csv
import tomllib
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
FACTS = tomllib.loads(Path(__file__).with_name("rivers.toml").read_text(encoding="utf-8"))
TYPED = np.array(FACTS["nashua"]["rows"])
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


@pytest.mark.parametrize("column", PUBLISHED)
def test_nashua_typed_rows_agree_with_the_published_law(column):
    fit = fit_power(discharge_m3_s=TYPED[:, 0], value=TYPED[:, column])
    coefficient, exponent = PUBLISHED[column]
    # 69 rows of 275: their own standard errors are at most 0.031 in the exponent and, at the mean
    # discharge of the rows, 4 % in the value; three of them
    assert fit.exponent == pytest.approx(exponent, abs=0.093)
    middle, _, _ = fit.predict(discharge_m3_s=13.0)
    assert middle == pytest.approx(coefficient * 13.0**exponent, rel=0.12)


def test_exponents_of_width_depth_and_velocity_add_up_to_one():
    # continuity, Q = w d v: Leopold and Maddock, USGS PP 252 (1953)
    fits = [fit_power(discharge_m3_s=TYPED[:, 0], value=TYPED[:, column]) for column in (1, 2, 3)]
    # 0.5 %: the rows keep Q = w d v to 4.5 %, nearly all to 1 %
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
