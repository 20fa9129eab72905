"""All settings of a county: packaged templates, with COUNTY/templates/NAME in their place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from atlas.faults import Fault, InputFaults, Severity
from atlas.settings.lists import CautionList, GearList
from atlas.settings.policy import Policy, read_policy
from atlas.settings.rigs import Rig
from atlas.settings.shipped import shipped_folder
from atlas.settings.toml_file import Strict, Table, file_fault, model_faults, read_table
from atlas.settings.words import Words, check_wording, read_words

Model = TypeVar("Model", bound=Strict)


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


def _rig_files(folders: tuple[Path, ...]) -> list[str]:
    """Names of the rigs that have a template: the packaged ones, and those a county adds."""
    found = (path.stem for folder in folders for path in (folder / "rigs").glob("*.toml"))
    return sorted(set(found))


def _find(folders: tuple[Path, ...], name: str) -> Path:
    return next((folder / name for folder in folders if (folder / name).is_file()), folders[-1] / name)


def _model(kind: type[Model], path: Path) -> Model:
    try:
        return kind.model_validate(read_table(path))
    except ValidationError as error:
        raise model_faults(path, error) from None


@dataclass(frozen=True, slots=True)
class _Named:
    """A name that one template uses and another must know."""

    file: str
    name: str
    known: bool
    where: str


def _rigs(folders: tuple[Path, ...], policy: Policy) -> tuple[Rig, ...]:
    """Every rig, the simplest by the policy's ranks first, then those it does not rank by name."""
    rigs = []
    for name in _rig_files(folders):
        path = _find(folders, f"rigs/{name}.toml")
        rig = _model(Rig, path)
        if rig.name != name:
            raise file_fault(
                path,
                "the rig's name is not that of its file",
                code="setting_rig_name",
                got=repr(rig.name),
                todo=f"write name = {name!r}, or rename the file",
            )
        rigs.append(rig)
    ranked = policy.values.choice
    return tuple(sorted(rigs, key=lambda rig: ranked[rig.name].rank if rig.name in ranked else inf))


def _rig_names(rig: Rig, settings: Settings) -> Iterator[_Named]:
    """Cases, gear, and what is printed of a rig."""
    file, words = f"rigs/{rig.name}.toml", settings.words
    yield _Named(file, f"name {rig.name}", words.has(f"rig.{rig.name}"), "words [rig]")
    for line in rig.line:
        yield _Named(file, f"line {line.name}", words.has(f"line.{line.name}"), "words [line]")
        known = words.has(f"sheet.line_tag.{line.name}")
        yield _Named(file, f"line {line.name}", known, "words [sheet.line_tag]")
    for case in (*rig.judged_cases, *rig.printed_cases):
        yield _Named(file, f"case {case}", case in settings.policy.values.cases, "policy.toml [cases]")
        yield _Named(file, f"case {case}", words.has(f"case.{case}"), "words [case]")
    for rule in rig.gear:
        yield _Named(file, f"gear {rule.item}", rule.item in settings.gear.items, "gear.toml")
    for part in rig.part:
        yield _Named(file, f"part {part.name}", words.has(f"track_part.{part.name}"), "words [track_part]")
    for crew in rig.crew:
        yield _Named(file, f"crew {crew.post}", words.has(f"crew.{crew.post}"), "words [crew]")


def _names(settings: Settings) -> Iterator[_Named]:
    """Every name that one template uses and another must know."""
    for rig in settings.rigs:
        yield from _rig_names(rig, settings)
    rigs = {rig.name for rig in settings.rigs}
    for name in settings.policy.values.choice:
        yield _Named("policy.toml", f"choice.{name}", name in rigs, "the folder rigs")
    for item, rule in settings.gear.items.items():
        yield _Named("gear.toml", item, settings.words.has(f"gear.{item}"), "words [gear]")
        for other in rule.served_by:
            yield _Named("gear.toml", f"{item} served_by {other}", other in settings.gear.items, "gear.toml")
    for caution in settings.cautions.caution:
        known = settings.words.has(f"caution.{caution.code}")
        yield _Named("cautions.toml", caution.code, known, "words [caution]")


def _dragless_faults(settings: Settings) -> list[Fault]:
    """A case that lines and limit speed are computed for, and that no current pulls on."""
    cases = settings.policy.values.cases
    planned: dict[str, list[str]] = {}
    for rig in settings.rigs:
        if rig.planning_case in cases and cases[rig.planning_case].area == 0.0:
            planned.setdefault(rig.planning_case, []).append(rig.name)
    return [
        Fault(
            code="setting_case_without_drag",
            severity=Severity.FILE,
            what=f"the planning case of {', '.join(rigs)} has no area for the current to pull on",
            file=str(settings.template_path("policy.toml")),
            field=f"cases.{case}.area",
            got=repr(cases[case].area),
            allowed="over 0 m2",
            todo="give its area, or plan for another case",
        )
        for case, rigs in planned.items()
    ]


def _reference_faults(settings: Settings) -> list[Fault]:
    return [
        Fault(
            code="setting_unknown_name",
            severity=Severity.FILE,
            what=f"the name is not known to {named.where}",
            file=str(settings.template_path(named.file)),
            field=named.name,
            todo=f"add it to {named.where} or take it out",
        )
        for named in _names(settings)
        if not named.known
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
    county : a county's folder; its ``templates/NAME`` stands in for the packaged file of that name, and a
        rig's template of another name is one rig more
    overrides : dotted policy keys from county.toml

    Raises
    ------
    InputFaults
        Every fault of the first file that has any; then every text that a county's own wording lacks;
        then every name that no other template knows.
    """
    packaged = shipped_folder("templates")
    folders = (packaged,) if county is None else (county / "templates", packaged)
    policy_path = _find(folders, "policy.toml")
    words_path = _find(folders, f"words/{language}.toml")
    policy = read_policy(
        read_table(policy_path),
        policy_path,
        overrides=overrides or {},
        overrides_path=policy_path if county is None else county / "county.toml",
    )
    settings = Settings(
        policy=policy,
        rigs=_rigs(folders, policy),
        gear=_model(GearList, _find(folders, "gear.toml")),
        cautions=_model(CautionList, _find(folders, "cautions.toml")),
        words=read_words(read_table(words_path), words_path),
        templates=folders,
    )
    if words_path.parent.parent != packaged:
        path = packaged / "words" / "en.toml"
        check_wording(settings.words, read_words(read_table(path), path))
    faults = _reference_faults(settings) + _dragless_faults(settings)
    if faults:
        raise InputFaults(faults)
    return settings
