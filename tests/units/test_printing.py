from __future__ import annotations

import pytest

from atlas.faults import OutOfRange
from atlas.units import Kind, Shown, Toward, UnitSystem, show

FT = 0.3048


@pytest.mark.parametrize(
    ("kind", "value", "up", "down", "nearest"),
    [
        (Kind.ROPE_LENGTH, 45.03, "148 ft (45.1 m)", "147 ft (45.0 m)", "148 ft (45.0 m)"),
        (Kind.DISTANCE, 40 * FT, "40 ft (12.2 m)", "40 ft (12.1 m)", "40 ft (12.2 m)"),
        (Kind.GROUND_DISTANCE, 104.2, "342 ft (105 m)", "341 ft (104 m)", "342 ft (104 m)"),
        (Kind.HEIGHT, 2.5, "8.5 ft (2.5 m)", "8.0 ft (2.5 m)", "8.0 ft (2.5 m)"),
        (Kind.CLEARANCE, 0.93, "3.1 ft (0.95 m)", "3.0 ft (0.90 m)", "3.1 ft (0.95 m)"),
        (Kind.CLEARANCE, -0.02, "0.0 ft (0.00 m)", "-0.1 ft (-0.05 m)", "-0.1 ft (0.00 m)"),
        (Kind.SPEED, 2.93, "6.6 mph (3.0 m/s)", "6.5 mph (2.9 m/s)", "6.6 mph (2.9 m/s)"),
        (Kind.FORCE, 2650.0, "600 lbf (2.7 kN)", "590 lbf (2.6 kN)", "600 lbf (2.7 kN)"),
        (Kind.DISCHARGE, 52.44, "1860 cfs (52.5 m³/s)", "1850 cfs (52.4 m³/s)", "1850 cfs (52.4 m³/s)"),
        (Kind.DISCHARGE, 0.5678, "20.1 cfs (0.568 m³/s)", "20.0 cfs (0.567 m³/s)", "20.1 cfs (0.568 m³/s)"),
        (Kind.STAGE, 1.234, "4.1 ft (1.24 m)", "4.0 ft (1.23 m)", "4.0 ft (1.23 m)"),
        (Kind.ANCHOR_SIZE, 0.352, "14 in (36 cm)", "13 in (35 cm)", "14 in (35 cm)"),
        (Kind.MINUTES, 12.4, "13 min", "12 min", "12 min"),
        (Kind.SECONDS, 6.06, "6.1 s", "6.0 s", "6.1 s"),
        (Kind.FLOAT_SECONDS, 10.1, "10.5 s", "10.0 s", "10.0 s"),
        (Kind.FACTOR, 4.99, "5.0", "4.9", "5.0"),
        (Kind.COUNT, 3.2, "4", "3", "3"),
        (Kind.ANGLE, 12.6, "13°", "12°", "13°"),
    ],
)
def test_each_kind_in_each_direction(kind, value, up, down, nearest):
    assert show(kind, value, toward=Toward.UP).both == up
    assert show(kind, value, toward=Toward.DOWN).both == down
    assert show(kind, value, toward=Toward.NEAREST).both == nearest


@pytest.mark.parametrize(
    ("diameter_m", "text"),
    [
        (0.0125, "12.5 mm (1/2 in)"),
        (0.0127, "12.7 mm (1/2 in)"),
        (0.013, "13 mm (1/2 in)"),
        (0.011, "11 mm (7/16 in)"),
        (0.008, "8 mm (5/16 in)"),
        (0.009, "9 mm"),
        (0.0121, "12.1 mm"),
    ],
)
def test_rope_diameters_are_in_mm_with_the_size_they_are_sold_under(diameter_m, text):
    for system in UnitSystem:
        assert show(Kind.ROPE_DIAMETER, diameter_m, toward=Toward.NEAREST, system=system).both == text


def test_si_first():
    shown = show(Kind.ROPE_LENGTH, 45.03, toward=Toward.UP, system=UnitSystem.SI)
    assert shown == Shown("45.1 m", "148 ft")


def test_every_kind_prints():
    for kind in Kind:
        assert show(kind, 0.0, toward=Toward.UP).first.startswith("0")


def test_what_is_not_finite_is_never_printed():
    with pytest.raises(OutOfRange, match=r"^cannot round nan to steps of 1\.0$"):
        show(Kind.ROPE_LENGTH, float("nan"), toward=Toward.UP)
