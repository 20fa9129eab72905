"""The agency's limits and defaults: templates/policy.toml, in SI, each with its source."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import ValidationError

from atlas.faults import Fault, InputFaults, Severity
from atlas.settings.policy_values import TO_SI, UNITS, LoadCase, PolicyValues, si_unit_of
from atlas.settings.toml_file import Table, model_faults

__all__ = ["LoadCase", "Policy", "PolicyValues", "Provenance", "as_written", "read_policy"]

OVERRIDDEN = "agency's own figure (county.toml)"
_NUMBER_MOST = 1e12


def as_written(value: float, unit: str) -> float:
    """An SI value in a unit that a policy file may use."""
    return value / TO_SI[unit]


@dataclass(frozen=True, slots=True)
class Provenance:
    """Unit as written in the policy, and the source of the figure."""

    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Policy:
    """Values in SI, and where each came from, by dotted key."""

    values: PolicyValues
    provenance: Mapping[str, Provenance]

    def entry(self, key: str) -> float | bool:
        """The value of a dotted key, SI, or a switch."""
        found: object = self.values
        for part in key.split("."):
            found = found[part] if isinstance(found, dict) else getattr(found, part)
        if not isinstance(found, bool | int | float):
            raise KeyError(key)
        return found

    def value_of(self, key: str) -> float:
        """The value of a dotted key, SI; a switch is 1 or 0."""
        return float(self.entry(key))


def _units_for(key: str) -> str:
    """The units a value may be written in; all there are for a key that is not known."""
    units = UNITS.get(si_unit_of(key) or "?", TO_SI)
    return ", ".join(repr(unit) for unit in units)


def _entry_fault(path: Path, key: str, what: str, got: object) -> Fault:
    return Fault(
        code="policy_entry",
        severity=Severity.FILE,
        what=what,
        file=str(path),
        field=key,
        got=repr(got),
        allowed=f"{{ value = NUMBER, unit = UNIT, source = TEXT }} with a unit of: {_units_for(key)}",
        todo="mend the entry",
    )


def _number(value: object) -> bool:
    """A switch, or a number that a policy may hold: finite, and no endless row of digits."""
    return isinstance(value, bool | int | float) and -_NUMBER_MOST <= value <= _NUMBER_MOST


def _amiss(key: str, item: Table) -> str | None:
    """What is wrong with an entry, apart from its bounds."""
    if set(item) != {"value", "unit", "source"}:
        return "the policy entry is not complete"
    unit, source = item["unit"], item["source"]
    if not isinstance(unit, str) or unit not in TO_SI:
        return "the policy entry's unit is not known"
    si_unit = si_unit_of(key)
    if si_unit is not None and unit not in UNITS[si_unit]:
        return "the policy entry's unit is of the wrong kind"
    if not _number(item["value"]):
        return "the policy value is no number"
    if not isinstance(source, str) or not source.strip():
        return "the policy value has no source"
    return None


def _flatten(path: Path, table: Table, prefix: str = "") -> tuple[dict[str, Table], list[Fault]]:
    entries: dict[str, Table] = {}
    faults: list[Fault] = []
    for name, item in table.items():
        key = f"{prefix}{name}"
        if not isinstance(item, dict) or not item:
            faults.append(_entry_fault(path, key, "a policy value needs its unit and its source", item))
        elif not item.keys() & {"value", "unit", "source"}:
            deeper, more = _flatten(path, item, f"{key}.")
            entries |= deeper
            faults += more
        elif what := _amiss(key, item):
            faults.append(_entry_fault(path, key, what, item))
        else:
            entries[key] = item
    return entries, faults


def _nest(entries: Mapping[str, Table]) -> Table:
    nested: Table = {}
    for key, item in entries.items():
        at = nested
        *folders, last = key.split(".")
        for folder in folders:
            at = at.setdefault(folder, {})
        value = item["value"]
        at[last] = value if isinstance(value, bool) else float(value) * TO_SI[item["unit"]]
    return nested


def _override_fault(path: Path, key: str, value: object, *, code: str, what: str, allowed: str) -> Fault:
    return Fault(
        code=code,
        severity=Severity.ERROR,
        what=what,
        file=str(path),
        field=f"policy.{key}",
        got=repr(value),
        allowed=allowed,
        todo="take the key out or mend it",
    )


def _override(
    path: Path, entries: dict[str, Table], overrides: Mapping[str, float | str | bool]
) -> list[Fault]:
    """Put a county's own values in, in the unit the policy writes them in."""
    faults: list[Fault] = []
    for key, value in overrides.items():
        if key not in entries:
            faults.append(
                _override_fault(
                    path,
                    key,
                    value,
                    code="policy_key_unknown",
                    what="the policy has no such value",
                    allowed="a dotted key of policy.toml, such as limits.factor_track",
                )
            )
            continue
        switch = isinstance(entries[key]["value"], bool)
        if not _number(value) or isinstance(value, bool) != switch:
            unit = entries[key]["unit"]
            number = f"a number of {unit}" if unit else "a number"
            faults.append(
                _override_fault(
                    path,
                    key,
                    value,
                    code="policy_entry",
                    what=f"the policy value is {'neither true nor false' if switch else 'no number'}",
                    allowed="true or false" if switch else number,
                )
            )
        else:
            entries[key] = entries[key] | {"value": value, "source": OVERRIDDEN}
    return faults


_BOUND = re.compile(r"^(over |under |)(\S*\d)( or more| or less|)$")


def _in_unit(bound: str, unit: str) -> str:
    """A bound told in SI, told in the unit that the value is written in."""
    found = _BOUND.match(bound)
    if found is None or not unit:
        return bound
    before, number, after = found.groups()
    return f"{before}{as_written(float(number), unit):g} {unit}{after}"


def _bounds_faults(
    error: ValidationError,
    path: Path,
    *,
    entries: Mapping[str, Table],
    overridden: Mapping[str, Path],
) -> InputFaults:
    """Values out of bounds, told in the file and the unit that they stand in."""
    told = []
    for fault in model_faults(path, error).faults:
        key = fault.field or ""
        entry = entries.get(key)
        if entry is None:
            told.append(fault)
            continue
        got = f"{entry['value']!r} {entry['unit']}".rstrip()
        bounds = None if fault.allowed is None else _in_unit(fault.allowed, entry["unit"])
        if key in overridden:
            file, field, todo = str(overridden[key]), f"policy.{key}", "take the key out or mend it"
            told.append(
                replace(
                    fault,
                    severity=Severity.ERROR,
                    file=file,
                    field=field,
                    got=got,
                    allowed=bounds,
                    todo=todo,
                )
            )
        else:
            told.append(replace(fault, got=got, allowed=bounds))
    return InputFaults(told)


def read_policy(
    table: Table, path: Path, *, overrides: Mapping[str, float | str | bool], overrides_path: Path
) -> Policy:
    """Policy from its table and a county's overrides.

    Raises
    ------
    InputFaults
        Every entry that is incomplete, of an unknown unit or one of the wrong kind; then every one that
        is out of bounds, missing or unknown. An override is told where it stands.
    """
    entries, faults = _flatten(path, table)
    faults += _override(overrides_path, entries, overrides)
    if faults:
        raise InputFaults(faults)
    try:
        values = PolicyValues.model_validate(_nest(entries))
    except ValidationError as error:
        overridden = dict.fromkeys(overrides, overrides_path)
        raise _bounds_faults(error, path, entries=entries, overridden=overridden) from None
    return Policy(
        values=values,
        provenance={
            key: Provenance(unit=item["unit"], source=item["source"]) for key, item in entries.items()
        },
    )
