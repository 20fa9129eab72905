"""The county's binder: every site made, bound between cover, contents and limits."""

from atlas.binder.bind import Binder, bind
from atlas.binder.making import NotPrinted, SiteSheet, Workshop, make_site, make_sites
from atlas.paper.press import BoundPage

__all__ = [
    "Binder",
    "BoundPage",
    "NotPrinted",
    "SiteSheet",
    "Workshop",
    "bind",
    "make_site",
    "make_sites",
]
