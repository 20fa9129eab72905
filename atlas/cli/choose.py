"""Which county and which day a command works on. Imports nothing heavy."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from atlas.cli.console import say
from atlas.faults import UsageError

__all__ = ["choose_county", "parse_as_of"]


def choose_county(named: Path | None) -> Path:
    """The county's folder: the one named, else the only one under ./sites, else the one that ships.

    Raises
    ------
    UsageError
        Several folders under ./sites.
    """
    if named is not None:
        return named
    sites = Path("sites")
    there = sorted(path for path in sites.iterdir() if _is_county(path)) if sites.is_dir() else []
    if len(there) > 1:
        raise UsageError(
            "several counties under ./sites; name one with --county: " + ", ".join(map(str, there))
        )
    if there:
        return there[0]
    from atlas.settings.shipped import demo_county_folder

    demo = demo_county_folder()
    say(f"no --county and no folder under ./sites: the invented county that ships is taken, {demo}")
    return demo


def _is_county(path: Path) -> bool:
    return path.is_dir() and not path.name.startswith(".")


def parse_as_of(text: str | None) -> date | None:
    """The day given with --as-of.

    Raises
    ------
    UsageError
        It is no date.
    """
    if text is None:
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()  # noqa: DTZ007 -- a day has no zone
    except ValueError:
        raise UsageError(f"--as-of: no date; got {text!r}; allowed: a day like 2026-11-25") from None
