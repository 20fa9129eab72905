"""Mutual-aid briefings: one page of overview, and at most two pages a site."""

from atlas.briefs.brief import Brief, lay_brief
from atlas.briefs.facts import Basis, BriefFacts, WaterSaid

__all__ = ["Basis", "Brief", "BriefFacts", "WaterSaid", "lay_brief"]
