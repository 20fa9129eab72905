"""Whose rope becomes which line, and what gear and people there are."""

from atlas.cover.gear import GearHeld, crew_held, gear_cover
from atlas.cover.gear_groups import GearAsked
from atlas.cover.lines import Cover, cover_lines, nearest_ropes
from atlas.cover.purchase import BoughtGear, BoughtRope, Lack, Purchase, lack_of, purchases
from atlas.cover.ropes import LineNeed, RopeAsked, RopePiece, pieces_of
from atlas.cover.stocks import Stocks
from atlas.cover.who_comes import Comer, Job, who_comes

__all__ = [
    "BoughtGear",
    "BoughtRope",
    "Comer",
    "Cover",
    "GearAsked",
    "GearHeld",
    "Job",
    "Lack",
    "LineNeed",
    "Purchase",
    "RopeAsked",
    "RopePiece",
    "Stocks",
    "cover_lines",
    "crew_held",
    "gear_cover",
    "lack_of",
    "nearest_ropes",
    "pieces_of",
    "purchases",
    "who_comes",
]
