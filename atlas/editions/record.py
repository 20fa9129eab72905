"""edition.json: what was printed, with which tool and policy, and the hash of each page.

Small: what the pages say is on them, what was computed is in ``workings/``, a file a site.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from atlas import __version__
from atlas.binder import Binder, BoundPage, NotPrinted, SheetFacts, SiteSheet
from atlas.paper import page_hash
from atlas.records import County
from atlas.settings import Policy, Words

__all__ = ["BINDER_PATH", "SCHEMA", "EditionFacts", "edition_json", "sheet_path", "workings_path"]

SCHEMA = 2
BINDER_PATH = "binder.pdf"


def sheet_path(code: str) -> str:
    """Where a site's sheet stands in an edition."""
    return f"sheets/{code}.pdf"


def workings_path(code: str) -> str:
    """Where a site's workings stand in an edition."""
    return f"workings/{code}.json"


@dataclass(frozen=True, slots=True)
class EditionFacts:
    """What holds for a whole edition."""

    county: County
    policy: Policy
    words: Words
    as_of: date

    @property
    def stamp(self) -> str:
        """How this edition is named on a page."""
        return self.words("sheet.foot.edition", edition=self.county.edition)


def _policy(policy: Policy) -> dict[str, object]:
    """Every value in SI, with the unit that the policy's file writes it in, and one hash of all."""
    values = {
        key: {"value": policy.entry(key), "unit": provenance.unit, "source": provenance.source}
        for key, provenance in sorted(policy.provenance.items())
    }
    told = json.dumps(values, ensure_ascii=False, sort_keys=True).encode()
    return {"hash": hashlib.sha256(told).hexdigest(), "values": values}


def _sheet(facts: SheetFacts) -> dict[str, object]:
    """A sheet, with what the yearly turn asks of every site before it opens any workings."""
    return {
        "label": facts.code,
        "kind": "sheet",
        "path": sheet_path(facts.code),
        "hash": facts.digest,
        "changed_in": facts.edition,
        "workings": workings_path(facts.code),
        "name": facts.name,
        "reach": facts.reach,
        "surveyed": facts.surveyed.isoformat(),
        "valid_until": facts.valid_until.isoformat(),
    }


def _page(bound: BoundPage, stamp: str, codes: Mapping[str, NotPrinted]) -> dict[str, object]:
    """A page around the sheets, or one in the place of a sheet."""
    return {
        "label": bound.label,
        "kind": "not_printed" if bound.label in codes else "around",
        "path": BINDER_PATH,
        "hash": bound.digest or page_hash(bound.page, stamps=(stamp,)),
    }


def edition_json(binder: Binder, not_printed: Sequence[NotPrinted], facts: EditionFacts) -> bytes:
    """The record of an edition as UTF-8 JSON. Same input, same bytes; no clock, no path of this machine.

    Pages stand in the order in which they are bound.
    """
    county = facts.county
    lost = {made.code: made for made in not_printed}
    found = {
        "schema": SCHEMA,
        "tool": {"name": "reach-atlas", "version": __version__},
        "county": county.name,
        "folder": county.folder,
        "edition": county.edition,
        "as_of": facts.as_of.isoformat(),
        "paper": county.paper,
        "units": county.units,
        "policy": _policy(facts.policy),
        "pages": [
            _sheet(bound.facts) if isinstance(bound, SiteSheet) else _page(bound, facts.stamp, lost)
            for bound in binder.bound
        ],
        "not_printed": [
            {"site": code, "faults": sorted({fault.code for fault in made.faults})}
            for code, made in sorted(lost.items())
        ],
    }
    text = json.dumps(found, ensure_ascii=False, allow_nan=False, indent=1)
    return f"{text}\n".encode()
