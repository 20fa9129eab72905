"""Sites asked for by their codes."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from atlas.binder import NotPrinted, SiteSheet, Workshop, make_site
from atlas.cli.county import CountyInputs
from atlas.cli.outcome import Outcome
from atlas.faults import Fault, Severity, UsageError, clean_text
from atlas.records import Site

__all__ = ["lost_sites", "make_asked", "sites_asked", "tell_made", "workshop_of"]

_NEAREST = 3


def workshop_of(inputs: CountyInputs) -> Workshop:
    """What the county's sites are made with."""
    return Workshop(
        inputs.county, inputs.agencies, inputs.settings, inputs.template, inputs.as_of, inputs.without
    )


def _known(asked: Sequence[str], codes: Sequence[str]) -> tuple[str, ...]:
    """The codes asked for, each once, written as the county writes them.

    Raises
    ------
    UsageError
        Codes the county does not have, each with its nearest.
    """
    by_upper = {code.upper(): code for code in codes}
    unknown = [code for code in asked if code.upper() not in by_upper]
    if unknown:
        told = [f"the county has no site {clean_text(code)}{_nearest(code, codes)}" for code in unknown]
        raise UsageError("\n".join(told))
    return tuple(dict.fromkeys(by_upper[code.upper()] for code in asked))


def _nearest(code: str, codes: Sequence[str]) -> str:
    if not codes:
        return "; it has none"
    near = sorted(codes, key=lambda known: _distance(code.upper(), known))
    return f"; nearest: {', '.join(near[:_NEAREST])}"


def _distance(asked: str, known: str) -> tuple[float, int, str]:
    """Unlike letters first, then numbers apart."""
    (letters, number), (own, own_number) = map(_parts, (asked, known))
    return 1.0 - SequenceMatcher(None, letters, own).ratio(), abs(number - own_number), known


def _parts(code: str) -> tuple[str, int]:
    letters = "".join(mark for mark in code if mark.isalpha())
    digits = "".join(mark for mark in code if mark in "0123456789")[:9]
    return letters, int(digits or 0)


def _concerns(fault: Fault, asked: frozenset[str]) -> bool:
    """Of one of the sites, or of a whole file, which may hold them."""
    return fault.severity is Severity.FILE or fault.site is None or fault.site in asked


def lost_sites(inputs: CountyInputs) -> tuple[NotPrinted, ...]:
    """Sites that could not be read."""
    return tuple(NotPrinted(site.code, site.name, site.reach, site.faults) for site in inputs.survey.broken)


def tell_made(outcome: Outcome, made: SiteSheet | NotPrinted) -> None:
    """Tell the faults of a site that could not be made."""
    if isinstance(made, NotPrinted):
        outcome.tell(made.faults)
        if made.defect is not None:
            outcome.defect(made.defect)


def sites_asked(
    outcome: Outcome, inputs: CountyInputs, faults: Sequence[Fault], asked: Sequence[str]
) -> tuple[Site, ...]:
    """The sites asked for that can be used; the faults that concern them are told.

    Raises
    ------
    UsageError
        A code the county does not have.
    """
    codes = _known(asked, inputs.survey.codes)
    outcome.tell(fault for fault in faults if _concerns(fault, frozenset(codes)))
    whole = {site.code: site for site in inputs.survey.sites}
    return tuple(whole[code] for code in codes if code in whole)


def make_asked(outcome: Outcome, inputs: CountyInputs, sites: Sequence[Site]) -> tuple[SiteSheet, ...]:
    """Make sites; those that cannot be made are told."""
    shop = workshop_of(inputs)
    sheets = []
    for site in sites:
        made = make_site(site, shop)
        tell_made(outcome, made)
        if isinstance(made, SiteSheet):
            sheets.append(made)
    return tuple(sheets)
