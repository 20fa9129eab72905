"""Rope stiffness from published elongations."""

import pytest

from atlas.rigging.rope import stiffness_from_10pct, stiffness_from_50_150kg


@pytest.mark.parametrize(("percent", "kilonewton"), [(3, 133), (4, 100), (6, 66.7)])
def test_stiffness_of_a_40_kn_rope(percent, kilonewton):
    """EA = 0.10 x strength / elongation, from the elongation at 10 % of strength of CI 1801.

    Cordage Institute CI 1801 bounds the elongation (read); the stiffness is computed from it and
    printed to three figures, hence the tolerance.
    """
    stiffness = stiffness_from_10pct(strength_n=40e3, elongation=percent / 100)
    assert stiffness / 1e3 == pytest.approx(kilonewton, rel=0.004)


def test_stiffness_of_an_en_1891_rope_of_3_5_percent():
    """EN 1891: elongation between 50 and 150 kg. 981 N / 0.035 = 28 kN, to two figures."""
    assert stiffness_from_50_150kg(elongation=0.035) / 1e3 == pytest.approx(28, abs=0.5)


def test_the_softest_rope_en_1891_type_a_admits():
    """EN 1891 type A: at most 5 % between 50 and 150 kg (read in summaries): 981 N / 0.05 = 19.6 kN."""
    assert stiffness_from_50_150kg(elongation=0.05) / 1e3 == pytest.approx(19.6, abs=0.05)
