"""What a survey file holds before it is checked: the same from every kind of file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from atlas.faults import Fault

__all__ = ["SITE_CODE", "RawFeature", "RawSurvey", "site_code"]

SITE_CODE: Final = "[A-Z]{1,4}-[0-9]{1,5}"
"""Pattern of a site code."""


def site_code(raw: object) -> str | None:
    """The site code in a `site` property, or None where it is not one."""
    return raw if isinstance(raw, str) and re.fullmatch(SITE_CODE, raw) else None


@dataclass(frozen=True, slots=True)
class RawFeature:
    """One feature as it stood in its file.

    Attributes
    ----------
    number : its place in the file, from 1
    properties : names and values as parsed, unchecked
    geometry : a GeoJSON geometry object, unchecked; None where there was none
    """

    number: int
    properties: dict[str, object]
    geometry: object


@dataclass(frozen=True, slots=True)
class RawSurvey:
    """One file as read.

    Attributes
    ----------
    file : path as the user knows it
    features : those that are features at all
    faults : found while reading; anything but a warning keeps the site it names, or every site of
        the file, from being used
    placed : the coordinates are longitude and latitude as far as the file tells; where they are not,
        there is no use in telling of each
    """

    file: str
    features: tuple[RawFeature, ...]
    faults: tuple[Fault, ...]
    placed: bool = True
