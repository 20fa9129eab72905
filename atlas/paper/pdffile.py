"""The file format around what is drawn: objects, their table, title, language.

ISO 32000-1. Written here because a library's document costs more than all drawing on it; what comes
out is opened and checked with another program (`atlas.paper.check`).
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from atlas.paper.fontfile import Embedded

__all__ = ["DEFLATED", "Sheet", "pdf_file", "stream_body", "table_line", "text_string"]

_HEADER = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
DEFLATED = "/Filter [/FlateDecode]"
"""Entry of a stream's dictionary that says how it is packed."""
_XMP = """<?xpacket begin="\N{ZERO WIDTH NO-BREAK SPACE}" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{lang}</rdf:li></rdf:Bag></dc:language></rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One page drawn: its size in points, its contents deflated, and the addresses it leads to.

    Attributes
    ----------
    links : left, lower, right, upper edge in points, and the address
    """

    width_pt: float
    height_pt: float
    contents: bytes
    links: tuple[tuple[tuple[float, float, float, float], str], ...]


def text_string(text: str) -> str:
    """A text for a reader's eyes, whatever its letters (ISO 32000-1, 7.9.2.2)."""
    marked = b"\xfe\xff" + text.encode("utf-16-be", "surrogatepass")
    return f"<{marked.hex().upper()}>"


def _literal(text: str) -> str:
    """An address as a string."""
    return "(" + text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)") + ")"


def stream_body(content: bytes, entries: str = DEFLATED) -> bytes:
    """A stream with its dictionary."""
    head = f"<< {entries} /Length {len(content)} >>\nstream\n".encode("latin-1")
    return head + content + b"\nendstream"


def table_line(at: int) -> bytes:
    """A line of the table of objects: twenty bytes, always (ISO 32000-1, 7.5.4)."""
    return b"%010d 00000 n \n" % at


class _Objects:
    """Numbered objects of a file in the order in which they were asked for."""

    def __init__(self) -> None:
        self.bodies: list[bytes] = []

    def reserve(self) -> int:
        self.bodies.append(b"")
        return len(self.bodies)

    def put(self, number: int, body: str) -> None:
        self.bodies[number - 1] = body.encode("latin-1")

    def add(self, body: str) -> int:
        number = self.reserve()
        self.put(number, body)
        return number

    def stream(self, content: bytes, entries: str = DEFLATED) -> int:
        self.bodies.append(stream_body(content, entries))
        return len(self.bodies)


def _font(objects: _Objects, embedded: Embedded) -> int:
    program = objects.stream(embedded.program, f"{DEFLATED} /Length1 {embedded.length}")
    descriptor = objects.add(embedded.descriptor.replace("{program}", str(program)))
    to_unicode = objects.stream(embedded.to_unicode)
    font = embedded.font.replace("{descriptor}", str(descriptor))
    return objects.add(font.replace("{to_unicode}", str(to_unicode)))


def _annotation(edges: Sequence[float], url: str) -> str:
    corners = " ".join(f"{edge:.3f}" for edge in edges)
    return (
        f"<< /Type /Annot /Subtype /Link /Rect [{corners}] /Border [0 0 0] /F 4"
        f" /A << /S /URI /URI {_literal(url)} >> >>"
    )


def _page(objects: _Objects, sheet: Sheet, tree: int, resources: int) -> int:
    contents = objects.stream(sheet.contents)
    annotations = [objects.add(_annotation(edges, url)) for edges, url in sheet.links]
    listed = f" /Annots [{' '.join(f'{number} 0 R' for number in annotations)}]" if annotations else ""
    return objects.add(
        f"<< /Type /Page /Parent {tree} 0 R /MediaBox [0 0 {sheet.width_pt:.3f} {sheet.height_pt:.3f}]"
        f" /Resources {resources} 0 R /Contents {contents} 0 R{listed} >>"
    )


def _written(objects: _Objects, root: int, info: int) -> bytes:
    """Header, objects, their table, trailer; the identity is a hash of what is in it."""
    parts = [_HEADER]
    at = len(_HEADER)
    table = [b"0000000000 65535 f \n"]
    for number, body in enumerate(objects.bodies, start=1):
        whole = b"%d 0 obj\n%b\nendobj\n" % (number, body)
        table.append(table_line(at))
        parts.append(whole)
        at += len(whole)
    identity = hashlib.sha256(b"".join(parts)).hexdigest()[:32].upper()
    count = len(table)
    parts.append(b"xref\n0 %d\n" % count)
    parts += table
    parts.append(
        f"trailer\n<< /Size {count} /Root {root} 0 R /Info {info} 0 R"
        f" /ID [<{identity}> <{identity}>] >>\nstartxref\n{at}\n%%EOF\n".encode("ascii")
    )
    return b"".join(parts)


def pdf_file(
    sheets: Sequence[Sheet],
    fonts: Mapping[str, Embedded],
    *,
    title: str,
    lang: str,
) -> bytes:
    """A PDF of drawn pages. Same pages, same bytes.

    Parameters
    ----------
    fonts : of all pages, by their names there
    title, lang : of the document; lang is a BCP 47 tag
    """
    objects = _Objects()
    root, info, tree, resources = (objects.reserve() for _ in range(4))
    named = " ".join(f"/{name} {_font(objects, font)} 0 R" for name, font in fonts.items())
    objects.put(resources, f"<< /Font << {named} >> >>")
    pages = [_page(objects, sheet, tree, resources) for sheet in sheets]
    kids = " ".join(f"{page} 0 R" for page in pages)
    objects.put(tree, f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>")
    objects.put(info, f"<< /Title {text_string(title)} >>")
    xmp = _XMP.format(title=escape(title), lang=escape(lang)).encode()
    metadata = objects.stream(xmp, "/Type /Metadata /Subtype /XML")
    objects.put(
        root,
        f"<< /Type /Catalog /Pages {tree} 0 R /Lang {text_string(lang)} /Metadata {metadata} 0 R"
        f" /ViewerPreferences << /DisplayDocTitle true >> >>",
    )
    return _written(objects, root, info)
