"""What a briefing is made for: whose sites, on whose word the water, who is committed elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from types import MappingProxyType

from atlas.briefs.reading import ReadingSaid
from atlas.plan import CaseResult, SitePlan, StageResult
from atlas.records import Agency
from atlas.water import ASKED

__all__ = ["Basis", "BriefFacts", "WaterSaid", "asked_stage", "worst_note"]


class Basis(StrEnum):
    """Where a briefing's water comes from."""

    GIVEN = "given"
    READING = "reading"
    SURVEY = "survey"


@dataclass(frozen=True, slots=True)
class WaterSaid:
    """On whose word a site's water is.

    Attributes
    ----------
    told : of a reading its gauge, time and age, as printed
    said : the latest reading, taken or not
    """

    basis: Basis
    told: str = ""
    said: ReadingSaid | None = None


_SURVEY = WaterSaid(Basis.SURVEY)


@dataclass(frozen=True, slots=True)
class BriefFacts:
    """Everything of a briefing but the sites' plans.

    Attributes
    ----------
    asked : what the briefing was asked for, as printed: codes, a reach, an agency
    agencies : the county's, those committed elsewhere left out
    without : codes of agencies that are committed elsewhere
    waters : by site; of those left out the survey's planning level stands
    """

    as_of: date
    asked: str
    agencies: tuple[Agency, ...]
    without: tuple[str, ...] = ()
    waters: Mapping[str, WaterSaid] = field(default_factory=lambda: MappingProxyType({}))

    def water(self, code: str) -> WaterSaid:
        """On whose word the water of a site is."""
        return self.waters.get(code, _SURVEY)


def asked_stage(plan: SitePlan) -> StageResult[CaseResult]:
    """The row a briefing speaks of: today's water where it was asked about, else the planning row."""
    rig = plan.chosen
    return next((stage for stage in rig.stages if stage.name == ASKED), rig.planning)


def worst_note(stage: StageResult[CaseResult]) -> str:
    """The first reason why a row is outside plan; nothing where it is inside."""
    return next((note.text for case in stage.cases if case.judged for note in case.why), "")
