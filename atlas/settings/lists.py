"""Lists an agency may change: hardware and cautions."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from atlas.settings.toml_file import Strict

CaptureClass = Literal["general_use", "technical_use", "soft_hitch_wet"]
"""What a progress capture holds, by the policy's [capture]; the strongest first."""

Fact = Literal[
    "always",
    "low_head_dam",
    "power_line",
    "strainer",
    "bridge_pier",
    "undercut",
    "debris",
    "outside_plan",
    "track_line",
    "tether",
    "device_capture",
    "far_bank_cut_off",
    "line_at_head_height",
    "cold_water",
    "soft_hitch",
    "snatch",
    "broached",
    "beyond_survey",
    "assumed_values",
    "overdue",
    "stations_on_scene",
]
"""Facts of a site that a caution may ask for; `atlas.plan.cautions` finds them."""


class GearItem(Strict):
    """An item of hardware; `served_by` names others that do its work, `capture` its holding class."""

    served_by: Annotated[list[str], Field(default_factory=list)]
    capture: CaptureClass | None = None


class SlingRule(Strict):
    """How many slings go round an anchor: one up to a girth, and as many more as it is thicker.

    ``none_on``: kinds with an eye of their own.
    """

    girth_most_m: Annotated[float, Field(gt=0)]
    none_on: list[str]
    source: str


class GearList(Strict):
    """Every item a cache may name; classes in which hardware is rated, and how anchors are slung."""

    rating_classes_kn: Annotated[list[Annotated[float, Field(gt=0)]], Field(min_length=1)]
    sling: SlingRule
    items: dict[str, GearItem]


class CautionRule(Strict):
    """A caution with its signal word and the fact of the site that brings it up."""

    code: str
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    when: Fact


class CautionList(Strict):
    """Cautions, most serious first."""

    caution: list[CautionRule]
