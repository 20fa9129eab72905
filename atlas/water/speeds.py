"""From a mean speed to that of the fastest surface thread."""

from __future__ import annotations

from atlas.faults import OutOfRange

__all__ = [
    "SECTION_RATIO",
    "VERTICAL_RATIO",
    "surface_from_section_mean_m_s",
    "surface_from_vertical_mean_m_s",
]

VERTICAL_RATIO = 0.85
"""Mean of a vertical over its surface speed (USGS WSP 2175; 0.84 to 0.90)."""
SECTION_RATIO = 0.65
"""Mean of a section over its fastest surface thread (entropy-velocity literature; value from memory)."""


def surface_from_vertical_mean_m_s(mean_speed_m_s: float, *, ratio: float = VERTICAL_RATIO) -> float:
    """Surface speed of a vertical from the mean over its depth [m/s].

    `ratio` is mean over surface [1]. It is not for the mean of a whole section.
    """
    return _surface_m_s(mean_speed_m_s, ratio=ratio)


def surface_from_section_mean_m_s(mean_speed_m_s: float, *, ratio: float = SECTION_RATIO) -> float:
    """Fastest surface thread from discharge over area, which is what gauge measurements give [m/s].

    `ratio` is mean over fastest surface thread [1]; it is stable at one section.
    """
    return _surface_m_s(mean_speed_m_s, ratio=ratio)


def _surface_m_s(mean_speed_m_s: float, *, ratio: float) -> float:
    """A mean is never faster than the surface thread above it."""
    if not 0.0 < ratio <= 1.0:
        raise OutOfRange(f"ratio of mean to surface speed {ratio:g}; allowed: above 0, at most 1")
    return mean_speed_m_s / ratio
