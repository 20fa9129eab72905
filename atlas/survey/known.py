"""What a survey is checked against besides itself."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.records import County, Reach

__all__ = ["Known"]


@dataclass(frozen=True, slots=True)
class Known:
    """Names a survey may use.

    Attributes
    ----------
    county : its reaches are those a site may lie on
    agency_codes : agencies a site may name; None where the caches could not be read and nobody knows
    """

    county: County
    agency_codes: frozenset[str] | None

    def reach(self, code: str | None) -> Reach | None:
        """The reach of this code."""
        return next((reach for reach in self.county.reaches if reach.code == code), None)

    def reach_of_site(self, site: str) -> Reach | None:
        """The reach that a site's code begins with."""
        return self.reach(site.partition("-")[0])
