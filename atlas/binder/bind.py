"""The binder: cover, how to read, contents, maps, the sheets by reach, limits; outline, page labels."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from atlas.binder.agency_pages import agency_pages, agency_place
from atlas.binder.contents import Chapter, chapters, contents, site_place
from atlas.binder.cover import count_sites, cover
from atlas.binder.duplex import duplex
from atlas.binder.fault_page import fault_pages
from atlas.binder.glossary import PLACE as GLOSSARY_PLACE
from atlas.binder.glossary import glossary
from atlas.binder.how_to_read import how_to_read
from atlas.binder.limits_pages import limits_decided, limits_pages
from atlas.binder.maps import Atlas, county_maps, map_place, reach_maps
from atlas.binder.matrix import matrix_pages
from atlas.binder.permissions import PLACE as PERMISSIONS_PLACE
from atlas.binder.permissions import permissions
from atlas.binder.seasons import seasons_pages, seasons_place
from atlas.binder.shopping import shopping_pages
from atlas.binder.site_sheet import NotPrinted, SiteSheet
from atlas.binder.standing import county_standing
from atlas.faults import Fault
from atlas.paper import Destination, Entry, Leaf, Link, assemble
from atlas.paper.looks import looks_of
from atlas.paper.press import BoundPage, Press
from atlas.records import Agency, County, Layer
from atlas.settings import Policy, Words
from atlas.settings.page import PageTemplate

__all__ = ["Binder", "Keep", "bind", "make_anew"]


@dataclass(frozen=True, slots=True)
class Binder:
    """A county's binder.

    Attributes
    ----------
    bound : every page, in the order in which it is bound
    pdf : all of them
    """

    bound: tuple[BoundPage | SiteSheet, ...]
    pdf: bytes

    @property
    def pages(self) -> tuple[BoundPage, ...]:
        """Those around the sheets and those in the place of one."""
        return tuple(page for page in self.bound if isinstance(page, BoundPage))

    @property
    def sheets(self) -> tuple[SiteSheet, ...]:
        """The sheets."""
        return tuple(page for page in self.bound if isinstance(page, SiteSheet))


def _leaf(page: BoundPage) -> Leaf:
    return Leaf.of(page.page, pdf=page.pdf, label=page.label)


def _sheet_leaf(made: SiteSheet, *, mapped: bool) -> Leaf:
    """A sheet as it is; its thumb tab leads to the map of its reach where there is one."""
    top = Destination(name=site_place(made.code), x_mm=0.0, y_mm=0.0)
    facts = made.facts
    tabs = facts.tabs if mapped else ()
    back = [Link(box=box, destination=map_place(facts.reach), block="tab") for box in tabs]
    return Leaf(
        pdf=partial(getattr, made, "pdf"),
        label=made.code,
        links=(*facts.links, *back),
        destinations=(*facts.destinations, top),
    )


def _reach_entry(press: Press, chapter: Chapter, places: Collection[str]) -> Entry:
    """A reach, its map, its seasons and its sites; the reach itself leads to the first of them.

    `places`: names of the destinations that there are.
    """
    words, reach = press.words, chapter.reach
    sites = tuple(
        Entry(title=_site_title(press, made), destination=site_place(made.code)) for made in chapter.sites
    )
    if reach is None:
        title = words("binder.outline.no_reach")
        return Entry(title=title, destination=sites[0].destination, children=sites)
    title = words("binder.outline.reach", code=reach.code, name=reach.name)
    there = (
        ("binder.map.outline", map_place(reach.code)),
        ("binder.seasons.outline", seasons_place(reach.code)),
    )
    ahead = (Entry(title=words(title), destination=place) for title, place in there if place in places)
    children = (*ahead, *sites)
    return Entry(title=title, destination=children[0].destination, children=children)


def _outline(press: Press, book: Sequence[Chapter], places: Collection[str]) -> tuple[Entry, ...]:
    """`places`: names of the destinations that there are."""
    words = press.words
    reaches = tuple(_reach_entry(press, chapter, places) for chapter in book)
    county = (
        [Entry(title=words("binder.map.title"), destination=map_place())] if map_place() in places else []
    )
    return (
        Entry(title=words("binder.label.cover"), destination="cover"),
        Entry(title=words("binder.read.title"), destination="how to read"),
        Entry(title=words("binder.contents.title"), destination="contents"),
        *county,
        *reaches,
        *_standing_entries(press, places),
        Entry(title=words("binder.permissions.title"), destination=PERMISSIONS_PLACE),
        Entry(title=words("binder.glossary.title"), destination=GLOSSARY_PLACE),
        Entry(title=words("binder.limits.title"), destination="limits"),
    )


def _standing_entries(press: Press, there: Collection[str]) -> list[Entry]:
    """Who rigs what, the agencies' pages and the shopping list, where they are."""
    if "matrix" not in there:
        return []
    words, prefix = press.words, agency_place("")
    agencies = tuple(
        Entry(title=words("binder.agency.page", code=name.removeprefix(prefix)), destination=name)
        for name in sorted(there)
        if name.startswith(prefix)
    )
    return [
        Entry(title=words("binder.cover_matrix.title"), destination="matrix", children=agencies),
        Entry(title=words("binder.shopping.title"), destination="shopping list"),
    ]


def _standing_pages(
    press: Press, book: Sequence[Chapter], agencies: Sequence[Agency], step_m: float
) -> tuple[BoundPage, ...]:
    """Who rigs what, a page for each agency, the shopping list."""
    standing = county_standing(book, agencies, step_m=step_m)
    return (
        *matrix_pages(press, standing),
        *agency_pages(press, standing),
        *shopping_pages(press, standing),
    )


def _site_title(press: Press, made: SiteSheet | NotPrinted) -> str:
    if isinstance(made, SiteSheet):
        return press.words("binder.outline.site", code=made.code, name=made.facts.name)
    return press.words("binder.outline.not_printed", code=made.code)


Keep = Callable[[object, Callable[[], tuple[BoundPage, ...]]], tuple[BoundPage, ...]]
"""Gives the pages that a call makes; the first argument is all that they depend on besides the files of the
county and its templates."""


def make_anew(_: object, make: Callable[[], tuple[BoundPage, ...]]) -> tuple[BoundPage, ...]:
    """Keeps nothing."""
    return make()


def _listed(made: SiteSheet | NotPrinted) -> object:
    """All that pages around the sheets may say of a site: its facts but for those of the sheet itself."""
    if isinstance(made, NotPrinted):
        return made
    return replace(made.facts, digest="", edition="", tabs=(), links=(), destinations=())


def _mapped(made: SiteSheet | NotPrinted) -> tuple[object, ...]:
    """What the maps say of a site."""
    if isinstance(made, NotPrinted):
        return (made.code, made.name, made.reach, made.place)
    facts = made.facts
    return (facts.code, facts.name, facts.reach, facts.place, facts.outside)


def _gauged(chapter: Chapter) -> list[object]:
    """What the seasons of a reach say."""
    sheets = [made.facts for made in chapter.sites if isinstance(made, SiteSheet)]
    return [(facts.code, facts.name, facts.gauge) for facts in sheets if facts.gauge is not None]


def bind(
    sites: Sequence[SiteSheet | NotPrinted],
    *,
    county: County,
    agencies: Sequence[Agency],
    policy: Policy,
    words: Words,
    template: PageTemplate,
    as_of: date,
    unread: Sequence[Fault] = (),
    layers: Sequence[Layer] = (),
    keep: Keep = make_anew,
) -> Binder:
    """Put a county's binder together. Same sites, same bytes.

    Parameters
    ----------
    unread : faults of whole files, whose sites are not known and stand nowhere else
    layers : background layers of the maps, the lowest first
    keep : gives pages around the sheets that were made before from the same, else makes them

    Raises
    ------
    PageError
        A page around the sheets cannot be laid out or does not keep the rules of print.
    InputFaults
        The wording lacks a text.
    """
    press = Press(words=words, template=template, looks=looks_of(template), county=county)
    book = chapters(county.reaches, sites)
    atlas = Atlas(book, tuple(agencies), tuple(layers))
    listed = [_listed(made) for made in sites]
    mapped = ([_mapped(made) for made in sites], agencies, [layer.name for layer in layers])
    front = (
        *keep(
            ("cover", count_sites(book), agencies, as_of), lambda: cover(press, book, agencies, as_of=as_of)
        ),
        *keep(("how to read",), lambda: how_to_read(press)),
        *keep(("contents", listed, unread), lambda: contents(press, book, unread)),
        *keep(("map", mapped), lambda: county_maps(press, atlas)),
    )
    bound: list[BoundPage | SiteSheet] = [*front]
    leaves = [(_leaf(page), False) for page in front]
    for chapter in book:
        code = None if chapter.reach is None else chapter.reach.code
        maps = keep(("map", code, mapped), partial(reach_maps, press, atlas, chapter))
        seasons = keep(
            ("seasons", code, _gauged(chapter)),
            partial(seasons_pages, press, chapter, not_count_on=policy.values.seasons.not_count_on),
        )
        bound += (*maps, *seasons)
        leaves += [(_leaf(page), False) for page in (*maps, *seasons)]
        for made in chapter.sites:
            if isinstance(made, SiteSheet):
                bound.append(made)
                leaves.append((_sheet_leaf(made, mapped=bool(maps)), True))
            else:
                pages = fault_pages(press, made)
                bound += pages
                leaves += [(_leaf(page), False) for page in pages]
    covered = [(made.facts.cover, made.facts.comers) for made in sites if isinstance(made, SiteSheet)]
    back = (
        *keep(
            ("who rigs what", listed, covered, agencies),
            lambda: _standing_pages(press, book, agencies, policy.values.purchase.rope_step),
        ),
        *keep(("permissions", listed), lambda: permissions(press, book)),
        *keep(("words",), lambda: glossary(press)),
        *keep(("limits", limits_decided(book)), lambda: limits_pages(press, book, policy)),
    )
    bound += back
    leaves += [(_leaf(page), False) for page in back]
    named = {place.name for leaf, _ in leaves for place in leaf.destinations}
    pdf = assemble(
        duplex(press, leaves),
        title=words("binder.title", county=county.name, edition=county.edition),
        lang=words("sheet.lang"),
        outline=_outline(press, book, named),
    )
    return Binder(bound=tuple(bound), pdf=pdf)
