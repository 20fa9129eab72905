"""Falls of many cubics at once: against numpy's roots, one cubic at a time, and roots put in by hand."""

import numpy as np
import pytest

from atlas.rigging.falls import falls_within


def by_roots(cubic):
    """Real roots between 0 and 1 at which the cubic falls, by eigenvalues of its companion matrix."""
    roots = np.roots(cubic)
    real = roots[np.abs(roots.imag) < 1e-9].real
    slope = np.polyder(np.poly1d(cubic))
    return sorted(root for root in real if 0.0 < root < 1.0 and slope(root) < 0.0)


def found_of(cubics):
    which, at = falls_within(np.array(cubics))
    return [sorted(at[which == number].tolist()) for number in range(len(cubics))]


def test_random_cubics_against_companion_matrices():
    cubics = np.random.default_rng(7).normal(size=(400, 4))
    cubics[::4, 0] = 0.0  # an edge along the flow leaves a quadratic
    cubics[::8, 1] = 0.0
    wanted = [by_roots(cubic) for cubic in cubics]
    assert sum(map(len, wanted)) > 50
    for found, want in zip(found_of(cubics), wanted, strict=True):
        assert found == pytest.approx(want, abs=1e-8)


@pytest.mark.parametrize("scale", [1e-12, 1.0, 1e9])
def test_roots_put_in(scale):
    falls_twice = -scale * np.poly([0.2, 0.5, 0.9])
    rises_falls_rises = scale * np.poly([0.2, 0.5, 0.9])
    outside = -scale * np.poly([-0.5, 1.5, 3.0])
    first, second, third = found_of([falls_twice, rises_falls_rises, outside])
    assert first == pytest.approx([0.2, 0.9], abs=1e-9)
    assert second == pytest.approx([0.5], abs=1e-9)
    assert third == []


def test_nothing_falls_where_nothing_is_over_zero():
    assert found_of([[0.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, -1.0], [0.0, 0.0, 0.0, 2.0]]) == [[], [], []]
    # touched from below at 0.5
    assert found_of([[0.0, -1.0, 1.0, -0.25]]) == [[]]


def test_none_at_all():
    which, at = falls_within(np.zeros((0, 4)))
    assert which.size == at.size == 0
