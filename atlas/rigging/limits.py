"""Limits on a loaded track line as margins: 0 is at the limit, negative is past it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from atlas.rigging.rope import STANDARD_GRAVITY_M_S2

__all__ = [
    "ForceLimit",
    "clearance_needed_m",
    "factor_of",
    "kept_strength",
    "least_margin",
    "rule_for",
    "set_tension_rules",
    "velocity_head_m",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ForceLimit:
    """A greatest force and what sets it.

    Attributes
    ----------
    code : of the data schema: ``factor``, ``capture``, ``anchor_track``
    part : which part of the line, or which anchor
    strength_n : of the part, wet and with its end [N]
    divided_by : factor or ratio asked of it
    resultant : stands the resultant of both sides, as the carriage pulley does, not the tension
    """

    code: str
    part: str
    strength_n: float
    divided_by: float
    resultant: bool = False

    @property
    def most_n(self) -> float:
        """Greatest force inside plan [N]."""
        return self.strength_n / self.divided_by


def kept_strength(*, wet: float, end: float) -> float:
    """Fraction of strength a rope keeps, wet and with its end."""
    return wet * end


def velocity_head_m(speed_m_s: Floats | float) -> Floats | float:
    """Height a current may pile up to, v^2 / 2g [m] (Bernoulli)."""
    return speed_m_s**2 / (2.0 * STANDARD_GRAVITY_M_S2)


def clearance_needed_m(*, base_m: float, speed_m_s: Floats | float) -> Floats | float:
    """Least clearance [m]: the base and the waves, base + v^2 / 2g.

    Source of a base of 0.9 m: TM 5-5420-278-10, 3 ft over the water.
    """
    return base_m + velocity_head_m(speed_m_s)


def factor_of(limit: ForceLimit, *, tension_n: Floats, resultant_n: Floats) -> Floats:
    """Strength over load of one part."""
    return limit.strength_n / (resultant_n if limit.resultant else tension_n)


def least_margin(
    limits: Sequence[ForceLimit], *, tension_n: Floats, resultant_n: Floats
) -> tuple[Floats, NDArray[np.intp]]:
    """Least of most / load - 1 over `limits`, and the index of the limit that sets it."""
    margins = np.stack(
        [
            factor_of(limit, tension_n=tension_n, resultant_n=resultant_n) / limit.divided_by - 1.0
            for limit in limits
        ]
    )
    return margins.min(axis=0), margins.argmin(axis=0)


def rule_for(*, diameter_m: float, rule_of_12: float, rule_of_18: float, rule_of_18_from_m: float) -> float:
    """Most people x advantage on a rope: 12 on 11 mm and up to 12.5 mm, 18 from 12.5 mm.

    Common practice, no source.
    """
    return rule_of_18 if diameter_m >= rule_of_18_from_m - 1e-9 else rule_of_12


def set_tension_rules(
    *,
    diameter_m: float,
    strength_n: float,
    rule_of_12: float,
    rule_of_18: float,
    rule_of_18_from_m: float,
    pull_per_person_n: float,
    fraction_of_strength: float,
) -> tuple[tuple[str, float], ...]:
    """Greatest set tensions [N] by rule, as (code, most).

    People x advantage as `rule_for`, each person pulling `pull_per_person_n`; and a share of nominal
    strength. Common practice, no source. They do not protect a side-loaded line by themselves.
    """
    rule = rule_for(
        diameter_m=diameter_m,
        rule_of_12=rule_of_12,
        rule_of_18=rule_of_18,
        rule_of_18_from_m=rule_of_18_from_m,
    )
    return (
        ("pretension_rule", rule * pull_per_person_n),
        ("pretension_strength", fraction_of_strength * strength_n),
    )


def least_rule(rules: Sequence[tuple[str, float]]) -> tuple[str, float]:
    """The rule that allows least."""
    return min(rules, key=lambda rule: rule[1], default=("none", inf))
