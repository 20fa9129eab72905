"""What is plausible on a river [agency's own figures]: past these a unit, a digit or a place is wrong."""

from __future__ import annotations

from typing import Final

from atlas.survey.values import Measure
from atlas.units import Allowed, Quantity

__all__ = [
    "ACROSS",
    "ANCHOR_GIRTH",
    "ANCHOR_SIZE",
    "BEARING",
    "DAM_TRAVEL",
    "DEPTH",
    "DISCHARGE",
    "HEIGHT",
    "MINUTES",
    "RATING",
    "RUN",
    "SPEED",
    "STAGE",
]

ACROSS: Final = Measure(Quantity.LENGTH, Allowed(0.0, 500.0, positive=True))
"""Along or below a track line."""
RUN: Final = Measure(Quantity.LENGTH, Allowed(0.0, 500.0))
STAGE: Final = Measure(Quantity.LENGTH, Allowed(-100.0, 5000.0))
"""Gauges count from any datum, some from the sea."""
HEIGHT: Final = Measure(Quantity.LENGTH, Allowed(0.0, 60.0, positive=True))
DEPTH: Final = HEIGHT
ANCHOR_SIZE: Final = Measure(Quantity.LENGTH, Allowed(0.0, 30.0, positive=True))
ANCHOR_GIRTH: Final = Measure(Quantity.LENGTH, Allowed(0.0, 95.0, positive=True))
SPEED: Final = Measure(Quantity.SPEED, Allowed(0.0, 15.0, positive=True))
DISCHARGE: Final = Measure(Quantity.DISCHARGE, Allowed(0.0, 50000.0, positive=True))
RATING: Final = Measure(Quantity.FORCE, Allowed(0.0, 1e6, positive=True))
BEARING: Final = Measure(Quantity.ANGLE, Allowed(0.0, 360.0))
MINUTES: Final = Measure(Quantity.MINUTES, Allowed(0.0, 1440.0))
DAM_TRAVEL: Final = Measure(Quantity.MINUTES, Allowed(0.0, 10080.0, positive=True))
