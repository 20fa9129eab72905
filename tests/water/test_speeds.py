import pytest

from atlas.faults import OutOfRange
from atlas.water import surface_from_section_mean_m_s, surface_from_vertical_mean_m_s


def test_policy_may_set_the_ratio():
    assert surface_from_vertical_mean_m_s(1.8, ratio=0.9) == pytest.approx(2.0)
    assert surface_from_section_mean_m_s(1.2, ratio=0.6) == pytest.approx(2.0)


def test_a_section_mean_tells_of_faster_water_than_the_same_vertical_mean():
    assert surface_from_section_mean_m_s(1.0) > surface_from_vertical_mean_m_s(1.0) > 1.0


@pytest.mark.parametrize("ratio", [0.0, -0.5, 1.01, float("nan")])
@pytest.mark.parametrize("convert", [surface_from_vertical_mean_m_s, surface_from_section_mean_m_s])
def test_no_mean_is_faster_than_its_surface(convert, ratio):
    with pytest.raises(OutOfRange) as raised:
        convert(1.0, ratio=ratio)
    assert str(raised.value) == f"ratio of mean to surface speed {ratio:g}; allowed: above 0, at most 1"
