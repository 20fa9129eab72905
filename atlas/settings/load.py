"""All settings of a county: packaged templates, with COUNTY/templates/NAME in their place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from atlas.faults import Fault, InputFaults, Severity
from atlas.settings.lists import CautionList, GearList
from atlas.settings.policy import Policy, read_policy
from atlas.settings.rigs import Rig
from atlas.settings.shipped import shipped_folder
from atlas.settings.toml_file import Strict, Table, model_faults, read_table
from atlas.settings.words import Words, read_words

Model = TypeVar("Model", bound=Strict)

RIGS = ("movable-control-point",)


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything an agency may change without code."""

    policy: Policy
    rigs: tuple[Rig, ...]
    gear: GearList
    cautions: CautionList
    words: Words
    templates: tuple[Path, ...]
    """Folders searched for a template, the county's own first."""

    def rig(self, name: str) -> Rig:
        """The rig of that name."""
        return next(rig for rig in self.rigs if rig.name == name)

    def template_path(self, name: str) -> Path:
        """Path of a template, the county's own before the packaged one."""
        return _find(self.templates, name)

    def template_table(self, name: str) -> Table:
        """A template's tables."""
        return read_table(self.template_path(name))


def _find(folders: tuple[Path, ...], name: str) -> Path:
    return next((folder / name for folder in folders if (folder / name).is_file()), folders[-1] / name)


def _model(kind: type[Model], path: Path) -> Model:
    try:
        return kind.model_validate(read_table(path))
    except ValidationError as error:
        raise model_faults(path, error) from None


def _reference_faults(settings: Settings) -> list[Fault]:
    """Names one template uses and another must know: cases, gear, posts, caution texts."""
    wanted: list[tuple[str, str, bool, str]] = []
    policy = settings.policy.values
    for rig in settings.rigs:
        file = f"rigs/{rig.name}.toml"
        cases = [*rig.judged_cases, *rig.printed_cases, rig.planning_case]
        wanted += [(file, f"case {name}", name in policy.cases, "policy.toml [cases]") for name in cases]
        wanted += [
            (file, f"gear {rule.item}", rule.item in settings.gear.items, "gear.toml") for rule in rig.gear
        ]
        wanted += [
            (file, f"crew {rule.post}", settings.words.has(f"crew.{rule.post}"), "words [crew]")
            for rule in rig.crew
        ]
    wanted += [
        ("gear.toml", item, settings.words.has(f"gear.{item}"), "words [gear]")
        for item in settings.gear.items
    ]
    wanted += [
        ("cautions.toml", rule.code, settings.words.has(f"caution.{rule.code}"), "words [caution]")
        for rule in settings.cautions.caution
    ]
    return [
        Fault(
            code="setting_unknown_name",
            severity=Severity.FILE,
            what=f"the name is not known to {where}",
            file=file,
            field=name,
            todo=f"add it to {where} or take it out",
        )
        for file, name, known, where in wanted
        if not known
    ]


def load_settings(
    *,
    county: Path | None = None,
    overrides: Mapping[str, float | str | bool] | None = None,
    language: str = "en",
) -> Settings:
    """Read and check every template.

    Parameters
    ----------
    county : a county's folder; its ``templates/NAME`` stands in for the packaged file of that name
    overrides : dotted policy keys from county.toml

    Raises
    ------
    InputFaults
        Every fault of the first file that has any; then every name no other template knows.
    """
    packaged = shipped_folder("templates")
    folders = (packaged,) if county is None else (county / "templates", packaged)
    policy_path = _find(folders, "policy.toml")
    words_path = _find(folders, f"words/{language}.toml")
    settings = Settings(
        policy=read_policy(
            read_table(policy_path),
            policy_path,
            overrides=overrides or {},
            overrides_path=policy_path if county is None else county / "county.toml",
        ),
        rigs=tuple(_model(Rig, _find(folders, f"rigs/{name}.toml")) for name in RIGS),
        gear=_model(GearList, _find(folders, "gear.toml")),
        cautions=_model(CautionList, _find(folders, "cautions.toml")),
        words=read_words(read_table(words_path), words_path),
        templates=folders,
    )
    faults = _reference_faults(settings)
    if faults:
        raise InputFaults(faults)
    return settings
