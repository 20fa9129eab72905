"""edition.json: what was printed, with which tool and policy, and the hash of each page."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from atlas import __version__
from atlas.binder import Binder, NotPrinted
from atlas.editions.fingerprint import page_hash
from atlas.records import County
from atlas.settings import Policy, Words

__all__ = ["BINDER_PATH", "SCHEMA", "EditionFacts", "edition_json", "sheet_path", "workings_path"]

SCHEMA = 1
BINDER_PATH = "binder.pdf"


def sheet_path(code: str) -> str:
    """Where a site's sheet stands in an edition."""
    return f"sheets/{code}.pdf"


def workings_path(code: str) -> str:
    """Where a site's workings stand in an edition."""
    return f"workings/{code}.json"


@dataclass(frozen=True, slots=True)
class EditionFacts:
    """What holds for a whole edition.

    Attributes
    ----------
    changed_in : edition in which a sheet last changed, by site; those left out changed in this one
    """

    county: County
    policy: Policy
    words: Words
    as_of: date
    changed_in: Mapping[str, str]

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


def _pages(binder: Binder, facts: EditionFacts) -> list[dict[str, object]]:
    """The pages around the sheets, then the sheets, each with its hash without the edition's stamp."""
    around: list[dict[str, object]] = [
        {
            "label": bound.label,
            "path": BINDER_PATH,
            "hash": page_hash(bound.page, stamps=(facts.stamp,)),
        }
        for bound in binder.pages
    ]
    sheets: list[dict[str, object]] = []
    for made in binder.sheets:
        edition = facts.changed_in.get(made.code, facts.county.edition)
        stamp = facts.words("sheet.foot.edition", edition=edition)
        sheets.append(
            {
                "label": made.code,
                "path": sheet_path(made.code),
                "hash": page_hash(made.page, stamps=(stamp,)),
                "changed_in": edition,
                "workings": workings_path(made.code),
            }
        )
    return [*around, *sheets]


def edition_json(binder: Binder, not_printed: Sequence[NotPrinted], facts: EditionFacts) -> bytes:
    """The record of an edition as UTF-8 JSON. Same input, same bytes; no clock, no path of this machine."""
    county = facts.county
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
        "pages": _pages(binder, facts),
        "not_printed": [
            {"site": made.code, "faults": sorted({fault.code for fault in made.faults})}
            for made in sorted(not_printed, key=lambda made: made.code)
        ],
    }
    text = json.dumps(found, ensure_ascii=False, allow_nan=False, indent=2)
    return f"{text}\n".encode()
