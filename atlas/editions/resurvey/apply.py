"""Changes put into the surveys: checked as any survey is, then written beside the old or over it."""

from __future__ import annotations

import tempfile
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from atlas.editions.files import write_file
from atlas.editions.folder import cannot_write
from atlas.editions.resurvey.fields import GONE
from atlas.editions.resurvey.reader import Change
from atlas.editions.resurvey.survey_files import RawSite, SurveyFile
from atlas.faults import Fault, OutputError
from atlas.records import County
from atlas.survey import read_sites

__all__ = ["Updated", "apply_changes", "check_updated", "write_updated"]

BESIDE = ".new"
BACKUP = ".bak"


@dataclass(frozen=True, slots=True)
class Updated:
    """A survey that was written.

    Attributes
    ----------
    backup : where the old one is kept; None where it still stands in its place
    """

    path: Path
    backup: Path | None


def apply_changes(changes: Sequence[Change], sites: dict[str, RawSite]) -> tuple[SurveyFile, ...]:
    """Put changes into the surveys they belong to; returns those that changed.

    A feature that is gone is taken out last, because features are known by their numbers.
    """
    gone: list[tuple[SurveyFile, int]] = []
    files: dict[Path, SurveyFile] = {}
    for change in changes:
        file = sites[change.site].file
        files[file.path] = file
        if change.feature is None:
            file.features.append(_new_feature(change))
        elif change.key == GONE:
            gone.append((file, change.feature))
        else:
            _set(file.features[change.feature - 1], change)
    for file, number in sorted(gone, key=lambda one: -one[1]):
        del file.features[number - 1]
    return tuple(files.values())


def _new_feature(change: Change) -> dict[str, object]:
    if not isinstance(change.value, dict):
        raise TypeError("a new feature is an object")
    return change.value


def _set(feature: dict[str, object], change: Change) -> None:
    if change.key == "geometry":
        feature["geometry"] = change.value
        return
    properties = feature["properties"]
    if not isinstance(properties, dict):
        raise TypeError("a feature that was read has properties")
    if change.value is None:
        properties.pop(change.key, None)
    else:
        properties[change.key] = change.value


def check_updated(
    files: Sequence[SurveyFile],
    paths: Sequence[Path],
    codes: Collection[str],
    *,
    county: County,
    agency_codes: frozenset[str] | None,
    as_of: date,
) -> tuple[Fault, ...]:
    """The faults that the changed sites would have, with all surveys read together as ever.

    Parameters
    ----------
    paths : all survey files of the county
    codes : sites that changed
    """
    with tempfile.TemporaryDirectory(prefix="reach-atlas-") as folder:
        stand_ins: dict[Path, Path] = {}
        for number, file in enumerate(files):
            path = Path(folder) / f"{number}.geojson"
            path.write_bytes(file.content())
            stand_ins[file.path] = path
        shown = {path: f"{original} as updated" for original, path in stand_ins.items()}
        result = read_sites(
            [stand_ins.get(path, path) for path in paths],
            county=county,
            agency_codes=agency_codes,
            as_of=as_of,
            shown=lambda path: shown.get(path, str(path)),
        )
    updated = set(shown.values())
    return tuple(
        fault
        for fault in result.faults
        if fault.site in codes or (fault.site is None and fault.file in updated)
    )


def _free_backup(path: Path) -> Path:
    """A name beside a survey that nothing has: no backup is ever written over."""
    for number in range(1, 1000):
        told = BACKUP if number == 1 else f"{BACKUP}-{number}"
        backup = path.with_name(f"{path.name}{told}")
        if not backup.exists():
            return backup
    raise OutputError(f"{path}: a thousand backups stand beside it; take some away")


def write_updated(file: SurveyFile, *, replace: bool) -> Updated:
    """Write a changed survey as NAME.new beside the old, or over it with the old kept as NAME.bak.

    Raises
    ------
    OutputError
        It cannot be written, or is no GeoJSON and so cannot be written in its own kind.
    """
    path = file.path
    if not replace:
        told = path.name if file.is_geojson else f"{path.name}.geojson"
        return Updated(write_file(path.with_name(f"{told}{BESIDE}"), file.content()), None)
    if not file.is_geojson:
        raise OutputError(
            f"{path}: only GeoJSON is replaced; run without --replace, and put the file that is written"
            " in its place"
        )
    backup = _free_backup(path)
    try:
        backup.write_bytes(path.read_bytes())
    except OSError as cause:
        raise cannot_write(backup, cause) from None
    return Updated(write_file(path, file.content()), backup)
