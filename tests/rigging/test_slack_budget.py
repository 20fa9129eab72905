import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator

from atlas.faults import OutOfRange
from atlas.rigging import Rope, TrackLine
from atlas.rigging.ferry import StationPoint
from atlas.rigging.hung_boat import RingPlace
from atlas.rigging.slack_budget import PullShare, catch_by_line, pull_share, slack_budget_m

STRAIGHT = PullShare(downstream=np.array(1.0), down=np.array(0.15))


def line(*, pretension=2000.0, stiffness=1.33e5):
    rope = Rope(strength_n=40e3, weight_n_m=1.02, stiffness_n=stiffness)
    return TrackLine(span_m=42.0, rise_m=0.5, rope=rope, pretension_n=pretension)


def catch(*, at=21.0, most=4500.0, share=STRAIGHT, track=None, **changes):
    return catch_by_line(track or line(), share, at_m=at, weight_n=120.0, tension_most_n=most, **changes)


def stepped(slack, *, at, mass, drag, speed, share=STRAIGHT):
    """Greatest tension of the track line when one mass, carried off from rest, comes into it after a slack.

    Newton's law in time steps; the line's pull taken from its own states, by the way it has been drawn.
    """
    track = line()
    pulls = np.linspace(0.0, 7000.0, 400)
    states = track.loaded(at_m=at, downstream_n=pulls * share.downstream, down_n=120.0 + pulls * share.down)
    give = share.downstream * (states.downstream_m - states.downstream_m[0])
    give = give - share.down * (states.height_m - states.height_m[0])
    pull_at = PchipInterpolator(give, pulls, extrapolate=False)
    tension_at = PchipInterpolator(give, states.tension_n)

    def moved(_, state):
        way, speed_now = state
        slip = speed - speed_now
        pull = float(pull_at(way - slack)) if way > slack else 0.0
        return [speed_now, (drag / speed**2 * slip * abs(slip) - pull) / mass]

    def stands(_, state):
        return state[1] if state[0] > slack else 1.0

    stands.terminal, stands.direction = True, -1.0
    run = solve_ivp(moved, (0.0, 300.0), [0.0, 0.0], events=stands, rtol=1e-8, atol=1e-9, max_step=0.1)
    # it stands, or creeps to where the line holds it against the current
    assert run.t_events[0].size == 1 or run.y[1, -1] < 1e-3
    return float(tension_at(run.y[0].max() - slack))


CASES = [
    {"at": 21.0, "mass": 2000.0, "drag": 1200.0, "speed": 2.0},
    {"at": 7.0, "mass": 1600.0, "drag": 1000.0, "speed": 2.5},
    {"at": 30.0, "mass": 3000.0, "drag": 700.0, "speed": 1.8},
]


@pytest.mark.parametrize("case", CASES)
def test_one_mass_stepped_through_time_comes_to_the_limit(case):
    """With the greatest slack it draws the line just to its limit; a tenth less or more, to less or more."""
    rest = {key: case[key] for key in ("mass", "drag", "speed")}
    found = catch(at=case["at"], most=4500.0)
    slack = slack_budget_m(found, boat_mass_kg=case["mass"], drag_n=case["drag"], speed_m_s=case["speed"])
    assert slack > 0.05
    peaks = [stepped(slack * by, at=case["at"], **rest) for by in (0.8, 1.0, 1.2)]
    assert peaks[1] == pytest.approx(4500.0, rel=2e-3)
    assert peaks[0] < 4490.0
    assert peaks[2] > 4510.0


def test_the_work_is_that_of_the_rope():
    """Work on a line without weight to speak of is what its stretch holds: L0 (T^2 - T0^2) / 2 EA.

    The rope's own 43 N and the carriage's 120 N are lifted and let down by centimetres: 2 %.
    """
    found = catch(most=6000.0, share=PullShare(downstream=np.array(1.0), down=np.array(0.0)))
    track = line()
    length = float(track.unstretched_m)
    before = float(track.loaded(at_m=21.0, downstream_n=0.0, down_n=120.0).tension_n)
    assert float(found.work_j[-1, 0]) == pytest.approx(
        length * (6000.0**2 - before**2) / 2 / 1.33e5, rel=0.02
    )


def test_the_curve_ends_at_the_limit():
    places = np.linspace(4.0, 38.0, 7)
    found = catch(at=places, most=5000.0)
    ends = line().loaded(at_m=places, downstream_n=found.pull_n[-1], down_n=120.0 + 0.15 * found.pull_n[-1])
    np.testing.assert_allclose(ends.tension_n, 5000.0, rtol=1e-7)
    assert (np.diff(found.give_m, axis=0) > 0.0).all()


def test_the_other_lines_limit_the_pull():
    assert float(catch(most=5000.0, pull_most_n=900.0).pull_n[-1, 0]) == pytest.approx(900.0)


def test_a_line_past_its_limit_without_a_boat_catches_nothing():
    found = catch(most=1500.0)
    assert (found.pull_n == 0.0).all()
    assert slack_budget_m(found, boat_mass_kg=500.0, drag_n=600.0, speed_m_s=2.0) == 0.0


def test_a_boat_past_the_limit_at_rest_has_no_slack():
    assert slack_budget_m(catch(), boat_mass_kg=500.0, drag_n=3000.0, speed_m_s=2.0) == 0.0


def test_a_boat_that_would_swing_past_the_limit_has_no_slack():
    """Held at rest it is inside; put on the line without slack it swings past, stepped through time too."""
    case = {"mass": 4000.0, "drag": 1500.0, "speed": 6.0}
    found = catch()
    assert float(found.pull_n[-1, 0]) > 1500.0
    assert slack_budget_m(found, boat_mass_kg=4000.0, drag_n=1500.0, speed_m_s=6.0) == 0.0
    assert stepped(0.0, at=21.0, **case) > 4500.0


def test_a_light_boat_cannot_come_to_the_limit():
    """At the water's own speed it brings less than the line takes up, after 200 m of slack too: no limit."""
    case = {"mass": 300.0, "drag": 400.0, "speed": 1.0}
    assert slack_budget_m(catch(), boat_mass_kg=300.0, drag_n=400.0, speed_m_s=1.0) == np.inf
    assert stepped(200.0, at=21.0, **case) < 4500.0


def test_heavier_faster_tighter_is_less():
    def budget(mass=2000.0, drag=1200.0, speed=2.0, **changes):
        return slack_budget_m(catch(**changes), boat_mass_kg=mass, drag_n=drag, speed_m_s=speed)

    base = budget()
    assert budget(mass=3000.0) < base
    assert budget(drag=1400.0) < base
    assert budget(most=4200.0) < base
    assert budget(track=line(pretension=2600.0)) < base
    # the least place of several decides
    assert slack_budget_m(
        catch(at=[4.0, 21.0, 38.0]), boat_mass_kg=2000.0, drag_n=1200.0, speed_m_s=2.0
    ) == pytest.approx(min(budget(at=at) for at in (4.0, 21.0, 38.0)))


def test_share_of_the_pull_by_hand():
    """Ring 3 m over the bow ring, strand 4 m: two strands pull 5/4, the working strand half of it."""
    ring = RingPlace(np.array([10.0]), np.array([2.0]), np.array([3.3]))
    share = pull_share(
        StationPoint(10.0, 6.0, 0.3), ring, bow_ring_m=0.3, strand_m=4.0, skew_deg=0.0, bow_strands=2
    )
    # the station lies 4 m down the river and 3 m below: 4/5 and 3/5 of 5/8
    assert float(share.downstream[0]) == pytest.approx(1.0 + 0.8 * 0.625)
    assert float(share.down[0]) == pytest.approx(0.75 + 0.6 * 0.625)


def test_refusals():
    with pytest.raises(OutOfRange) as caught:
        slack_budget_m(catch(), boat_mass_kg=10.0, drag_n=400.0, speed_m_s=1.0)
    assert str(caught.value) == (
        "boat_mass_kg: outside the range in which the answer was shown; got 10 kg; allowed 50 to 5000 kg"
    )
    with pytest.raises(OutOfRange) as caught:
        slack_budget_m(catch(), boat_mass_kg=300.0, drag_n=np.nan, speed_m_s=1.0)
    assert str(caught.value) == (
        "drag_n: outside the range in which the answer was shown; got nan N; allowed 1 to 15000 N"
    )


def test_fewer_steps_are_near_and_many_sites_are_each():
    """A quarter of the steps: 3 % less way and no more. Two sites, two places each: the least of each."""
    given = {"boat_mass_kg": 2000.0, "drag_n": 1200.0, "speed_m_s": 2.0}
    fine, coarse = (slack_budget_m(catch(at=[7.0, 21.0], steps=steps), **given) for steps in (128, 32))
    assert 0.97 * float(fine) <= coarse <= float(fine)
    at = np.array([[7.0, 21.0], [12.0, 30.0]])
    most = np.array([[4500.0], [4300.0]])
    rope = Rope(strength_n=40e3, weight_n_m=1.02, stiffness_n=np.array([[1.33e5], [1.0e5]]))
    track = TrackLine(span_m=42.0, rise_m=0.5, rope=rope, pretension_n=np.array([[2000.0], [1800.0]]))
    found = slack_budget_m(catch(at=at, most=most, track=track), **given)
    assert found.shape == (2,)
    for row, (stiffness, pretension) in enumerate(((1.33e5, 2000.0), (1.0e5, 1800.0))):
        alone = catch(
            at=at[row], most=float(most[row, 0]), track=line(stiffness=stiffness, pretension=pretension)
        )
        assert found[row] == pytest.approx(float(slack_budget_m(alone, **given)), rel=1e-6)
