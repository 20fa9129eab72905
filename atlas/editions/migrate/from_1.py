"""Schema 1 to 2: pages in the order of the binder, each with its kind.

Schema 1 listed the pages around the sheets first, then the sheets by their chapters, and said of a sheet
neither name nor survey; where those are asked for, they are in its workings.
"""

from __future__ import annotations

__all__ = ["from_1"]

Record = dict[str, object]

_LAST = "Limits"
"""In schema 1 nothing was bound behind the limits; their further pages are counted after this label."""


def _reach(label: str) -> str:
    """The reach that a sheet, or the map of a reach, belongs to; of any other page nothing."""
    return label.removeprefix("Map ").split(" ")[0].split("-")[0]


def _with_kind(page: Record, lost: frozenset[object]) -> Record:
    if "changed_in" in page:
        return {**page, "kind": "sheet"}
    return {**page, "kind": "not_printed" if page.get("label") in lost else "around"}


def from_1(record: Record) -> Record:
    """A record of schema 1 as one of schema 2. What is no list of pages is left for the reader to refuse."""
    pages, lost = record.get("pages"), record.get("not_printed")
    if not isinstance(pages, list) or not all(isinstance(page, dict) for page in pages):
        return {**record, "schema": 2}
    known = lost if isinstance(lost, list) else []
    codes = frozenset(one.get("site") for one in known if isinstance(one, dict))
    found = [_with_kind(page, codes) for page in pages]
    sheets = [page for page in found if page["kind"] == "sheet"]
    order = list(dict.fromkeys(_reach(str(page.get("label"))) for page in sheets))

    def place(page: Record) -> tuple[int, int]:
        label = str(page.get("label"))
        if label.startswith(_LAST):
            return (len(order) + 1, 0)
        reach = _reach(label)
        if page["kind"] == "around" and (reach not in order or not label.startswith("Map ")):
            return (-1, 0)
        return (order.index(reach) if reach in order else len(order), page["kind"] != "around")

    return {**record, "schema": 2, "pages": sorted(found, key=place)}
