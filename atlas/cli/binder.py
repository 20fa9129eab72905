"""`binder`: the county's whole binder, as an edition."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption, WithoutOption
from atlas.cli.outcome import Exit, Outcome, finish

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from atlas.binder import Binder, Earlier, NotPrinted, SiteSheet
    from atlas.cli.county import CountyInputs
    from atlas.cli.inputs import Inputs
    from atlas.editions import PageCache
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


@dataclass(frozen=True, slots=True)
class _Wish:
    """What was asked for. `today` is the clock's day, read once."""

    folder: Path
    out: Path
    as_of: str | None
    since: Path | None
    cluster: str | None
    without: tuple[str, ...]
    today: str


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
    outcome: Outcome,
    inputs: CountyInputs,
    earlier: Mapping[str, Earlier],
    *,
    cache: PageCache,
    cluster: str | None,
) -> list[SiteSheet | NotPrinted]:
    """Every site, from the cache where it was made from the same, else anew."""
    from atlas.binder import batches_of, make_sites
    from atlas.cli.console import progress
    from atlas.cli.executors import executor_for
    from atlas.cli.sites import lost_sites, tell_made, workshop_of

    batches = batches_of(inputs.survey.sites, earlier)
    found = [cache.find(batch) for batch in batches]
    wanted = [batch for batch, made in zip(batches, found, strict=True) if made is None]
    sites = sum(len(batch.sites) for batch in wanted)
    made: list[SiteSheet | NotPrinted] = []
    with (
        progress("sheet", sites) as advance,
        executor_for(len(wanted), sites, cluster=cluster) as executor,
    ):
        for batch in wanted:
            _LOG.debug("making %s", ", ".join(site.code for site in batch.sites))
        anew = make_sites(wanted, workshop_of(inputs), executor=executor, on_made=advance)
        for batch, there in zip(batches, found, strict=True):
            some = there if there is not None else cache.put(batch, next(anew))
            for site in some:
                tell_made(outcome, site)
            made += some
    _LOG.debug("%d sites found, %d made", cache.found, cache.made)
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
    from datetime import datetime

    from atlas.cli.choose import choose_county, parse_as_of
    from atlas.cli.console import result, say
    from atlas.cli.inputs import file_digest, inputs_of
    from atlas.cli.unchanged import last_run

    parse_as_of(as_of)
    folder = choose_county(county)
    record = "" if since is None else f"{since} {file_digest(since / 'edition.json')}"
    given = inputs_of(folder, out=out, options=(as_of or "", record, *without))
    today = datetime.now().astimezone().date().isoformat()
    last = last_run(out, folder, inputs=given.everything, today=today)
    if last is None:
        wish = _Wish(folder, out, as_of, since, cluster, tuple(without), today)
        _print(outcome, wish, given)
        return
    outcome.at_least(Exit(last.code))
    result(str(out / last.edition / "binder.pdf"))
    for line in last.said:
        say(line)


def _print(outcome: Outcome, wish: _Wish, given: Inputs) -> None:
    """Make what is not there yet, bind it, and put the edition in its place."""
    from atlas.binder import NotPrinted, SiteSheet
    from atlas.cli.console import result, say
    from atlas.cli.county import read_everything
    from atlas.cli.unchanged import CACHE, LastRun, remember
    from atlas.editions import (
        EditionFacts,
        PageCache,
        earlier_sheets,
        edition_name,
        refuse_foreign,
        write_edition,
    )

    reading = read_everything(wish.folder, wish.as_of)
    inputs = _as_without(reading.complete(), wish.without)
    outcome.tell(reading.faults)
    name = edition_name(inputs.county)
    refuse_foreign(wish.out / name)  # before the work, and again when it is done
    earlier = {} if wish.since is None else earlier_sheets(wish.since)
    facts = EditionFacts(inputs.county, inputs.settings.policy, inputs.settings.words, inputs.as_of)
    digest = f"{given.rest} {inputs.as_of.isoformat()}"
    cache = PageCache(wish.out / CACHE / name, digest=digest, stamps=(facts.stamp,))
    sites = _make(outcome, inputs, earlier, cache=cache, cluster=wish.cluster)
    made = [_on_paper(inputs, site) for site in sites]
    if not made:
        say("there is no site to print: no edition was written")
        outcome.at_least(Exit.NOT_ALL_MADE)
        return
    book = _bound(inputs, made, reading.faults, cache)
    lost = [site for site in made if isinstance(site, NotPrinted)]
    written = write_edition(wish.out, book, lost, facts)
    cache.tidy()
    result(str(written.place / "binder.pdf"))
    printed = sum(isinstance(site, SiteSheet) for site in made)
    end = f"{printed} of {len(made)} sites printed, as of {inputs.as_of.isoformat()}; {outcome.summary()}"
    say(end)
    if outcome.code < Exit.DEFECT:
        clock = wish.today if wish.as_of is None and inputs.county.issued is None else None
        said, code = (*outcome.lines, end), int(outcome.code)
        run = LastRun(given.everything, name, code, said, clock, dict(written.digests))
        remember(wish.out, wish.folder, run)


def _bound(
    inputs: CountyInputs,
    made: Sequence[SiteSheet | NotPrinted],
    faults: Sequence[Fault],
    cache: PageCache,
) -> Binder:
    from atlas.binder import bind

    settings = inputs.settings
    return bind(
        made,
        county=inputs.county,
        agencies=[agency for agency in inputs.agencies if agency.code not in inputs.without],
        policy=settings.policy,
        words=settings.words,
        template=inputs.template,
        as_of=inputs.as_of,
        unread=[inputs.inside(fault) for fault in _of_sites(faults, inputs)],
        layers=inputs.background.layers,
        keep=cache.keep,
    )
