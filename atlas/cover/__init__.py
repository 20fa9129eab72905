"""Whose rope becomes which line, and what gear and people there are."""

from atlas.cover.gear import GearHeld, crew_held, gear_cover
from atlas.cover.gear_groups import GearAsked
from atlas.cover.lines import Cover, cover_lines, nearest_ropes
from atlas.cover.ropes import LineNeed, RopeAsked, RopePiece, pieces_of
from atlas.cover.stocks import Stocks
from atlas.cover.who_comes import Comer, Job, who_comes

__all__ = [
    "Comer",
    "Cover",
    "GearAsked",
    "GearHeld",
    "Job",
    "LineNeed",
    "RopeAsked",
    "RopePiece",
    "Stocks",
    "cover_lines",
    "crew_held",
    "gear_cover",
    "nearest_ropes",
    "pieces_of",
    "who_comes",
]
