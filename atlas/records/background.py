"""A layer behind the maps, as read: lines and outlines for the eye, nothing is computed from them."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.records.site import LonLat


@dataclass(frozen=True, slots=True)
class LayerFeature:
    """One river, road or outline of a layer.

    Attributes
    ----------
    parts : lines, or the rings of areas, each of two places or more
    closed : the parts are rings
    name : where the layer names it
    order : stream order or another rank, the greater the larger; None where the layer gives none
    """

    parts: tuple[tuple[LonLat, ...], ...]
    closed: bool = False
    name: str | None = None
    order: float | None = None


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of county.toml that could be read.

    Attributes
    ----------
    name : as county.toml calls it
    kind : ``river``, ``boundary``, ``road`` or another word of county.toml
    """

    name: str
    kind: str
    features: tuple[LayerFeature, ...]
