"""A county's surveys as they stand in their files, to be changed feature by feature and written again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from atlas.survey.raw import RawFeature, site_code
from atlas.survey.read_sites import read_survey

__all__ = ["RawSite", "SurveyFile", "raw_sites", "read_survey_files"]

_JSON_SUFFIXES = frozenset({".geojson", ".json"})

Feature = dict[str, object]


@dataclass(slots=True)
class SurveyFile:
    """One survey file. `collection` is what will be written; `whole` says that nothing of it was lost."""

    path: Path
    collection: dict[str, object]
    indent: int | None
    changed: bool = False

    @property
    def is_geojson(self) -> bool:
        """Whether its own kind is the one that is written."""
        return self.path.suffix.lower() in _JSON_SUFFIXES

    @property
    def features(self) -> list[Feature]:
        """Its features, in their order."""
        found = self.collection["features"]
        return found if isinstance(found, list) else []

    def content(self) -> bytes:
        """As it will be written: GeoJSON, set as the file it came from was."""
        text = json.dumps(self.collection, ensure_ascii=False, indent=self.indent)
        return f"{text}\n".encode()


@dataclass(frozen=True, slots=True)
class RawSite:
    """A site as its survey has it."""

    code: str
    file: SurveyFile
    features: tuple[RawFeature, ...] = field(default=())

    def of_role(self, role: str) -> tuple[RawFeature, ...]:
        """Its features of one role, by their numbers in the file."""
        return tuple(one for one in self.features if one.properties.get("role") == role)

    @property
    def access(self) -> RawFeature | None:
        """The feature of the site as a whole."""
        return next(iter(self.of_role("access")), None)

    @property
    def digest(self) -> str:
        """By which a form knows the survey it was printed from."""
        told = [[one.number, one.properties, one.geometry] for one in self.features]
        text = json.dumps(told, ensure_ascii=False, sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()


def _collection(path: Path, raw: Sequence[RawFeature]) -> tuple[dict[str, object], int | None]:
    """The file's own object where it is GeoJSON, so that what nobody touched stays as it is."""
    if path.suffix.lower() in _JSON_SUFFIXES:
        text = path.read_text(encoding="utf-8-sig")
        lines = text.splitlines()
        second = lines[1] if len(lines) > 1 else ""
        indent = len(second) - len(second.lstrip()) if second.startswith(" ") else None
        return json.loads(text), indent
    features = [
        {
            "type": "Feature",
            "properties": {key: value for key, value in one.properties.items() if value is not None},
            "geometry": one.geometry,
        }
        for one in raw
    ]
    return {"type": "FeatureCollection", "schema": 1, "features": features}, 1


def read_survey_files(paths: Sequence[Path]) -> Iterator[tuple[SurveyFile, tuple[RawFeature, ...]]]:
    """Survey files that were already read without a fault of the whole file, with their features."""
    for path in paths:
        raw = read_survey(path, shown_as=str(path)).features
        if raw:
            collection, indent = _collection(path, raw)
            yield SurveyFile(path, collection, indent), raw


def raw_sites(paths: Sequence[Path]) -> dict[str, RawSite]:
    """The sites of a county's surveys by code, each as its file has it."""
    found: dict[str, RawSite] = {}
    for file, features in read_survey_files(paths):
        by_code: dict[str, list[RawFeature]] = {}
        for one in features:
            code = site_code(one.properties.get("site"))
            if code is not None:
                by_code.setdefault(code, []).append(one)
        for code, own in by_code.items():
            found.setdefault(code, RawSite(code, file, tuple(own)))
    return found
