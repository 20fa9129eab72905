"""The pulse on a taut string: textbook wave speed sqrt(T / m)."""

import pytest

from atlas.rigging.pulse import hanging_pulse_s, pulse_s


def test_time_of_a_pulse_on_a_taut_string():
    """Textbook wave speed sqrt(T / m): 42 m, 0.104 kg/m, 2000 N: 0.606 s, ten returns 6.06 s; as printed."""
    string = {"length_m": 42.0, "mass_kg_m": 0.104, "tension_n": 2000.0}
    assert float(pulse_s(**string, returns=1)) == pytest.approx(0.606, abs=5e-4)
    assert float(pulse_s(**string, returns=10)) == pytest.approx(6.06, abs=5e-3)


def test_the_track_line_of_that_weight_keeps_nearly_that_time():
    """The same line as it hangs: 4/3 f^2 quicker with f = 0.0013, and half the strain of 0.25 %: 0.15 %."""
    line = {"span_m": 42.0, "rise_m": 0.0, "weight_n_m": 0.104 * 9.80665, "stiffness_n": 8.0e5}
    found = float(hanging_pulse_s(**line, pretension_n=2000.0, wet_factor=1.0, returns=10))
    assert found == pytest.approx(6.06, rel=2.5e-3)
