"""A tether: included angle and its limit, stations, what the bow lines pull, stern lines, release."""

from __future__ import annotations

from atlas.plan.tether_results import TetheredCase, TetherRig, TetherStation
from atlas.sheets.desk import Desk
from atlas.sheets.track import TrackRow, release_rows
from atlas.units import Figure

__all__ = ["tether_rows"]


def _angle_row(desk: Desk, rig: TetherRig) -> TrackRow:
    words = desk.words
    angle = desk.first(Figure.INCLUDED_ANGLE, rig.angle_deg)
    most = desk.first(Figure.ANGLE_MOST, rig.angle_most_deg)
    return TrackRow(words("sheet.tether.angle"), angle, words("sheet.tether.angle_note", most=most))


def _depth_row(desk: Desk, rig: TetherRig) -> TrackRow:
    """The depth each station has, and what two side by side need."""
    words, depths = desk.words, rig.depths
    label = words("sheet.tether.depth")
    near, far = (desk.first(Figure.DEPTH_THERE, max(depth, 0.0)) for depth in (depths.near_m, depths.far_m))
    if depths.needed_m is None:
        return TrackRow(label, words("sheet.tether.no_depth"))
    needed = desk.first(Figure.STATION_DEPTH, depths.needed_m)
    figure = words("sheet.tether.depth_value", near=near, far=far)
    note, short = (words(f"sheet.tether.{key}", needed=needed) for key in ("depth_note", "depth_note_short"))
    return TrackRow(label, figure, note, short=(short,))


def station_name(desk: Desk, station: TetherStation) -> str:
    """The anchor's tag, or what a station to be found on scene is called."""
    if station.tag is not None:
        return station.tag
    return desk.words(f"station.{station.line.partition('-')[0]}_{station.bank}")


def _load_rows(desk: Desk, rig: TetherRig) -> list[TrackRow]:
    """The greatest pull of each bow line at the planning stage, swamped and held."""
    words, rows = desk.words, []
    cases = {case.case: case for case in rig.planning.cases if case.judged}
    for index, station in enumerate(rig.stations[:2]):
        greatest = max(cases.values(), key=lambda case: _tension_n(case, index))
        held = cases.get("boat-held", greatest)
        label = words("sheet.tether.bow", tag=words(f"sheet.line_tag.{station.line}"))
        shown = desk.show(Figure.TENSION, _tension_n(greatest, index))
        note = words(
            "sheet.tether.bow_note",
            second=shown.second,
            case=words(f"sheet.tether.{greatest.case}")
            if words.has(f"sheet.tether.{greatest.case}")
            else words(f"case.{greatest.case}"),
            held=desk.first(Figure.TENSION, _tension_n(held, index)),
        )
        rows.append(TrackRow(label, shown.first, note))
    return rows


def _tension_n(case: TetheredCase, index: int) -> float:
    return case.bow[index].tension_n


def _stern_rows(desk: Desk, rig: TetherRig) -> list[TrackRow]:
    words, stern = desk.words, rig.stations[2:]
    if not stern:
        return []
    tags = words("sheet.anchors.and").join(station_name(desk, station) for station in stern)
    return [
        TrackRow(
            words("sheet.tether.stern"), words("sheet.tether.slack"), words("sheet.tether.from", tags=tags)
        )
    ]


def _device_row(desk: Desk) -> TrackRow:
    words = desk.words
    return TrackRow(words("sheet.tether.hold"), "", words("sheet.tether.hold_note"))


def tether_rows(desk: Desk, rig: TetherRig) -> tuple[TrackRow, ...]:
    """Everything printed of a tether, in the order of the work."""
    return (
        _depth_row(desk, rig),
        _angle_row(desk, rig),
        *_load_rows(desk, rig),
        *_stern_rows(desk, rig),
        _device_row(desk),
        *release_rows(desk, rig),
    )
