"""`resurvey`: fillable field forms, and filled ones or GPS tracks read back into the surveys."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption
from atlas.cli.outcome import Outcome, finish

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from atlas.cli.county import CountyInputs
    from atlas.editions.resurvey import Change, RawSite
    from atlas.faults import Fault

__all__ = ["resurvey"]

NamesArgument = Annotated[
    list[str] | None,
    typer.Argument(metavar="[SITE|FILE]...", help="Sites to print forms of, all if none; or files to read."),
]
ReadOption = Annotated[bool, typer.Option("--read", help="Read filled forms (.pdf), tracks (.gpx, .kml).")]
ReplaceOption = Annotated[
    bool, typer.Option("--replace", help="Write over the survey; the old one is kept as NAME.bak.")
]


def resurvey(
    names: NamesArgument = None,
    read: ReadOption = False,
    replace: ReplaceOption = False,
    county: CountyOption = None,
    out: OutOption = Path("output"),
    as_of: AsOfOption = None,
    debug: DebugOption = False,
) -> None:
    """Print a fillable form a site; with --read, take what came back into the surveys.

    An updated survey is written beside the old one as NAME.new, which is not read until it is put in place.
    """
    finish(
        lambda outcome: (
            _read(outcome, names or [], county, as_of, replace=replace)
            if read
            else _print(outcome, names or [], county, out, as_of)
        ),
        debug=debug,
    )


def _survey_paths(inputs: CountyInputs) -> tuple[Path, ...]:
    from atlas.caches import read_county

    return read_county(inputs.folder).survey_files


def _print(outcome: Outcome, asked: list[str], county: Path | None, out: Path, as_of: str | None) -> None:
    from atlas.cli.console import result
    from atlas.cli.county import read_everything
    from atlas.cli.sites import sites_asked
    from atlas.editions import write_file
    from atlas.editions.resurvey import form_pdf, raw_sites
    from atlas.paper.looks import looks_of
    from atlas.paper.press import Press

    reading = read_everything(county, as_of)
    inputs = reading.complete()
    codes = [site.code for site in sites_asked(outcome, inputs, reading.faults, asked or inputs.survey.codes)]
    press = Press(
        words=inputs.settings.words,
        template=inputs.template,
        looks=looks_of(inputs.template),
        county=inputs.county,
    )
    sites = raw_sites(_survey_paths(inputs))
    for code in codes:
        result(str(write_file(out / "forms" / f"{code}-form.pdf", form_pdf(sites[code], press))))


def _today(as_of: str | None) -> date:
    """The day forms are read: as given, else the clock; a county's day of issue is last year's."""
    from datetime import datetime

    from atlas.cli.county import parse_as_of

    return parse_as_of(as_of) or datetime.now().astimezone().date()


def _changes(
    paths: Sequence[Path], inputs: CountyInputs, sites: dict[str, RawSite]
) -> tuple[list[Change], list[Fault]]:
    from atlas.editions.resurvey import TRACKS, changes_of, read_form, read_track
    from atlas.faults import InputFaults
    from atlas.units import UnitSystem

    changes: list[Change] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            if path.suffix.lower() in TRACKS:
                found, told = read_track(path, sites)
            else:
                filled = read_form(path, inputs.county, sites)
                found, told = changes_of(filled, UnitSystem(inputs.county.units))
        except InputFaults as refused:
            faults += refused.faults
            continue
        faults += told
        if not told:
            changes += found
    return changes, [*faults, *_twice(changes)]


def _twice(changes: Sequence[Change]) -> list[Fault]:
    """Two files that change one value."""
    from collections import Counter

    from atlas.faults import Fault, Severity

    counts = Counter((one.site, one.what) for one in changes if one.feature is not None)
    return [
        Fault(
            "changed_twice",
            Severity.ERROR,
            f"several of the files change {what}",
            "the files together",
            site=site,
            todo="read one of them",
        )
        for (site, what), count in sorted(counts.items())
        if count > 1
    ]


def _read(
    outcome: Outcome, asked: list[str], county: Path | None, as_of: str | None, *, replace: bool
) -> None:
    from atlas.cli.console import result, say
    from atlas.cli.county import read_everything
    from atlas.editions.resurvey import apply_changes, check_updated, raw_sites, write_updated
    from atlas.faults import Severity, UsageError

    if not asked:
        raise UsageError("--read takes the forms or tracks to read; name at least one")
    today = _today(as_of)
    inputs = read_everything(county, today.isoformat()).complete()
    paths = _survey_paths(inputs)
    sites = raw_sites(paths)
    changes, faults = _changes([Path(name) for name in asked], inputs, sites)
    outcome.tell(faults)
    if any(fault.severity is not Severity.WARNING for fault in faults):
        say("nothing was written")
        return
    for change in changes:
        result(f"{change.site} {change.what}: {change.old} to {change.new}")
    if not changes:
        result("nothing is filled in that differs: no survey is changed")
        return
    files = apply_changes(changes, sites)
    told = check_updated(
        files,
        paths,
        {change.site for change in changes},
        county=inputs.county,
        agency_codes=frozenset(agency.code for agency in inputs.agencies),
        as_of=today,
    )
    outcome.tell(told)
    if any(fault.severity is not Severity.WARNING for fault in told):
        say("nothing was written")
        return
    for file in files:
        updated = write_updated(file, replace=replace)
        if updated.backup is not None:
            say(f"the old survey is kept as {updated.backup}")
        result(str(updated.path))
