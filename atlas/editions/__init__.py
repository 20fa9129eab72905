"""What was printed: an edition's folder, written whole or not at all, and its record."""

from atlas.editions.cache import PageCache
from atlas.editions.files import write_file
from atlas.editions.folder import Build, building, cannot_write, refuse_foreign
from atlas.editions.read import Edition, PageEntry, read_edition
from atlas.editions.record import EditionFacts, edition_json, sheet_path, workings_path
from atlas.editions.write import Written, earlier_sheets, edition_name, write_edition

__all__ = [
    "Build",
    "Edition",
    "EditionFacts",
    "PageCache",
    "PageEntry",
    "Written",
    "building",
    "cannot_write",
    "earlier_sheets",
    "edition_json",
    "edition_name",
    "read_edition",
    "refuse_foreign",
    "sheet_path",
    "workings_path",
    "write_edition",
    "write_file",
]
