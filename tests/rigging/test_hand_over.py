import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from atlas.faults import OutOfRange
from atlas.rigging.hand_over import hand_over_bow_m, hand_over_pull_n

WIDTH = 36.0
DRAG = 14.0


def hung_in_the_current(push, *, sag_share, rods=4000):
    """Tension at the end of a chain of rods that the current draws out to a sag, from its middle to a bank.

    `push` gives the force across and down the river on a metre of rod by the cosine and sine of
    the rod's angle; each rod lies along the tension in its middle.
    """
    step = WIDTH / rods

    def followed(middle):
        across, down = middle, 0.0
        x = y = 0.0
        while x < WIDTH / 2.0 and y < WIDTH:
            whole = np.hypot(across, down)
            cosine, sine = across / whole, down / whole
            push_x, push_y = push(cosine, sine)
            half = 0.5 * step
            whole = np.hypot(across - push_x * half, down + push_y * half)
            cosine, sine = (across - push_x * half) / whole, (down + push_y * half) / whole
            push_x, push_y = push(cosine, sine)
            across, down = across - push_x * step, down + push_y * step
            x, y = x + cosine * step, y + sine * step
        over = (x - WIDTH / 2.0) / cosine
        return y - over * sine, np.hypot(across, down) - over * push_y * sine

    middle = brentq(
        lambda tension: followed(tension)[0] - sag_share * WIDTH,
        0.3 * DRAG * WIDTH,
        10.0 * DRAG * WIDTH,
        rtol=1e-7,
    )
    return followed(middle)[1]


@pytest.mark.parametrize("sag", [0.05, 0.1, 0.2])
def test_a_chain_pushed_evenly_across(sag):
    """As much on each metre across whatever its slant: what the formula says, to the steps of the chain."""
    chain = hung_in_the_current(lambda cosine, sine: (0.0 * sine, DRAG * cosine), sag_share=sag)
    assert float(hand_over_pull_n(drag_n_m=DRAG, width_m=WIDTH, sag_share=sag)) == pytest.approx(
        chain, rel=2e-3
    )


@pytest.mark.parametrize(("sag", "least", "most"), [(0.05, 0.01, 0.03), (0.1, 0.04, 0.08), (0.2, 0.15, 0.25)])
def test_a_chain_pushed_square_to_its_rods_pulls_less(sag, least, most):
    """The current's push on a slanted cylinder is square to it and goes by the square of the cosine."""
    chain = hung_in_the_current(
        lambda cosine, sine: (DRAG * cosine**2 * sine, DRAG * cosine**3), sag_share=sag
    )
    found = float(hand_over_pull_n(drag_n_m=DRAG, width_m=WIDTH, sag_share=sag))
    assert 1.0 + least < found / chain < 1.0 + most


@given(st.floats(1, 100), st.floats(5, 200), st.floats(0.01, 0.25))
def test_the_ends_hold_all_of_the_push_and_the_moment_about_the_middle(drag, width, sag):
    """The ends' downstream parts are the whole push; the middle's pull times the sag is the half's moment."""
    pull = float(hand_over_pull_n(drag_n_m=drag, width_m=width, sag_share=sag))
    down = drag * width / 2.0
    across = np.sqrt(pull**2 - down**2)
    bow = float(hand_over_bow_m(width_m=width, sag_share=sag))
    assert across * bow == pytest.approx(down * width / 4.0, rel=1e-9)


def test_speed_doubled_is_four_times_the_pull():
    """Drag of a line, 1/2 rho 1.2 d v^2, 8 mm at 1.5 and 3 m/s; by hand at 1.5 m/s 10.8 N/m."""
    slow, fast = (0.5 * 1000.0 * 1.2 * 0.008 * speed**2 for speed in (1.5, 3.0))
    assert slow == pytest.approx(10.8)
    one, other = hand_over_pull_n(drag_n_m=np.array([slow, fast]), width_m=30.0, sag_share=0.05)
    assert one == pytest.approx(10.8 * 30 / 0.4 * np.hypot(1, 0.2))
    assert other / one == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("values", "text"),
    [
        (
            {"sag_share": 0.0},
            "sag_share: outside the range in which the answer was shown; got 0; allowed 0.01 to 0.25",
        ),
        (
            {"width_m": np.inf},
            "width_m: outside the range in which the answer was shown; got inf m; allowed 1 to 500 m",
        ),
        (
            {"drag_n_m": -1.0},
            "drag_n_m: outside the range in which the answer was shown; got -1 N/m; allowed 0 to 1000 N/m",
        ),
    ],
)
def test_refusals(values, text):
    with pytest.raises(OutOfRange) as caught:
        hand_over_pull_n(**({"drag_n_m": 10.0, "width_m": 30.0, "sag_share": 0.05} | values))
    assert str(caught.value) == text
