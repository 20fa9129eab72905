"""Lists an agency may change: hardware and cautions."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from atlas.settings.toml_file import Strict


class GearItem(Strict):
    """An item of hardware; `served_by` names others that do its work, `capture` its holding class."""

    served_by: Annotated[list[str], Field(default_factory=list)]
    capture: Literal["general_use", "technical_use"] | None = None


class GearList(Strict):
    """Every item a cache may name."""

    items: dict[str, GearItem]


class CautionRule(Strict):
    """A caution with its signal word and the fact of the site that brings it up."""

    code: str
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    when: str


class CautionList(Strict):
    """Cautions, most serious first."""

    caution: list[CautionRule]
