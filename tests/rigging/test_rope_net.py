import numpy as np
import pytest

from atlas.faults import NoSolution
from atlas.rigging import rope_net
from atlas.rigging.rope_net import Net, elongations, settle_net

NET = Net(
    stations=np.array([(-1.0, -8.0, 2.5), (43.0, -8.0, 2.5), (-1.0, 8.0, 2.0)]),
    strands=np.array([0.0, 0.0, 2.0]),
    lengths_m=np.array([[24.0, 23.0, 40.0]]),
    stiffness_n_m=np.array([[2000.0, 2100.0, 1200.0]]),
    weight_n=120.0,
    drag_n=np.array([300.0, 1900.0]),
    bow_ring_m=0.3,
)
PLACES = [
    (21.0, 4.0, 1.2, 22.0, 16.0),
    (21.0, 9.0, 0.9, 21.2, 9.1),  # ring and bow nearly met
    (-0.9, 8.2, 1.9, 3.0, 30.0),  # ring at its station
    (15.0, -4.0, 2.0, 15.0, 4.0),  # lines slack
]


@pytest.mark.parametrize("place", PLACES)
def test_slopes_are_those_of_the_potential(place):
    """First and second derivatives against differences of the potential and of the first."""
    at = np.array([place])
    gradient, hessian = rope_net._slopes(NET, at)
    for axis in range(5):
        step = np.zeros((1, 5))
        step[0, axis] = 1e-5
        rise = rope_net._potential(NET, at + step, at) - rope_net._potential(NET, at - step, at)
        assert gradient[0, axis] == pytest.approx(rise[0] / 2e-5, rel=1e-5, abs=1e-2)
        bend = rope_net._slopes(NET, at + step)[0] - rope_net._slopes(NET, at - step)[0]
        np.testing.assert_allclose(hessian[0, axis], bend[0] / 2e-5, rtol=1e-5, atol=1e-2)


def test_the_potential_is_convex():
    """Half way between two places it is at most the mean of theirs; two thousand pairs, near and far."""
    rng = np.random.default_rng(5)
    low, high = (-5.0, -10.0, 0.3, -5.0, -5.0), (45.0, 30.0, 4.0, 45.0, 45.0)
    one, other = rng.uniform(low, high, size=(2, 2000, 5))
    other[1000:] = one[1000:] + 0.05 * (other[1000:] - one[1000:])
    net = NET.part(np.zeros(2000, dtype=np.intp))
    start = np.zeros((2000, 5))
    ends = rope_net._potential(net, one, start) + rope_net._potential(net, other, start)
    half = rope_net._potential(net, 0.5 * (one + other), start)
    assert (half <= 0.5 * ends + 1e-6).all()


def test_from_anywhere_to_the_same_rest():
    net = NET.part(np.zeros(len(PLACES), dtype=np.intp))
    rests = settle_net(net, np.array(PLACES))
    np.testing.assert_allclose(rests, np.broadcast_to(rests[0], rests.shape), atol=1e-6)
    assert (elongations(net, rests) > 0.0).any(axis=1).all()


def test_it_takes_few_turns(monkeypatch):
    """Newton's steps with true slopes: from any of the places under thirty of them."""
    monkeypatch.setattr(rope_net, "_TURNS", 30)
    settle_net(NET.part(np.zeros(len(PLACES), dtype=np.intp)), np.array(PLACES))
    monkeypatch.setattr(rope_net, "_TURNS", 1)
    with pytest.raises(NoSolution) as caught:
        settle_net(NET, np.array(PLACES[:1]))
    assert str(caught.value) == "lines to ring and boat: 1 state(s) not at rest after 1 turns"
