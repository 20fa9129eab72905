"""`brief`: a mutual-aid briefing of some sites, a reach, or an agency's sites."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption, WithoutOption
from atlas.cli.outcome import Outcome, finish
from atlas.faults import UsageError, clean_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from atlas.briefs import WaterSaid
    from atlas.cli.county import CountyInputs
    from atlas.records import Site
    from atlas.water import AskedWater

__all__ = ["brief"]

SitesOption = Annotated[
    list[str] | None, typer.Option("--site", metavar="CODE", help="A site; again for another.")
]
ReachOption = Annotated[str | None, typer.Option(metavar="REACH", help="Every site of a reach.")]
AgencyOption = Annotated[
    str | None, typer.Option(metavar="AGENCY", help="Every site an agency is first due at.")
]
StageOption = Annotated[
    str | None, typer.Option(metavar="STAGE", help='Today\'s gauge stage, like "6.2 ft".')
]
SpeedOption = Annotated[
    str | None,
    typer.Option(metavar="SPEED", help='Today\'s fastest surface thread, like "4.1 mph".'),
]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the briefing is asked for: exactly one of three."""

    sites: tuple[str, ...]
    reach: str | None
    agency: str | None

    def __post_init__(self) -> None:
        if sum((bool(self.sites), self.reach is not None, self.agency is not None)) != 1:
            raise UsageError(
                "brief: name what it is for with one of --site CODE (again for more), --reach REACH, "
                "--agency AGENCY"
            )

    @property
    def name(self) -> str:
        """Of the file."""
        if self.reach is not None:
            return f"brief-reach-{self.reach}"
        if self.agency is not None:
            return f"brief-agency-{self.agency}"
        more = f"-and-{len(self.sites) - 1}" if len(self.sites) > 1 else ""
        return f"brief-{self.sites[0]}{more}"


def brief(
    site: SitesOption = None,
    reach: ReachOption = None,
    agency: AgencyOption = None,
    stage: StageOption = None,
    speed: SpeedOption = None,
    county: CountyOption = None,
    out: OutOption = Path("output"),
    as_of: AsOfOption = None,
    without: WithoutOption = None,
    debug: DebugOption = False,
) -> None:
    """Print a mutual-aid briefing: an overview, and at most two pages a site."""
    finish(
        lambda outcome: _brief(
            outcome,
            _Asked(tuple(site or ()), reach, agency),
            (stage, speed),
            county,
            out,
            as_of,
            without or [],
        ),
        debug=debug,
    )


def _codes(inputs: CountyInputs, asked: _Asked) -> tuple[str, ...]:
    """Codes of the sites asked for, those that could not be read among them.

    Raises
    ------
    UsageError
        The county has no such reach or agency, or no site of it.
    """
    if asked.sites:
        return asked.sites
    if asked.reach is not None:
        known = [reach.code for reach in inputs.county.reaches]
        _require("reach", asked.reach, known)
        codes = tuple(code for code in inputs.survey.codes if code.split("-")[0] == asked.reach)
    else:
        known = [agency.code for agency in inputs.agencies]
        _require("agency", str(asked.agency), known)
        codes = tuple(site.code for site in inputs.survey.sites if site.access.agency == asked.agency)
    if not codes:
        raise UsageError(f"brief: the county has no site of {asked.reach or asked.agency}")
    return codes


def _require(what: str, asked: str, known: Sequence[str]) -> None:
    if asked not in known:
        raise UsageError(f"--{what}: the county has no {what} {clean_text(asked)}; it has {', '.join(known)}")


def _water(stage: str | None, speed: str | None) -> AskedWater | None:
    """Today's water as it was given.

    Raises
    ------
    UsageError
        A quantity that cannot be read.
    """
    from atlas.survey.limits import SPEED, STAGE
    from atlas.units import QuantityProblem, read_quantity
    from atlas.water import AskedWater

    if stage is None and speed is None:
        return None
    values: list[float | None] = []
    for name, raw, measure in (("stage", stage, STAGE), ("speed", speed, SPEED)):
        value = None if raw is None else read_quantity(raw, measure.quantity, measure.allowed)
        if isinstance(value, QuantityProblem):
            raise UsageError(
                f"--{name}: {value.what}; got {value.got}; allowed: {value.allowed}; {value.todo}"
            )
        values.append(value)
    return AskedWater(*values)


def _require_one_gauge(sites: Sequence[Site], stage: str | None) -> None:
    """A stage is of one gauge, or of one site."""
    if stage is None or len(sites) == 1:
        return
    gauges = {site.access.gauge for site in sites}
    if len(gauges) > 1 or None in gauges:
        told = ", ".join(f"{site.code} {site.access.gauge or 'no gauge'}" for site in sites)
        raise UsageError(
            f"--stage: the sites do not share one gauge ({told}); brief them one by one, or give --speed"
        )


def _readings(inputs: CountyInputs, sites: Sequence[Site]) -> dict[str, WaterSaid]:
    """What is kept of the sites' gauges, each with its age by the clock, whatever the day of issue."""
    from datetime import UTC, datetime

    from atlas.briefs import Basis, ReadingSaid, WaterSaid
    from atlas.gauges import cache_folder, read_reading

    rules = inputs.settings.policy.values.decisions
    now, cache, found = datetime.now(UTC), cache_folder(), {}
    for site in sites:
        reading = None if site.access.gauge is None else read_reading(cache, site.access.gauge)
        if reading is None:
            continue
        age_s = max((now - reading.at).total_seconds(), 0.0)
        taken = reading.stage_m is not None and age_s <= rules.reading_oldest and _knows_stages(site)
        said = ReadingSaid(reading, age_s, rules.clear, taken)
        found[site.code] = WaterSaid(Basis.READING if taken else Basis.SURVEY, said=said)
    return found


def _knows_stages(site: Site) -> bool:
    """A stage of its survey day or of a note, without which a reading says nothing of its water."""
    access = site.access
    return access.stage_m is not None or any(note.stage_m is not None for note in access.flow_notes)


def _taken(said: Mapping[str, WaterSaid]) -> dict[str, AskedWater]:
    """Today's water of the sites whose reading is recent enough."""
    from atlas.water import AskedWater

    return {
        code: AskedWater(stage_m=one.said.reading.stage_m)
        for code, one in said.items()
        if one.said is not None and one.said.taken
    }


def _brief(
    outcome: Outcome,
    asked: _Asked,
    given: tuple[str | None, str | None],
    county: Path | None,
    out: Path,
    as_of: str | None,
    without: list[str],
) -> None:
    from atlas.briefs import Basis, BriefFacts, WaterSaid, lay_brief
    from atlas.cli.console import result, say
    from atlas.cli.county import read_everything
    from atlas.cli.outcome import Exit
    from atlas.cli.sites import sites_asked
    from atlas.editions import write_file
    from atlas.faults import AtlasError
    from atlas.plan import SitePlan, plan_sites

    water = _water(*given)
    reading = read_everything(county, as_of)
    inputs = reading.complete().as_without(without)
    sites = sites_asked(outcome, inputs, reading.faults, _codes(inputs, asked))
    _require_one_gauge(sites, given[0])
    said = {site.code: WaterSaid(Basis.GIVEN) for site in sites} if water else _readings(inputs, sites)
    waters = {site.code: water for site in sites} if water else _taken(said)
    plans = plan_sites(
        sites,
        county=inputs.county,
        agencies=inputs.agencies,
        settings=inputs.settings,
        as_of=inputs.as_of,
        waters=waters,
        without=inputs.without,
    )
    for plan in plans:
        if isinstance(plan, AtlasError):
            say(str(plan))
            outcome.at_least(Exit.NOT_ALL_MADE)
    made = [plan for plan in plans if isinstance(plan, SitePlan)]
    if not made:
        say("there is no site to brief: nothing was written")
        outcome.at_least(Exit.NOT_ALL_MADE)
        return
    facts = BriefFacts(
        as_of=inputs.as_of,
        asked=", ".join(plan.site.code for plan in made),
        agencies=tuple(one for one in inputs.agencies if one.code not in inputs.without),
        without=inputs.without,
        waters=said,
    )
    book = lay_brief(made, facts, county=inputs.county, template=inputs.template, words=inputs.settings.words)
    name = "-".join((asked.name, *(["without", *inputs.without] if inputs.without else [])))
    result(str(write_file(out / f"{name}.pdf", book.pdf)))
