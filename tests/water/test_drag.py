import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.water import drag_n, water_density_kg_m3

sizes = st.floats(0.01, 10.0)


@given(area=sizes, speed=sizes, times=st.floats(0.1, 5.0))
def test_drag_goes_with_the_square_of_speed(area, speed, times):
    one = drag_n(area_cd_m2=area, speed_m_s=speed, density_kg_m3=1000.0)
    assert drag_n(area_cd_m2=area, speed_m_s=times * speed, density_kg_m3=1000.0) == pytest.approx(
        times**2 * one
    )


def test_drag_is_the_power_of_the_stopped_water_over_its_speed():
    # 1 m2 stops 2 m3/s of 2 m/s: 0.5 x 2000 kg/s x 4 m2/s2 = 4 kW, over 2 m/s
    assert drag_n(area_cd_m2=1.0, speed_m_s=2.0, density_kg_m3=1000.0) == 2000.0


def test_drag_broadcasts():
    drag = drag_n(area_cd_m2=np.array([[0.3], [0.831]]), speed_m_s=[1.0, 2.0, 3.0], density_kg_m3=1000.0)
    assert drag.shape == (2, 3)
    assert drag[1, 2] == pytest.approx(0.5 * 1000.0 * 0.831 * 9.0)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf")])
def test_drag_out_of_range(bad):
    with pytest.raises(OutOfRange) as raised:
        drag_n(area_cd_m2=0.3, speed_m_s=bad, density_kg_m3=1000.0)
    assert str(raised.value) == f"drag: speed_m_s must be finite and not negative; got {bad}"


def test_water_is_heaviest_at_four_degrees():
    temperature = np.linspace(0.0, 10.0, 1001)
    density = water_density_kg_m3(temperature)
    assert temperature[density.argmax()] == pytest.approx(3.98, abs=0.01)
    assert np.all(np.diff(water_density_kg_m3(np.linspace(4.0, 40.0, 50))) < 0.0)


@pytest.mark.parametrize("bad", [-0.1, 40.5, float("nan")])
def test_density_out_of_range(bad):
    with pytest.raises(OutOfRange) as raised:
        water_density_kg_m3(bad)
    assert str(raised.value) == f"water density: temperature {bad} C; allowed: 0 to 40 C"
