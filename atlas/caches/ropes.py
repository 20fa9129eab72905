"""A rope of a cache: its keys, and whether its figures can belong to one rope at all."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from atlas.caches.keys import Key, Table, read_keys
from atlas.caches.spot import FAULTY, IsFaulty, Spot
from atlas.caches.values import choice, day, flag, quantity, text, whole
from atlas.faults import Severity
from atlas.records import RopeStock
from atlas.rigging.rope import STANDARD_GRAVITY_M_S2
from atlas.units import Quantity

KINDS: Final = ("static", "low_stretch", "floating")
ELONGATION_BASES: Final = ("10pct", "50-150kg")

# Fibre -> most strength a rope of it has for its nominal section [MPa]: about one and a half times the
# strongest sold [agency's own figure; no source]. Above it a unit or a digit is wrong.
_STRONGEST_MPA: Final[Mapping[str, float]] = MappingProxyType(
    {"nylon": 600.0, "polyester": 600.0, "polypropylene": 400.0, "hmpe": 1800.0, "unknown": 1800.0}
)
FIBRES: Final = tuple(_STRONGEST_MPA)

# Mass over nominal section [kg/m3]: polyester, the heaviest of these fibres, has 1380 without any gaps
# [fibre data, from memory]; a loose braid of a floating fibre has about a fifth.
_LEAST_DENSITY, _MOST_DENSITY = 200.0, 1500.0

# Most elongation at 10 % of strength, by kind: Cordage Institute CI 1801.
_MOST_ELONGATION: Final[Mapping[str, float]] = MappingProxyType({"static": 0.06, "low_stretch": 0.10})


def _weight_n_m(mass_kg_m: float) -> float:
    return mass_kg_m * STANDARD_GRAVITY_M_S2


def _fraction(percent: float) -> float:
    return percent / 100.0


_MASS = quantity(Quantity.MASS_PER_LENGTH, least=0.001, most=2.0, convert=_weight_n_m)
_STRETCH = quantity(Quantity.PERCENT, least=0.1, most=60.0, convert=_fraction)

ROPE_KEYS: Final = (
    Key("name", text(40), 'name = "Red 200"', required=True),
    Key(
        "length",
        quantity(Quantity.LENGTH, least=1.0, most=2000.0),
        'length = "200 ft"',
        into="length_m",
        required=True,
    ),
    Key(
        "diameter",
        quantity(Quantity.LENGTH, least=0.002, most=0.05),
        'diameter = "12.5 mm"',
        into="diameter_m",
        required=True,
    ),
    Key("kind", choice(KINDS), 'kind = "static"', required=True),
    Key("fibre", choice(FIBRES), 'fibre = "nylon"', required=True),
    Key(
        "strength",
        quantity(Quantity.FORCE, least=500.0, most=1e6),
        'strength = "40 kN"',
        into="strength_n",
        required=True,
    ),
    Key("elongation", _STRETCH, 'elongation = "4 %"', required=True),
    Key("elongation_basis", choice(ELONGATION_BASES), 'elongation_basis = "10pct"', required=True),
    Key("mass", _MASS, 'mass = "104 g/m"', into="weight_n_m", required=True),
    Key("count", whole(500), "count = 2", default=1),
    Key("since", day, "since = 2024-05-01"),
    Key("retired", flag, "retired = true", default=False),
)


def read_rope(table: Table, spot: Spot) -> RopeStock | IsFaulty:
    """One ``[[agency.rope]]``; a rope with any fault is left out, for nobody may hang on a guess."""
    read = read_keys(table, ROPE_KEYS, spot)
    if read.broken:
        return FAULTY
    rope = RopeStock(**read.values)
    _tell_stretch(rope, spot)
    return FAULTY if _impossible(rope, spot) else rope


def _impossible(rope: RopeStock, spot: Spot) -> bool:
    """Strength and mass that no rope of this diameter and fibre has, told."""
    section_m2 = math.pi / 4.0 * rope.diameter_m**2
    strength_mpa = rope.strength_n / section_m2 / 1e6
    density = rope.weight_n_m / STANDARD_GRAVITY_M_S2 / section_m2
    todo = "check number and unit of diameter, strength and mass against the maker's tag"
    strongest_mpa = _STRONGEST_MPA[rope.fibre]
    if strength_mpa > strongest_mpa:
        spot.at("strength").refuse(
            "strength_impossible",
            f"no rope of this diameter and fibre ({rope.fibre}) is so strong",
            got=f"{rope.strength_n:g} N on {rope.diameter_m * 1e3:g} mm",
            allowed=f"at most {strongest_mpa * 1e6 * section_m2:.0f} N",
            todo=todo,
        )
    light = density < _LEAST_DENSITY
    if light or density > _MOST_DENSITY:
        spot.at("mass").refuse(
            "mass_impossible",
            f"no rope of this diameter is so {'light' if light else 'heavy'}",
            got=f"{rope.weight_n_m / STANDARD_GRAVITY_M_S2:.4g} kg/m on {rope.diameter_m * 1e3:g} mm",
            allowed=f"{_LEAST_DENSITY * section_m2:.3g} to {_MOST_DENSITY * section_m2:.3g} kg/m",
            todo=todo,
        )
    return strength_mpa > strongest_mpa or not _LEAST_DENSITY <= density <= _MOST_DENSITY


def _tell_stretch(rope: RopeStock, spot: Spot) -> None:
    """A warning where a rope stretches more than its kind may."""
    most = _MOST_ELONGATION.get(rope.kind)
    if most is None or rope.elongation_basis != "10pct" or rope.elongation <= most:
        return
    spot.at("elongation").refuse(
        "elongation_of_kind",
        f"a {rope.kind} rope stretches less at 10 % of its strength",
        got=f"{rope.elongation * 100.0:g} %",
        allowed=f"at most {most * 100.0:g} % (CI 1801)",
        todo="check the kind, the elongation and its basis",
        severity=Severity.WARNING,
    )
