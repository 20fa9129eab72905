"""The county's binder: every site made, bound between cover, contents and limits."""

from atlas.binder.bind import Binder, bind
from atlas.binder.making import Batch, Earlier, Made, Workshop, batches_of, make_batch, make_site, make_sites
from atlas.binder.site_sheet import NotPrinted, SheetFacts, SiteSheet
from atlas.paper.press import BoundPage

__all__ = [
    "Batch",
    "Binder",
    "BoundPage",
    "Earlier",
    "Made",
    "NotPrinted",
    "SheetFacts",
    "SiteSheet",
    "Workshop",
    "batches_of",
    "bind",
    "make_batch",
    "make_site",
    "make_sites",
]
