"""`workings`: the numbers of one site, step by step, as JSON, or as a derivation on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption, SiteArgument, WithoutOption
from atlas.cli.outcome import Outcome, finish

__all__ = ["workings"]

JsonOption = Annotated[bool, typer.Option("--json", help="As one JSON object, SI and unrounded.")]
PdfOption = Annotated[
    bool, typer.Option("--pdf", help="As a derivation on paper, to be followed and signed.")
]


def workings(
    site: SiteArgument,
    as_json: JsonOption = False,
    as_pdf: PdfOption = False,
    county: CountyOption = None,
    out: OutOption = Path("output"),
    as_of: AsOfOption = None,
    without: WithoutOption = None,
    debug: DebugOption = False,
) -> None:
    """Show the numbers of one site, step by step."""
    finish(
        lambda outcome: _workings(
            outcome, site, county, out, as_of, without or [], as_json=as_json, as_pdf=as_pdf
        ),
        debug=debug,
    )


def _workings(
    outcome: Outcome,
    site: str,
    county: Path | None,
    out: Path,
    as_of: str | None,
    without: list[str],
    *,
    as_json: bool,
    as_pdf: bool,
) -> None:
    from atlas.cli.console import result, result_bytes, say
    from atlas.cli.county import read_everything
    from atlas.cli.sites import sites_asked
    from atlas.cli.tables import show_sections
    from atlas.editions import write_file
    from atlas.plan import plan_site
    from atlas.workings import derivation, workings_json
    from atlas.workings.paper import workings_pdf

    reading = read_everything(county, as_of)
    inputs = reading.complete().as_without(without)
    for asked in sites_asked(outcome, inputs, reading.faults, [site]):
        plan = plan_site(
            asked,
            county=inputs.county,
            agencies=inputs.agencies,
            settings=inputs.settings,
            as_of=inputs.as_of,
            without=inputs.without,
        )
        if as_json:
            result_bytes(workings_json(plan))
        if as_pdf:
            pdf = workings_pdf(plan, inputs.settings, inputs.template)
            # beside a JSON object on stdout there is no room for a path
            tell = say if as_json else result
            tell(str(write_file(out / f"{asked.code}-workings.pdf", pdf)))
        if not (as_json or as_pdf):
            show_sections(derivation(plan, inputs.settings.policy))
