"""`workings`: the numbers of one site, step by step or as JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, SiteArgument
from atlas.cli.outcome import Outcome, finish

__all__ = ["workings"]

JsonOption = Annotated[bool, typer.Option("--json", help="As one JSON object, SI and unrounded.")]


def workings(
    site: SiteArgument,
    as_json: JsonOption = False,
    county: CountyOption = None,
    as_of: AsOfOption = None,
    debug: DebugOption = False,
) -> None:
    """Show the numbers of one site, step by step."""
    finish(lambda outcome: _workings(outcome, site, county, as_of, as_json=as_json), debug=debug)


def _workings(outcome: Outcome, site: str, county: Path | None, as_of: str | None, *, as_json: bool) -> None:
    from atlas.cli.console import result_bytes
    from atlas.cli.county import read_everything
    from atlas.cli.sites import sites_asked
    from atlas.cli.tables import show_sections
    from atlas.plan import plan_site
    from atlas.workings import derivation, workings_json

    reading = read_everything(county, as_of)
    inputs = reading.complete()
    for asked in sites_asked(outcome, inputs, reading.faults, [site]):
        plan = plan_site(
            asked,
            county=inputs.county,
            agencies=inputs.agencies,
            settings=inputs.settings,
            as_of=inputs.as_of,
        )
        if as_json:
            result_bytes(workings_json(plan))
        else:
            show_sections(derivation(plan, inputs.settings.policy))
