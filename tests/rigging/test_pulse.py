import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal

from atlas.faults import OutOfRange
from atlas.rigging import hang_segment
from atlas.rigging.pulse import hanging_pulse_s, pulse_s, pulse_window
from atlas.rigging.segment import unstretched_for_tension_m

LINE = {"span_m": 42.0, "rise_m": 0.5, "weight_n_m": 1.02, "stiffness_n": 1.0e5}
LINES = st.fixed_dictionaries(
    {
        "span_m": st.floats(10, 150),
        "slope": st.floats(-0.15, 0.15),
        "weight_n_m": st.floats(0.5, 1.4),
        "stiffness_n": st.floats(15e3, 800e3),
        "pretension_n": st.floats(300, 8000),
    }
)


def rope(line):
    """Arguments of `hanging_pulse_s` for a drawn line, dry."""
    return {key: value for key, value in line.items() if key != "slope"} | {
        "rise_m": line["slope"] * line["span_m"]
    }


@pytest.mark.parametrize(("pretension", "rise"), [(600.0, 0.0), (2000.0, 4.0), (300.0, -3.0)])
def test_a_chain_of_beads_swings_in_the_same_time(pretension, rise):
    """The thirtieth sideways mode of 6000 beads on the hanging line: thirty halves of a wave in one way.

    The modes of a string whose tension changes along it come to the time of a pulse as their number grows,
    here to 1e-5; the beads slow the thirtieth by (30 pi / 12000)^2 / 6.
    """
    line = LINE | {"rise_m": rise}
    hung_line = {"run_m": 42.0, "rise_m": rise, "weight_n_m": 1.02, "stiffness_n": 1.0e5}
    arrays = {key: np.array(value) for key, value in hung_line.items()}
    length = unstretched_for_tension_m(**arrays, horizontal_n=np.array(pretension))
    hung = hang_segment(unstretched_m=length, **hung_line)
    beads = 6000
    step = float(length) / beads
    middles = step * (np.arange(beads) + 0.5)
    tension = np.hypot(hung.horizontal_n, hung.first_vertical_n + 1.02 * middles)
    springs = tension / (step * (1.0 + tension / 1.0e5))
    mass = 1.02 / 9.80665 * step
    omega2 = eigh_tridiagonal(
        (springs[:-1] + springs[1:]) / mass, -springs[1:-1] / mass, select="i", select_range=(29, 29)
    )[0][0]
    once = 2.0 * 30 * np.pi / np.sqrt(omega2)
    found = hanging_pulse_s(**line, pretension_n=pretension, wet_factor=1.0, returns=1)
    assert float(found) == pytest.approx(once, rel=3e-5)


@given(LINES)
@settings(deadline=None)
def test_the_taut_string_is_slow_by_a_share_of_the_sag(line):
    """With the stretched rope and the tension along the chord: from 0 to 4/3 f^2 over the hanging line's."""
    given_rope = rope(line)
    sag = line["weight_n_m"] * line["span_m"] / (8.0 * line["pretension_n"])
    assume(sag <= 0.1)
    exact = float(hanging_pulse_s(**given_rope, wet_factor=1.0, returns=7))
    # length along the hanging rope, by the parabola: chord (1 + 8/3 (sag cos2 / chord)^2)
    chord = np.hypot(line["span_m"], given_rope["rise_m"])
    slope = chord / line["span_m"]
    tension = line["pretension_n"] * slope
    stretched = 1.0 + tension / line["stiffness_n"]
    arc = chord * (1.0 + 8.0 / 3.0 * (sag / stretched / slope) ** 2)
    mass = line["weight_n_m"] / 9.80665 / stretched
    string = float(pulse_s(length_m=arc, mass_kg_m=mass, tension_n=tension, returns=7))
    # the parabola's own length is good to the fourth order of the sag
    rest = 20.0 * sag**4 + 1e-9
    assert -rest <= string / exact - 1.0 <= 4.0 / 3.0 * sag**2 + rest + 0.02 * sag**2


@given(LINES, st.floats(1.0, 2.0))
@settings(deadline=None)
def test_a_heavier_rope_is_slower_by_the_root_of_its_weight(line, wet):
    """But for the sag the weight adds, which makes the rope longer by 8/3 f^2 and the time a little more."""
    given_rope = rope(line) | {"weight_n_m": min(line["weight_n_m"], 1.0)}
    dry, soaked = (hanging_pulse_s(**given_rope, wet_factor=by, returns=1) for by in (1.0, wet))
    sag = wet * given_rope["weight_n_m"] * line["span_m"] / (8.0 * line["pretension_n"])
    share = float(soaked / dry) / np.sqrt(wet)
    assert 1.0 - 1e-12 <= share <= 1.0 + 8.0 / 3.0 * sag**2 * (1.0 + 20.0 * sag**2) + 1e-12


@given(LINES)
@settings(deadline=None)
def test_mirrored_line_keeps_its_time(line):
    there = rope(line)
    back = there | {"rise_m": -there["rise_m"]}
    one, other = (hanging_pulse_s(**each, wet_factor=1.0, returns=3) for each in (there, back))
    assert float(one) == pytest.approx(float(other), rel=1e-12)


@given(
    span=st.floats(12, 120),
    low=st.floats(400, 3000),
    ratio=st.floats(1.0, 4.0),
    wet_most=st.floats(1.0, 1.8),
    wet=st.floats(0, 1),
    at=st.floats(0.3, 2.0),
)
@settings(deadline=None)
def test_a_time_inside_the_window_is_a_tension_inside_the_window(span, low, ratio, wet_most, wet, at):
    """Whatever water the rope holds, however stiff it is: no tension outside gives a time inside."""
    line = {"span_m": span, "rise_m": 0.3, "weight_n_m": 1.02}
    high = min(low * ratio, 8000.0)
    bounds = (75e3, 133e3)
    window = pulse_window(**line, stiffness_n=bounds, wet_factor=wet_most, from_n=low, to_n=high, returns=10)
    tension = float(np.clip(low * ratio**at, 300.0, 8000.0))
    for stiffness in bounds:
        seconds = float(
            hanging_pulse_s(
                **line,
                stiffness_n=stiffness,
                pretension_n=tension,
                wet_factor=1.0 + wet * (wet_most - 1.0),
                returns=10,
            )
        )
        if window.from_s < seconds < window.to_s:
            assert low <= tension <= high


def test_the_window_of_a_dry_rope_by_hand():
    """2 N L sqrt(m / T) at both ends; 1 % for stretch and rise."""
    found = pulse_window(**LINE, wet_factor=1.0, from_n=1600.0, to_n=2650.0, returns=10)
    mass = 1.02 / 9.80665
    assert found.from_s == pytest.approx(20 * 42 * np.sqrt(mass / 2650), rel=0.015)
    assert found.to_s == pytest.approx(20 * 42 * np.sqrt(mass / 1600), rel=0.015)


def test_the_window_holds_for_both_bounds_of_the_stiffness():
    """Wet at the upper end never slower than its beginning, dry at the lower never quicker than its end."""
    bounds = np.array([50e3, 133e3])
    line = {key: value for key, value in LINE.items() if key != "stiffness_n"}
    found = pulse_window(**line, stiffness_n=bounds, wet_factor=1.2, from_n=1500.0, to_n=3000.0, returns=10)
    upper = hanging_pulse_s(**line, stiffness_n=bounds, pretension_n=3000.0, wet_factor=1.2, returns=10)
    lower = hanging_pulse_s(**line, stiffness_n=bounds, pretension_n=1500.0, wet_factor=1.0, returns=10)
    assert (upper <= found.from_s).all()
    assert (lower >= found.to_s).all()


def test_no_window_where_water_hides_the_tension():
    """Twice the weight needs twice the tension for the same time; a narrower window tells nothing."""
    narrow, wide = (
        pulse_window(**LINE, wet_factor=2.0, from_n=1500.0, to_n=to, returns=10) for to in (2900.0, 3100.0)
    )
    assert (bool(narrow.shows), bool(wide.shows)) == (False, True)
    assert narrow.wet_from_s > narrow.dry_to_s
    # each by itself still is a range
    assert narrow.dry_from_s < narrow.dry_to_s
    assert narrow.wet_from_s < narrow.wet_to_s


def test_windows_of_many_sites_are_those_of_each():
    spans, lows, highs = np.array([30.0, 42.0]), np.array([900.0, 1500.0]), np.array([2500.0, 3000.0])
    bounds = np.array([[75e3, 133e3], [50e3, 90e3]])
    rest = {"rise_m": 0.3, "weight_n_m": 1.02, "wet_factor": 1.4, "returns": 10}
    both = pulse_window(span_m=spans, stiffness_n=bounds, from_n=lows, to_n=highs, **rest)
    for site in range(2):
        one = pulse_window(
            span_m=spans[site], stiffness_n=bounds[site], from_n=lows[site], to_n=highs[site], **rest
        )
        for name in ("dry_from_s", "dry_to_s", "wet_from_s", "wet_to_s"):
            assert getattr(both, name)[site] == pytest.approx(float(getattr(one, name)), rel=1e-12)


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: pulse_s(length_m=42.0, mass_kg_m=0.104, tension_n=np.nan, returns=10),
            "tension_n: outside the range in which the answer was shown; got nan N; allowed 10 to 100000 N",
        ),
        (
            lambda: pulse_s(length_m=42.0, mass_kg_m=0.104, tension_n=2000.0, returns=0),
            "returns: got 0; allowed 1 to 100",
        ),
        (
            lambda: hanging_pulse_s(**LINE, pretension_n=2000.0, wet_factor=0.9, returns=1),
            "wet_factor: outside the range in which the answer was shown; got 0.9; allowed 1 to 2",
        ),
        (
            lambda: hanging_pulse_s(
                **(LINE | {"rise_m": 9.0}), pretension_n=2000.0, wet_factor=1.0, returns=1
            ),
            (
                "rise_m: outside the range in which the answer was shown; got 9 m; allowed -6.3 to 6.3 m "
                "(15 % of the span)"
            ),
        ),
        (
            lambda: pulse_window(**LINE, wet_factor=1.0, from_n=2000.0, to_n=1000.0, returns=10),
            "from_n, to_n: upside down; got 2000 and 1000 N; allowed from <= to",
        ),
    ],
)
def test_refusals(call, text):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert str(caught.value) == text
