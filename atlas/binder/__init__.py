"""The county's binder: every site made, bound between cover, contents and limits."""

from atlas.binder.bind import Binder, Keep, bind, make_anew
from atlas.binder.kept import PARTS, Bytes, InMemory, KeptSheet, keep_sheet
from atlas.binder.making import Batch, Earlier, Made, Workshop, batches_of, make_batch, make_site, make_sites
from atlas.binder.site_sheet import NotPrinted, SheetFacts, SiteSheet
from atlas.paper.press import BoundPage

__all__ = [
    "PARTS",
    "Batch",
    "Binder",
    "BoundPage",
    "Bytes",
    "Earlier",
    "InMemory",
    "Keep",
    "KeptSheet",
    "Made",
    "NotPrinted",
    "SheetFacts",
    "SiteSheet",
    "Workshop",
    "batches_of",
    "bind",
    "keep_sheet",
    "make_anew",
    "make_batch",
    "make_site",
    "make_sites",
]
