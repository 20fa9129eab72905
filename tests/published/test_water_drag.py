"""Force of a current, and the density of water, against published tables."""

import numpy as np
import pytest

from atlas.water import drag_n, water_density_kg_m3

MPH_M_S, LBF_N = 0.44704, 4.4482216152605  # exact: NIST SP 811 (value from memory)


@pytest.mark.parametrize(
    ("area_cd_m2", "force_lbf"),
    [
        (0.0831, (16.8, 67.2, 151.0, 269.0)),
        (0.1662, (33.6, 134.0, 302.0, 538.0)),
        (0.8310, (168.0, 672.0, 1512.0, 2688.0)),
    ],
    ids=["legs", "body", "swamped boat"],
)
def test_force_of_current_table(area_cd_m2, force_lbf):
    # river-rescue textbook table, credited to Ohio DNR, Division of Watercraft (read; credit from memory):
    # lbf at 3, 6, 9 and 12 mph. The areas are not in the table: each is one figure for four cells
    speed_m_s = MPH_M_S * np.array((3.0, 6.0, 9.0, 12.0))
    drag = drag_n(area_cd_m2=area_cd_m2, speed_m_s=speed_m_s, density_kg_m3=1000.0)
    # 0.4 %: three printed digits, and cells rounded from one another
    assert drag / LBF_N == pytest.approx(np.array(force_lbf), rel=0.004)


@pytest.mark.parametrize(
    ("temperature_c", "density_kg_m3"), [(0.0, 999.84), (10.0, 999.70), (15.0, 999.10), (20.0, 998.21)]
)
def test_density_of_water(temperature_c, density_kg_m3):
    # CRC Handbook / IAPWS tables (read); printed to 0.01 kg/m3
    assert water_density_kg_m3(temperature_c) == pytest.approx(density_kg_m3, abs=0.01)
