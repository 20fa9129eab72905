"""One piece of rope by itself: without weight, without stretch, cut in two, turned round, scaled."""

import numpy as np
import pytest

from atlas.rigging.catenary import piece, piece_rise, piece_slopes


def drawn(count=2000, seed=51):
    """Pieces taut and slack, leaving level, up and down."""
    random = np.random.default_rng(seed)
    tension = np.exp(random.uniform(np.log(50.0), np.log(2e4), count))
    return {
        "tension": tension,
        "lift": tension * random.uniform(-0.9, 0.9, count),
        "length": np.exp(random.uniform(np.log(0.5), np.log(250.0), count)),
        "weight": random.uniform(0.5, 2.0, count),
        "compliance": 1.0 / np.exp(random.uniform(np.log(15e3), np.log(8e5), count)),
    }


def ends(given):
    """Run, rise, and tension and lift at the other end."""
    found = piece(**given)
    rise = piece_rise(found, lift=given["lift"], length=given["length"], compliance=given["compliance"])
    run = np.sqrt(given["tension"] ** 2 - given["lift"] ** 2) * found.run_a_newton
    return run, rise, found.end_tension, found.end_lift


def test_without_weight_it_is_straight():
    """Along its tension, stretched by T / EA; a millionth of a newton a metre bends it by as little."""
    given = drawn() | {"weight": np.array(1e-6)}
    run, rise, tension, lift = ends(given)
    stretched = given["length"] * (1.0 + given["tension"] * given["compliance"])
    slope = given["lift"] / given["tension"]
    np.testing.assert_allclose(run, stretched * np.sqrt(1.0 - slope**2), rtol=1e-5)
    np.testing.assert_allclose(rise, stretched * slope, rtol=0, atol=1e-5 * stretched.max())
    np.testing.assert_allclose(tension, given["tension"], rtol=1e-5)
    np.testing.assert_allclose(lift, given["lift"], rtol=0, atol=1e-3)


def test_without_stretch_it_is_a_catenary():
    """y = (H / w) cosh(x w / H): by its slope at both ends, its length and its height (Irvine, chapter 1)."""
    given = drawn() | {"compliance": np.array(0.0)}
    run, rise, _, _ = ends(given)
    level = np.sqrt(given["tension"] ** 2 - given["lift"] ** 2)
    scale = level / given["weight"]
    begin = np.arcsinh(given["lift"] / level)
    end = begin + run / scale
    np.testing.assert_allclose(scale * (np.sinh(end) - np.sinh(begin)), given["length"], rtol=1e-9)
    np.testing.assert_allclose(scale * (np.cosh(end) - np.cosh(begin)), rise, rtol=0, atol=1e-8)


def test_both_halves_are_the_whole():
    given = drawn()
    half = given | {"length": 0.5 * given["length"]}
    run, rise, tension, lift = ends(half)
    further = ends(half | {"tension": tension, "lift": lift})
    whole = ends(given)
    np.testing.assert_allclose(run + further[0], whole[0], rtol=1e-11)
    np.testing.assert_allclose(rise + further[1], whole[1], rtol=0, atol=1e-10)
    np.testing.assert_allclose(further[2], whole[2], rtol=1e-12)
    np.testing.assert_allclose(further[3], whole[3], rtol=0, atol=1e-9)


def test_followed_back_it_comes_home():
    """From the other end, the lift turned round: the same run, the rise the other way, and where it began."""
    given = drawn()
    run, rise, tension, lift = ends(given)
    back = ends(given | {"tension": tension, "lift": -lift})
    np.testing.assert_allclose(back[0], run, rtol=1e-10)
    np.testing.assert_allclose(back[1], -rise, rtol=0, atol=1e-9)
    np.testing.assert_allclose(back[2], given["tension"], rtol=1e-11)
    np.testing.assert_allclose(back[3], -given["lift"], rtol=0, atol=1e-8)


@pytest.mark.parametrize(("longer", "heavier"), [(3.0, 1.0), (1.0, 7.0), (0.4, 2.5)])
def test_lengths_and_forces_scale(longer, heavier):
    given = drawn()
    larger = {
        "tension": heavier * given["tension"],
        "lift": heavier * given["lift"],
        "length": longer * given["length"],
        "weight": heavier / longer * given["weight"],
        "compliance": given["compliance"] / heavier,
    }
    for found, scaled, times in zip(
        ends(given), ends(larger), (longer, longer, heavier, heavier), strict=True
    ):
        np.testing.assert_allclose(scaled, times * found, rtol=1e-11, atol=1e-9 * times)


@pytest.mark.parametrize("name", ["tension", "lift", "length"])
def test_slopes_are_those_of_the_piece(name):
    """Against differences over a millionth; the two with tension carry a minus."""
    given = drawn()
    found = piece(**given)
    slopes = piece_slopes(found, length=given["length"], compliance=given["compliance"])
    step = 1e-6 * (given["tension"] if name != "length" else given["length"])

    def at(sign):
        moved = given | {name: given[name] + sign * step}
        there = piece(**moved)
        rise = piece_rise(there, lift=moved["lift"], length=moved["length"], compliance=moved["compliance"])
        return there.run_a_newton, rise

    (run_up, rise_up), (run_down, rise_down) = at(1), at(-1)
    run, rise = (run_up - run_down) / (2.0 * step), (rise_up - rise_down) / (2.0 * step)
    told = {
        "tension": (-slopes.run_less_with_tension, -slopes.rise_less_with_tension),
        "lift": (slopes.run_with_lift, given["length"] * slopes.run_with_length),
        "length": (slopes.run_with_length, found.end_lift * slopes.run_with_length),
    }[name]
    # a difference loses what the run has of digits over what it changes by
    for by_difference, by_formula in zip((run, rise), told, strict=True):
        np.testing.assert_allclose(by_difference, by_formula, rtol=2e-4, atol=2e-8 * np.abs(by_formula).max())
