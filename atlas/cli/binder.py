"""`binder`: the county's whole binder, as an edition."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption, WithoutOption
from atlas.cli.outcome import Exit, Outcome, finish

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from atlas.binder import Earlier, NotPrinted, SiteSheet
    from atlas.cli.county import CountyInputs
    from atlas.faults import Fault

__all__ = ["binder"]

_LOG = logging.getLogger(__name__)

SinceOption = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        help="An earlier edition: a sheet that reads the same keeps the edition in which it last changed.",
    ),
]
ClusterOption = Annotated[
    str | None,
    typer.Option(metavar="ADDRESS", help="Make the sheets on a dask cluster, like tcp://host:8786."),
]


def binder(
    county: CountyOption = None,
    out: OutOption = Path("output"),
    as_of: AsOfOption = None,
    since: SinceOption = None,
    cluster: ClusterOption = None,
    without: WithoutOption = None,
    debug: DebugOption = False,
) -> None:
    """Print the county's whole binder.

    With every sheet and its workings, as OUT/COUNTY-EDITION/. A run that fails or is stopped leaves an
    earlier edition as it was.
    """
    finish(lambda outcome: _binder(outcome, county, out, as_of, since, cluster, without or []), debug=debug)


def _make(
    outcome: Outcome, inputs: CountyInputs, earlier: Mapping[str, Earlier], cluster: str | None
) -> list[SiteSheet | NotPrinted]:
    from atlas.binder import batches_of, make_sites
    from atlas.cli.console import progress
    from atlas.cli.executors import executor_for
    from atlas.cli.sites import lost_sites, tell_made, workshop_of

    sites = inputs.survey.sites
    batches = batches_of(sites, earlier)
    made: list[SiteSheet | NotPrinted] = []
    with progress("sheet", len(sites)) as advance, executor_for(len(sites), cluster=cluster) as executor:
        for some in make_sites(batches, workshop_of(inputs), executor=executor, on_made=advance):
            for site in some:
                tell_made(outcome, site)
                _LOG.debug("made %s", site.code)
            made += some
    return [*made, *lost_sites(inputs)]


def _as_without(inputs: CountyInputs, without: Sequence[str]) -> CountyInputs:
    """As if some agencies were committed elsewhere: an edition of its own, named so on every page."""
    from dataclasses import replace

    inputs = inputs.as_without(without)
    if not inputs.without:
        return inputs
    edition = "-".join((inputs.county.edition, "without", *inputs.without))
    return replace(inputs, county=replace(inputs.county, edition=edition))


def _on_paper(inputs: CountyInputs, made: SiteSheet | NotPrinted) -> SiteSheet | NotPrinted:
    """Faults with their files named from the county's folder."""
    from dataclasses import replace

    from atlas.binder import NotPrinted

    if not isinstance(made, NotPrinted):
        return made
    return replace(made, faults=tuple(inputs.inside(fault) for fault in made.faults))


def _of_sites(faults: Sequence[Fault], inputs: CountyInputs) -> list[Fault]:
    """Files that could not be read and may have held sites: not the layers behind the maps."""
    from atlas.faults import Severity

    behind = set(inputs.background.faults)
    names_layers = str(inputs.folder / "county.toml")
    return [
        fault
        for fault in faults
        if fault.severity is Severity.FILE and fault not in behind and fault.file != names_layers
    ]


def _binder(
    outcome: Outcome,
    county: Path | None,
    out: Path,
    as_of: str | None,
    since: Path | None,
    cluster: str | None,
    without: list[str],
) -> None:
    from atlas.binder import NotPrinted, SiteSheet, bind
    from atlas.cli.console import result, say
    from atlas.cli.county import read_everything
    from atlas.editions import EditionFacts, earlier_sheets, edition_name, refuse_foreign, write_edition

    reading = read_everything(county, as_of)
    inputs = _as_without(reading.complete(), without)
    outcome.tell(reading.faults)
    refuse_foreign(out / edition_name(inputs.county))  # before the work, and again when it is done
    earlier = {} if since is None else earlier_sheets(since)
    made = [_on_paper(inputs, site) for site in _make(outcome, inputs, earlier, cluster)]
    if not made:
        say("there is no site to print: no edition was written")
        outcome.at_least(Exit.NOT_ALL_MADE)
        return
    settings = inputs.settings
    book = bind(
        made,
        county=inputs.county,
        agencies=[agency for agency in inputs.agencies if agency.code not in inputs.without],
        policy=settings.policy,
        words=settings.words,
        template=inputs.template,
        as_of=inputs.as_of,
        unread=[inputs.inside(fault) for fault in _of_sites(reading.faults, inputs)],
        layers=inputs.background.layers,
    )
    lost = [site for site in made if isinstance(site, NotPrinted)]
    facts = EditionFacts(inputs.county, settings.policy, settings.words, inputs.as_of)
    place = write_edition(out, book, lost, facts)
    result(str(place / "binder.pdf"))
    printed = sum(isinstance(site, SiteSheet) for site in made)
    say(f"{printed} of {len(made)} sites printed, as of {inputs.as_of.isoformat()}; {outcome.summary()}")
