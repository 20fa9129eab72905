"""Factors that are exact by definition.

Source: NIST Special Publication 811, appendix B (values from memory, not seen): 1 ft = 0.3048 m,
1 lbf = 4.448 221 615 260 5 N, 1 mi/h = 0.447 04 m/s, 1 ft3/s = 0.028 316 846 592 m3/s.
Tolerance: none. The factors are exact, so the one number nearest to each must come out.
"""

from __future__ import annotations

import pytest

from atlas.units import Quantity, read_quantity


@pytest.mark.parametrize(
    ("text", "quantity", "exact"),
    [
        ("1 ft", Quantity.LENGTH, 0.3048),
        ("1 lbf", Quantity.FORCE, 4.4482216152605),
        ("1 mph", Quantity.SPEED, 0.44704),
        ("1 cfs", Quantity.DISCHARGE, 0.028316846592),
    ],
)
def test_factor_is_exact(text, quantity, exact):
    assert read_quantity(text, quantity) == exact
