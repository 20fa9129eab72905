"""Longitude and latitude to the site's own metres."""

from atlas.frame.site_frame import (
    PlacedAnchor,
    PlacedDanger,
    PlacedPost,
    PlacedShape,
    Point,
    SiteFrame,
)

__all__ = ["PlacedAnchor", "PlacedDanger", "PlacedPost", "PlacedShape", "Point", "SiteFrame"]
