"""Mutual-aid briefings: one page of overview, and at most two pages a site."""

from atlas.briefs.brief import Brief, lay_brief
from atlas.briefs.facts import Basis, BriefFacts, WaterSaid
from atlas.briefs.reading import ReadingSaid

__all__ = ["Basis", "Brief", "BriefFacts", "ReadingSaid", "WaterSaid", "lay_brief"]
