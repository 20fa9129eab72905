"""Single pages put together into one PDF: links, outline, page labels, fonts kept once."""

from __future__ import annotations

import hashlib
from collections import Counter
from contextlib import ExitStack
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from atlas.faults import PageError
from atlas.paper.fonts import MM_PER_PT

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from atlas.paper.boxes import Box, Destination, Link, Page

__all__ = ["Entry", "Leaf", "assemble"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One page of a binder.

    Attributes
    ----------
    pdf : a PDF of one page
    label : the page's name in a viewer, in the place of a running number
    links, destinations : of the laid-out page
    """

    pdf: bytes
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


def _fingerprint(content: pikepdf.Object) -> bytes:
    """Hash of an object as it stands; equal only if what it refers to is already the same object."""
    if isinstance(content, pikepdf.Stream):
        raw = hashlib.sha256(content.read_raw_bytes())
        filters = content.get("/Filter", Name.Identity)
        raw.update(filters.unparse())
        return b"stream" + raw.digest()
    return hashlib.sha256(content.unparse(resolved=True)).digest()


class _Shared:
    """Objects kept once by what they hold. Never by name: subsets of one name hold different glyphs."""

    def __init__(self) -> None:
        self._kept: dict[bytes, pikepdf.Object] = {}

    def keep(self, content: pikepdf.Object) -> pikepdf.Object:
        return self._kept.setdefault(_fingerprint(content), content)


def _share_fonts(pages: Sequence[pikepdf.Page]) -> None:
    """Let equal fonts be one object, from the font program upward."""
    shared = _Shared()
    for page in pages:
        fonts = page.resources.get("/Font", Dictionary())
        for name, font in sorted(fonts.items()):
            descriptor = font.FontDescriptor
            descriptor.FontFile2 = shared.keep(descriptor.FontFile2)
            font.FontDescriptor = shared.keep(descriptor)
            font.ToUnicode = shared.keep(font.ToUnicode)
            if "/Name" in font:  # numbered by its page; no reader needs it since PDF 1.1
                del font["/Name"]
            fonts[name] = shared.keep(font)


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


def _append(binder: pikepdf.Pdf, leaf: Leaf, held: ExitStack) -> None:
    try:
        single = held.enter_context(pikepdf.open(BytesIO(leaf.pdf)))
    except pikepdf.PdfError as error:
        raise PageError(f"page '{leaf.label}' cannot be opened: {error}") from error
    if len(single.pages) != 1:
        raise PageError(f"page '{leaf.label}' has {len(single.pages)} pages instead of one")
    binder.pages.append(single.pages[0])


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
    with pikepdf.new() as binder, ExitStack() as held:
        for leaf in leaves:
            _append(binder, leaf, held)
        _share_fonts(list(binder.pages))
        for page, leaf in zip(binder.pages, leaves, strict=True):
            _add_links(page, leaf.links)
        _add_destinations(binder, leaves)
        _add_labels(binder, leaves)
        if outline:
            _add_outline(binder, outline)
        _add_metadata(binder, title, lang)
        binder.save(target, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return target.getvalue()
