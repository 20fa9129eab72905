"""Single pages put together into one PDF: links, outline, page labels, fonts kept once."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from atlas.faults import PageError
from atlas.paper.fonts import MM_PER_PT

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from atlas.paper.boxes import Box, Destination, Link, Page

__all__ = ["Entry", "Leaf", "assemble"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One page of a binder.

    Attributes
    ----------
    pdf : a PDF of one page, or what gives it when its turn comes
    label : the page's name in a viewer, in the place of a running number
    links, destinations : of the laid-out page
    """

    pdf: bytes | Callable[[], bytes]
    label: str
    links: tuple[Link, ...] = ()
    destinations: tuple[Destination, ...] = ()

    @classmethod
    def of(cls, page: Page, *, pdf: bytes, label: str) -> Leaf:
        """A leaf of a laid-out page and its bytes."""
        return cls(pdf=pdf, label=label, links=page.links, destinations=page.destinations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the outline that leads to a named destination."""

    title: str
    destination: str
    children: tuple[Entry, ...] = ()


def _told(content: pikepdf.Object) -> bytes:
    """Everything an object holds, what it refers to included; of a stream, its bytes as they stand."""
    if isinstance(content, pikepdf.Stream):
        filters = content.get("/Filter", Name.Identity)
        return hashlib.sha256(content.read_raw_bytes()).digest() + filters.unparse()
    if isinstance(content, pikepdf.Dictionary):
        return b"<" + b" ".join(key.encode() + _told(value) for key, value in sorted(content.items())) + b">"
    if isinstance(content, pikepdf.Array):
        return b"[" + b" ".join(_told(content[number]) for number in range(len(content))) + b"]"
    return content.unparse() if isinstance(content, pikepdf.Object) else repr(content).encode()


class _Fonts:
    """Fonts kept once by what they hold. Never by name: subsets of one name hold different glyphs."""

    def __init__(self, binder: pikepdf.Pdf) -> None:
        self._binder = binder
        self._kept: dict[bytes, pikepdf.Object] = {}

    def taken_from(self, page: pikepdf.Page) -> dict[str, pikepdf.Object]:
        """The fonts of a page by their names on it, as the binder has them; the page is left without."""
        fonts = page.resources.get("/Font")
        if fonts is None:
            return {}
        found = {}
        for name, font in sorted(fonts.items()):
            if "/Name" in font:  # numbered by its page; no reader needs it since PDF 1.1
                del font["/Name"]
            held = hashlib.sha256(_told(font)).digest()
            if held not in self._kept:
                self._kept[held] = self._binder.copy_foreign(font)
            found[name] = self._kept[held]
        del page.resources["/Font"]
        return found


def _entries(outline: Sequence[Entry]) -> Iterator[Entry]:
    for entry in outline:
        yield entry
        yield from _entries(entry.children)


def _refuse_loose_ends(leaves: Sequence[Leaf], outline: Sequence[Entry]) -> None:
    """Every target exists, once."""
    names = Counter(destination.name for leaf in leaves for destination in leaf.destinations)
    faults = [f"destination '{name}' stands {count} times" for name, count in names.items() if count > 1]
    faults += [
        f"page '{leaf.label}' links to '{link.destination}', which is nowhere"
        for leaf in leaves
        for link in leaf.links
        if link.destination is not None and link.destination not in names
    ]
    faults += [
        f"outline entry '{entry.title}' leads to '{entry.destination}', which is nowhere"
        for entry in _entries(outline)
        if entry.destination not in names
    ]
    if faults:
        raise PageError("the pages do not hang together: " + "; ".join(faults))


def _rectangle(box: Box, height_pt: float) -> Array:
    edges_mm = (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)
    left, bottom, right, top = (edge / MM_PER_PT for edge in edges_mm)
    return Array([round(value, 3) for value in (left, height_pt - bottom, right, height_pt - top)])


def _add_links(page: pikepdf.Page, links: Sequence[Link]) -> None:
    """Annotations for the links that lead to another page; those to addresses are on the page already."""
    height_pt = float(page.mediabox[3])
    for link in links:
        if link.destination is None:
            continue
        if "/Annots" not in page:
            page.Annots = Array()
        page.Annots.append(
            Dictionary(
                Type=Name.Annot,
                Subtype=Name.Link,
                Rect=_rectangle(link.box, height_pt),
                Border=Array([0, 0, 0]),
                A=Dictionary(S=Name.GoTo, D=String(link.destination)),
            )
        )


def _add_destinations(binder: pikepdf.Pdf, leaves: Sequence[Leaf]) -> None:
    named: dict[str, Array] = {}
    for page, leaf in zip(binder.pages, leaves, strict=True):
        height_pt = float(page.mediabox[3])
        for place in leaf.destinations:
            left, top = place.x_mm / MM_PER_PT, height_pt - place.y_mm / MM_PER_PT
            named[place.name] = Array([page.obj, Name.XYZ, round(left, 3), round(top, 3), 0])
    tree = pikepdf.NameTree.new(binder)
    for name in sorted(named):
        tree[name] = named[name]
    binder.Root.Names = Dictionary(Dests=tree.obj)


def _add_outline(binder: pikepdf.Pdf, outline: Sequence[Entry]) -> None:
    def item(entry: Entry) -> pikepdf.OutlineItem:
        action = Dictionary(S=Name.GoTo, D=String(entry.destination))
        made = pikepdf.OutlineItem(entry.title, action=action)
        made.children.extend(item(child) for child in entry.children)
        return made

    with binder.open_outline() as root:
        root.root.extend(item(entry) for entry in outline)
    binder.Root.PageMode = Name.UseOutlines


def _add_labels(binder: pikepdf.Pdf, leaves: Sequence[Leaf]) -> None:
    numbers = Array()
    for number, leaf in enumerate(leaves):
        numbers.append(number)
        numbers.append(Dictionary(P=String(leaf.label)))
    binder.Root.PageLabels = Dictionary(Nums=numbers)


def _add_metadata(binder: pikepdf.Pdf, title: str, lang: str) -> None:
    binder.Root.Lang = String(lang)
    binder.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    binder.docinfo["/Title"] = title
    with binder.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as metadata:
        metadata["dc:title"] = title
        metadata["dc:language"] = [lang]


def _append(binder: pikepdf.Pdf, leaf: Leaf, fonts: _Fonts) -> None:
    """One page, complete in itself: nothing of it stays in the file it came from."""
    content = leaf.pdf if isinstance(leaf.pdf, bytes) else leaf.pdf()
    try:
        single = pikepdf.open(BytesIO(content))
    except pikepdf.PdfError as error:
        raise PageError(f"page '{leaf.label}' cannot be opened: {error}") from error
    with single:
        if len(single.pages) != 1:
            raise PageError(f"page '{leaf.label}' has {len(single.pages)} pages instead of one")
        shared = fonts.taken_from(single.pages[0])
        binder.pages.append(single.pages[0])
        page = binder.pages[-1]
        if shared:
            page.resources["/Font"] = Dictionary(shared)
        if "/Contents" in page.obj:
            _detach(page.obj.Contents)


def _detach(contents: pikepdf.Object) -> None:
    """What is drawn, copied, so that the file it came from can be let go."""
    streams = [contents] if isinstance(contents, pikepdf.Stream) else list(contents.as_list())
    for stream in streams:
        filters = stream.get("/Filter")
        stream.write(stream.read_raw_bytes(), filter=None if filters is None else Array(_listed(filters)))


def _listed(filters: pikepdf.Object) -> list[pikepdf.Object]:
    return list(filters.as_list()) if isinstance(filters, pikepdf.Array) else [filters]


def assemble(leaves: Sequence[Leaf], *, title: str, lang: str, outline: Sequence[Entry] = ()) -> bytes:
    """One PDF of single pages, in their order. Same leaves, same bytes.

    Parameters
    ----------
    title, lang : of the document; lang is a BCP 47 tag
    outline : the tree beside the pages in a viewer

    Raises
    ------
    PageError
        A leaf is no PDF of one page; a link or an outline entry leads nowhere; two destinations
        share a name.
    """
    _refuse_loose_ends(leaves, outline)
    target = BytesIO()
    with pikepdf.new() as binder:
        fonts = _Fonts(binder)
        for leaf in leaves:
            _append(binder, leaf, fonts)
        for page, leaf in zip(binder.pages, leaves, strict=True):
            _add_links(page, leaf.links)
        _add_destinations(binder, leaves)
        _add_labels(binder, leaves)
        if outline:
            _add_outline(binder, outline)
        _add_metadata(binder, title, lang)
        binder.save(target, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return target.getvalue()
