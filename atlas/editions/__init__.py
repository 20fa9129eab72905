"""What was printed: an edition's folder, written whole or not at all, and its record."""

from atlas.editions.files import write_file
from atlas.editions.fingerprint import page_hash
from atlas.editions.folder import Build, building, cannot_write, refuse_foreign
from atlas.editions.record import EditionFacts, edition_json, sheet_path, workings_path
from atlas.editions.write import edition_name, write_edition

__all__ = [
    "Build",
    "EditionFacts",
    "building",
    "cannot_write",
    "edition_json",
    "edition_name",
    "page_hash",
    "refuse_foreign",
    "sheet_path",
    "workings_path",
    "write_edition",
    "write_file",
]
