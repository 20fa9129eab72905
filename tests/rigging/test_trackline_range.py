"""The track line over all of the range it is asked to be exact in: every corner, the inside, past the ends.

The exact equations are Irvine's, each side of the rope seen from its TIE POINT with inverse hyperbolic sines
(the package looks from the carriage, with a logarithm), seven unknowns at once: horizontal and vertical force
at both tie points, y and z of the carriage, unstretched length of the near side. They are solved for a whole
batch by Newton's method with derivatives by complex steps, begun at the package's answer. Where they close
beside it that is THE answer: the energy of a rope that pulls as it stretches is convex in the places of its
points and in how its length is shared, so it has one state of rest. (Solved from elsewhere, state by state by
MINPACK, they stand beside in `exact_oracle`.)

H. M. Irvine, Cable Structures (1981), the elastic catenary.
"""

import re
from itertools import product

import numpy as np
import pytest

from atlas.faults import OutOfRange
from atlas.rigging import Rope, TrackLine
from atlas.rigging.trackline import solve_states, unstretched_length_m

# asked: 0.1 % in tension, 5 mm in position, 0.1 % of the tension in the force along the line
TENSION, PLACE_M, ALONG = 1e-3, 5e-3, 1e-3
# met: ten thousand times finer. Both sides close their geometry to 1e-11 of the span, which through EA over
# the span of the stiffest, shortest rope is 1e-6 N
FINER = 1e-4

SPAN_M, SLOPE, STIFFNESS_N, WEIGHT_N_M = (10.0, 250.0), (-0.08, 0.0, 0.08), (20e3, 600e3), (0.5, 2.0)
PRETENSION_N, SHARE, LOAD_N = (300.0, 8e3), (0.02, 0.5, 0.98), (100.0, 15e3)
# downstream, half down, straight down, and lifted a little as a tight ferry line to a high station lifts
ANGLE, SEATING_M = (0.0, np.pi / 4, np.pi / 2, -0.2), (0.0, 0.15)
ASKED = (SPAN_M, SLOPE, STIFFNESS_N, WEIGHT_N_M, PRETENSION_N, SHARE, LOAD_N, ANGLE, SEATING_M)
# what a call may be made with is wider (the module `shown` says why)
SHOWN = (
    SPAN_M, (-0.15, 0.0, 0.15), (15e3, 800e3), WEIGHT_N_M, PRETENSION_N, SHARE, (1.0, 25e3), ANGLE, (0.0, 0.5)
)  # fmt: skip


def states(span, slope, stiffness, weight, pretension, share, load, angle, seating):
    """Arguments of `solve_states`."""
    line = {"span_m": span, "rise_m": slope * span, "weight_n_m": weight, "stiffness_n": stiffness}
    return line | {
        "unstretched_m": unstretched_length_m(**line, pretension_n=pretension) + seating,
        "at_m": share * span,
        "downstream_n": load * np.cos(angle),
        "down_n": load * np.sin(angle),
    }


def corners(ranges):
    """Each value at both of its ends, with every other: 2304 states."""
    return states(*np.array(list(product(*ranges))).T)


def inside(ranges, *, seed, count=20_000):
    random = np.random.default_rng(seed)

    def even(ends):
        return random.uniform(min(ends), max(ends), count)

    def decades(ends):
        return np.exp(random.uniform(np.log(ends[0]), np.log(ends[-1]), count))

    span, slope, stiffness, weight, pretension, share, load, angle, seating = ranges
    return states(
        decades(span), even(slope), decades(stiffness), even(weight), decades(pretension),
        even(share), decades(load), even(angle), even(seating),
    )  # fmt: skip


SAMPLES = {
    "corners asked": corners(ASKED),
    "inside asked": inside(ASKED, seed=41),
    "corners shown": corners(SHOWN),
    "inside shown": inside(SHOWN, seed=42),
}


def run_and_drop(h, v, s, *, weight, stiffness):
    """A rope's run and drop from its tie point, horizontal tension h and upward reaction v there."""
    end = v - weight * s
    run = h * s / stiffness + h / weight * (np.arcsinh(v / h) - np.arcsinh(end / h))
    drop = (
        s / stiffness * (v - 0.5 * weight * s)
        + (np.sqrt(h * h + v * v) - np.sqrt(h * h + end * end)) / weight
    )
    return run, drop


def gaps(given, unknown):
    """Seven: both sides end at the carriage, have one tension there, and hold the load. Metres over the span,
    newtons over the force scale."""
    h1, v1, h2, v2 = unknown[:4] * given["force"]
    y, z, s1 = unknown[4:] * given["span_m"]
    rope = {"weight": given["weight_n_m"], "stiffness": given["stiffness_n"]}
    s2 = given["unstretched_m"] - s1
    run1, drop1 = run_and_drop(h1, v1, s1, **rope)
    run2, drop2 = run_and_drop(h2, v2, s2, **rope)
    plan1 = np.sqrt(given["at_m"] ** 2 + y * y)
    plan2 = np.sqrt((given["span_m"] - given["at_m"]) ** 2 + y * y)
    lift1, lift2 = v1 - rope["weight"] * s1, v2 - rope["weight"] * s2
    metres = [run1 - plan1, run2 - plan2, drop1 + z, drop2 - given["rise_m"] + z]
    newtons = [
        np.sqrt(h1 * h1 + lift1 * lift1) - np.sqrt(h2 * h2 + lift2 * lift2),
        h1 * y / plan1 + h2 * y / plan2 - given["downstream_n"],
        lift1 + lift2 - given["down_n"],
    ]
    return np.stack([gap / given["span_m"] for gap in metres] + [gap / given["force"] for gap in newtons])


def exact(sample, state):
    """The exact solution beside the package's, and how well it closes."""
    given = sample | {"force": state.tension_n}
    forces = []
    for pull in (state.near_pull, state.far_pull):
        forces += [np.hypot(pull.along_n, pull.downstream_n), -pull.up_n]
    places = [state.downstream_m, state.height_m, state.near_length_m]
    unknown = [force / given["force"] for force in forces] + [place / given["span_m"] for place in places]
    unknown = np.stack(unknown)
    for _ in range(3):
        slopes = np.empty((unknown.shape[1], 7, 7))
        for column in range(7):
            stepped = unknown.astype(complex)
            stepped[column] += 1e-30j
            slopes[:, :, column] = gaps(given, stepped).imag.T / 1e-30
        unknown = unknown - np.linalg.solve(slopes, gaps(given, unknown).T[..., np.newaxis])[:, :, 0].T
    left = np.abs(gaps(given, unknown)).max(axis=0)
    h1, v1, h2, _ = unknown[:4] * given["force"]
    y, z, s1 = unknown[4:] * given["span_m"]
    at, rest = sample["at_m"], sample["span_m"] - sample["at_m"]
    return {
        "tension": np.hypot(h1, v1 - sample["weight_n_m"] * s1),
        "place": np.stack([y, z]),
        "along": h1 * at / np.hypot(at, y) - h2 * rest / np.hypot(rest, y),
        "left": left,
    }


@pytest.mark.parametrize("name", SAMPLES)
def test_exact_all_over_the_range(name):
    sample = SAMPLES[name]
    state = solve_states(**sample)
    truth = exact(sample, state)
    assert truth["left"].max() < 1e-11  # the oracle itself
    off = np.stack(
        [
            np.abs(state.tension_n / truth["tension"] - 1.0) / TENSION,
            np.hypot(*(np.stack([state.downstream_m, state.height_m]) - truth["place"])) / PLACE_M,
            np.abs(state.along_n - truth["along"]) / truth["tension"] / ALONG,
        ]
    )
    assert off.max() < FINER


def test_the_line_is_set_to_its_pretension_all_over_the_range():
    """Empty, hung by the same equations as one rope from tie point to tie point."""
    ranges = (SPAN_M, (-0.15, *SLOPE, 0.15), (15e3, *STIFFNESS_N, 800e3), WEIGHT_N_M, PRETENSION_N)
    span, slope, stiffness, weight, pretension = np.array(list(product(*ranges))).T
    length = unstretched_length_m(
        span_m=span, rise_m=slope * span, weight_n_m=weight, stiffness_n=stiffness, pretension_n=pretension
    )
    # the reaction at the near end that brings the far end to its height; the run is then the proof
    rope = {"weight": weight, "stiffness": stiffness}
    low, high = -pretension, pretension + weight * length
    for _ in range(80):
        middle = 0.5 * (low + high)
        sinks = run_and_drop(pretension, middle, length, **rope)[1] > -slope * span
        low, high = np.where(sinks, low, middle), np.where(sinks, middle, high)
    run, _ = run_and_drop(pretension, 0.5 * (low + high), length, **rope)
    np.testing.assert_allclose(run, span, rtol=1e-10)


def track(**changes):
    values = {
        "span_m": 40.0, "rise_m": 0.5, "pretension_n": 2000.0, "seating_m": 0.15,
        "strength_n": 40e3, "weight_n_m": 0.75, "stiffness_n": 1e5,
        "at_m": 8.0, "downstream_n": 2800.0, "down_n": 200.0,
    }  # fmt: skip
    values |= changes
    rope = Rope(**{name: values[name] for name in ("strength_n", "weight_n_m", "stiffness_n")})
    line = TrackLine(
        rope=rope, **{name: values[name] for name in ("span_m", "rise_m", "pretension_n", "seating_m")}
    )
    return line.loaded(**{name: values[name] for name in ("at_m", "downstream_n", "down_n")})


OUT = "outside the range in which the answer was shown"
LIMITS = {
    "span_m": ("span_m", 10.0, 250.0, " m", "allowed 10 to 250 m"),
    "rise_m": ("rise_m", -6.0, 6.0, " m", "allowed -6 to 6 m (15 % of the span)"),
    "strength_n": ("strength_n", 1e3, 200e3, " N", "allowed 1000 to 200000 N"),
    "weight_n_m": ("weight_n_m", 0.5, 2.0, " N/m", "allowed 0.5 to 2 N/m"),
    "stiffness_n": ("stiffness_n", 15e3, 800e3, " N", "allowed 15000 to 800000 N"),
    "pretension_n": ("pretension_n", 300.0, 8e3, " N", "allowed 300 to 8000 N"),
    "seating_m": ("seating_m", 0.0, 0.5, " m", "allowed 0 to 0.5 m"),
    "at_m": ("at_m", 0.8, 39.2, " m", "allowed 0.8 to 39.2 m (2 to 98 % of the span)"),
}


@pytest.mark.parametrize("name", LIMITS)
@pytest.mark.parametrize("end", ["under", "over", "nan", "inf", "-inf"])
def test_each_argument_past_either_end_is_refused_in_words(name, end):
    field, low, high, unit, allowed = LIMITS[name]
    width = high - low
    value = {"under": low - 0.01 * width, "over": high + 0.01 * width}.get(end)
    value = float(end) if value is None else value
    with pytest.raises(
        OutOfRange, match=f"^{re.escape(f'{field}: {OUT}; got {value:.6g}{unit}; {allowed}')}$"
    ):
        track(**{name: value})


@pytest.mark.parametrize("name", LIMITS)
def test_both_ends_belong_to_the_range(name):
    for end in LIMITS[name][1:3]:
        moved = {"at_m": 0.3 * end, "rise_m": 0.0} if name == "span_m" else {}
        assert np.isfinite(track(**({name: end} | moved)).tension_n)


@pytest.mark.parametrize(
    ("downstream", "down", "got"),
    [
        (25001.0, 0.0, "25001"),
        (-25001.0, 0.0, "25001"),
        (15000.0, 20001.0, "25000.8"),
        (0.0, -26000.0, "26000"),
        (np.nan, 0.0, "nan"),
        (0.0, np.inf, "inf"),
    ],
)
def test_a_load_past_the_range_is_refused_in_words(downstream, down, got):
    text = f"resultant of downstream_n and down_n: {OUT}; got {got} N; allowed 0 to 25000 N"
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        track(downstream_n=downstream, down_n=down)


@pytest.mark.parametrize(("length", "got"), [(36.9, "36.9"), (40.6, "40.6")])
def test_a_length_no_pretension_gives_is_refused_in_words(length, got):
    text = (
        f"unstretched_m: {OUT}; got {got} m; "
        "allowed 36.9849 to 40.5211 m (lengths of the pretensions and seatings shown)"
    )
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        solve_states(
            span_m=40.0, rise_m=0.5, unstretched_m=length, weight_n_m=0.75, stiffness_n=1e5,
            at_m=8.0, downstream_n=2800.0, down_n=200.0,
        )  # fmt: skip


@pytest.mark.parametrize("name", [*LIMITS, "downstream_n", "down_n"])
@pytest.mark.parametrize("value", ["8.0", None, True], ids=["text", "none", "true"])
def test_what_is_no_number_is_refused_in_words(name, value):
    with pytest.raises(
        OutOfRange, match=f"^{re.escape(f'{name}: not a number; got {value!r}; allowed: numbers')}$"
    ):
        track(**{name: value})
