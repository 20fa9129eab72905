"""`check`: read everything, list every fault, compute nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from atlas.cli.options import AsOfOption, CountyOption, DebugOption
from atlas.cli.outcome import Outcome, finish

if TYPE_CHECKING:
    from atlas.cli.county import Reading

__all__ = ["check"]


def check(county: CountyOption = None, as_of: AsOfOption = None, debug: DebugOption = False) -> None:
    """List every fault; compute nothing."""
    finish(lambda outcome: _check(outcome, county, as_of), debug=debug)


def _check(outcome: Outcome, county: Path | None, as_of: str | None) -> None:
    from atlas.cli.console import result
    from atlas.cli.county import read_everything

    reading = read_everything(county, as_of)
    outcome.tell(reading.faults, as_result=True)
    result(f"{outcome.summary()}; {_sites(reading)}")


def _sites(reading: Reading) -> str:
    """How many sites were read."""
    if reading.survey is None:
        return "the surveys were not read"
    count, broken = len(reading.survey.codes), len(reading.survey.broken)
    read = f"{count} {'site' if count == 1 else 'sites'} read"
    return f"{read}, {broken} not to be used" if broken else read
