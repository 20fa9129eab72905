"""A line under a load even along its span, as the hand-over check takes it."""

import pytest

from atlas.rigging.hand_over import hand_over_bow_m, hand_over_pull_n


def test_a_cable_as_a_parabola():
    """Beer & Johnston, Vector Mechanics: Statics, 7.107 (inputs read, answers from memory), turned level.

    0.6 kg/m over 60 m, sag 1.5 m: Tmax 1775 N, printed to four figures.
    """
    load = {"width_m": 60.0, "sag_share": 1.5 / 60.0}
    assert float(hand_over_pull_n(drag_n_m=0.6 * 9.81, **load)) == pytest.approx(1775, abs=0.5)
    assert float(hand_over_bow_m(**load)) == pytest.approx(1.5)
