"""The block of the chosen rig: what is peculiar to a track line, to a tether, or to neither."""

from __future__ import annotations

from atlas.paper import Item
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.section import lay_section
from atlas.sheets.tether import tether_rows
from atlas.sheets.tether_section import lay_station_section
from atlas.sheets.track import lay_rows, release_rows, track_rows
from atlas.sheets.view import View

__all__ = ["lay_rig_block", "lay_rig_section"]


def lay_rig_block(desk: Desk) -> list[Item]:
    """How the rig is set and worked."""
    rig, words = desk.plan.chosen, desk.words
    if isinstance(rig, TrackLineRig):
        return lay_rows(desk, words("sheet.track.title"), track_rows(desk, rig))
    if isinstance(rig, TetherRig):
        return lay_rows(desk, words("sheet.tether.title"), tether_rows(desk, rig))
    return lay_rows(desk, words("sheet.track.other"), release_rows(desk, rig))


def lay_rig_section(desk: Desk, view: View) -> list[Item]:
    """The section at the track line, or at the stations where there is none."""
    if isinstance(desk.plan.chosen, TrackLineRig):
        return lay_section(desk, view)
    return lay_station_section(desk, view)
