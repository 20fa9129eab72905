"""The whole derivation of one site's chosen rig, chapter by chapter, in the order in which it follows."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan import SitePlan, TetherRig
from atlas.settings import Settings
from atlas.units import UnitSystem
from atlas.workings.paper.asked import StateAsked
from atlas.workings.paper.cases_chapters import cases_chapter, told_chapter
from atlas.workings.paper.compare_chapter import compare_chapter
from atlas.workings.paper.crew_chapters import crew_chapters
from atlas.workings.paper.entries import Chapter
from atlas.workings.paper.judged_chapters import (
    clearance_chapter,
    parts_chapter,
    tended_chapter,
    tension_chapter,
)
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.limit_chapters import limit_chapter
from atlas.workings.paper.lines_chapters import anchors_chapter, lines_chapter
from atlas.workings.paper.loads_chapters import drag_chapter, haul_chapter, rope_chapter
from atlas.workings.paper.rigged import Rigged
from atlas.workings.paper.site_chapters import frame_chapter, survey_chapter
from atlas.workings.paper.tether_chapters import bow_chapter as tether_bow_chapter
from atlas.workings.paper.tether_chapters import (
    stations_chapter,
    tether_cases_chapter,
    tether_limit_chapter,
    tether_lines_chapter,
)
from atlas.workings.paper.turned_chapters import bow_chapter, closing_chapter, ties_chapter
from atlas.workings.paper.water_chapter import water_chapter
from atlas.workings.paper.window_chapters import window_chapter

__all__ = ["Derivation", "derive", "derive_tether"]


@dataclass(frozen=True, slots=True)
class Derivation:
    """A derivation, and the two states its drawings show.

    Attributes
    ----------
    tightest, lowest : the judged cases of greatest tension and of least clearance to spare
    """

    chapters: tuple[Chapter, ...]
    rigged: Rigged
    tightest: StateAsked
    lowest: StateAsked


def derive(plan: SitePlan, settings: Settings) -> Derivation:
    """Everything a qualified person needs to follow a site's numbers by hand.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line, whose states are solved again.
    """
    policy = settings.policy.values
    rigged = Rigged(plan, policy, settings.rig(plan.chosen.rig).bow_strands)
    ledger = Ledger(settings.words, settings.policy, UnitSystem(plan.county.units))
    survey_chapter(ledger, plan)
    frame_chapter(ledger, plan)
    water_chapter(ledger, plan, policy)
    rope_chapter(ledger, plan, settings)
    drag_chapter(ledger, rigged)
    haul_chapter(ledger, rigged)
    tightest = tension_chapter(ledger, rigged)
    parts_chapter(ledger, rigged, settings)
    lowest = clearance_chapter(ledger, rigged)
    tended_chapter(ledger, rigged, settings)
    window_chapter(ledger, rigged)
    limit_chapter(ledger, rigged)
    bow_chapter(ledger, rigged)
    ties_chapter(ledger, rigged)
    closing_chapter(ledger, rigged)
    lines_chapter(ledger, rigged)
    anchors_chapter(ledger, rigged)
    crew_chapters(ledger, rigged, settings)
    cases_chapter(ledger, rigged)
    compare_chapter(ledger, plan)
    told_chapter(ledger, plan)
    return Derivation(tuple(ledger.chapters), rigged, tightest, lowest)


def derive_tether(plan: SitePlan, rig: TetherRig, settings: Settings) -> tuple[Chapter, ...]:
    """Everything a qualified person needs to follow a tether's numbers by hand."""
    ledger = Ledger(settings.words, settings.policy, UnitSystem(plan.county.units))
    survey_chapter(ledger, plan)
    frame_chapter(ledger, plan)
    water_chapter(ledger, plan, settings.policy.values)
    stations_chapter(ledger, plan, rig)
    for index in (0, 1):
        tether_bow_chapter(ledger, plan, rig, settings, index)
    tether_limit_chapter(ledger, rig)
    tether_lines_chapter(ledger, rig)
    tether_cases_chapter(ledger, rig)
    compare_chapter(ledger, plan)
    told_chapter(ledger, plan)
    return tuple(ledger.chapters)
