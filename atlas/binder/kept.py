"""Sheets as bytes: between processes and in a cache, opened only as far as somebody looks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from atlas.binder.site_sheet import SheetFacts, SiteSheet
from atlas.records.pickled import packed, unpacked

__all__ = ["PARTS", "Bytes", "InMemory", "KeptSheet", "keep_sheet"]

PARTS = ("pdf", "workings", "plan", "attached")
"""What is kept of a sheet beside its facts; the laid-out page is not, for nobody asks for it again."""


class Bytes(Protocol):
    """Bytes that are somewhere."""

    def read(self) -> bytes:
        """All of them."""


@dataclass(frozen=True, slots=True)
class InMemory:
    """Bytes that are here."""

    content: bytes

    def read(self) -> bytes:
        """All of them."""
        return self.content


class KeptSheet(SiteSheet):
    """A sheet whose facts are here and whose parts are read at every asking."""

    def __init__(self, facts: SheetFacts, parts: Mapping[str, Bytes]) -> None:
        self.__dict__.update(facts=facts, kept=dict(parts))

    def __getattr__(self, name: str) -> object:
        """A part; called for what is not here."""
        kept: dict[str, Bytes] = self.__dict__.get("kept", {})
        if name not in kept:
            raise AttributeError(name)
        content = kept[name].read()
        return unpacked(content) if name == "plan" else content

    @property
    def code(self) -> str:
        """The site's."""
        return self.facts.code

    @property
    def filed(self) -> bytes:
        """The sheet as a file of its own."""
        return self.part("pdf") + self.part("attached")

    def part(self, name: str) -> bytes:
        """A part as bytes."""
        kept: dict[str, Bytes] = self.__dict__["kept"]
        return kept[name].read()


def keep_sheet(sheet: SiteSheet) -> KeptSheet:
    """A sheet that was just made, as bytes."""
    if isinstance(sheet, KeptSheet):
        return sheet
    parts = {
        "pdf": sheet.pdf,
        "workings": sheet.workings,
        "plan": packed(sheet.plan),
        "attached": sheet.filed[len(sheet.pdf) :],  # added behind the page, and packed where it was made
    }
    return KeptSheet(sheet.facts, {name: InMemory(content) for name, content in parts.items()})
