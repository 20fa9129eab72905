"""A tether on the sheet: its lines in plan, and what crews need of the bow stations."""

from __future__ import annotations

import shapely

from atlas.frame import Point, SiteFrame
from atlas.paper import Align, Cell, Column, Item, Row, Table
from atlas.plan.tether_results import TetherRig, TetherStation
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import lay_rows, titled
from atlas.units import Figure

STATIONS_BLOCK = "section"
"""A tether has no track line to cut the river at: its stations stand in the section's place."""
LINE_STROKES = {
    "bow-near": "ferry_near",
    "bow-far": "ferry_far",
    "stern-near": "up_down",
    "stern-far": "up_down",
}
"""Lines to the near bank's bow are solid, to the far one's long-dashed, to the stern dash-dotted."""
_WIDTHS_MM = (None, 14.0, 14.0, 27.0)
_FIRST_FIGURE = 1


def bow_place(rig: TetherRig) -> Point:
    """Where the boat is drawn: inside the first work area, else where the bow lines are widest apart."""
    for area in rig.work_areas:
        if area.kind == "polygon":
            point = shapely.make_valid(shapely.Polygon(area.parts[0])).representative_point()
            return point.x, point.y
        if area.parts and area.parts[0]:
            return area.parts[0][0]
    return rig.angle_at


def tether_lines(rig: TetherRig, bow: Point, along: Point) -> list[tuple[str, str, tuple[Point, ...]]]:
    """Name, stroke and path of each line, from its station to bow or stern."""
    stern = bow[0] + along[0] * rig.boat_length_m, bow[1] + along[1] * rig.boat_length_m
    return [
        (
            station.line,
            LINE_STROKES[station.line],
            (station.at, bow if station.line.startswith("bow") else stern),
        )
        for station in rig.stations
        if station.line in LINE_STROKES
    ]


def tether_points(site: SiteFrame, rig: TetherRig) -> list[Point]:
    """What a plan of the tether must show."""
    points: list[Point] = [(site.near_edge_x_m, 0.0), (site.far_edge_x_m, 0.0), rig.angle_at]
    points += [station.at for station in rig.stations]
    points += [point for area in rig.work_areas for part in area.parts for point in part]
    bow = bow_place(rig)
    return [*points, bow, (bow[0], bow[1] + rig.boat_length_m)]


def _pull_text(desk: Desk, station: TetherStation) -> str:
    """True bearings between which the line pulls on its station."""
    if station.pull_from_deg is None or station.pull_to_deg is None:
        return desk.words("sheet.tether.slack")
    ends = (f"{round(station.pull_from_deg) % 360:03d}", f"{round(station.pull_to_deg) % 360:03d}")
    return desk.words("sheet.tether.bearings", **{"from": ends[0], "to": ends[1]})


def _station_row(desk: Desk, rig: TetherRig, station: TetherStation) -> Row:
    words = desk.words
    depth_m = {"bow-near": rig.depths.near_m, "bow-far": rig.depths.far_m}.get(station.line)
    depth = words("sheet.unknown") if depth_m is None else desk.first(Figure.NEAR_RUN, max(depth_m, 0.0))
    tag = station.tag or words("sheet.anchors.on_scene")
    name = words("sheet.tether.station", line=words(f"line.{station.line}"), tag=tag)
    return Row(
        cells=(
            Cell(text=name, style=desk.styles["table_strong"]),
            depth,
            desk.first(Figure.TIE_HEIGHT, station.height_m - rig.planning.rise_m),
            _pull_text(desk, station),
        )
    )


def move_text(desk: Desk, rig: TetherRig) -> str:
    """How deep the bow stations must stand, and how much farther they must be moved."""
    words, depths = desk.words, rig.depths
    if depths.needed_m is None:
        return words("sheet.tether.no_depth")
    needed = desk.first(Figure.NEEDED_LENGTH, depths.needed_m)
    if not depths.move_m:
        return words("sheet.tether.depth_told", needed=needed)
    move = desk.first(Figure.NEEDED_LENGTH, depths.move_m)
    return words("sheet.tether.move", needed=needed, move=move)


def angle_text(desk: Desk, rig: TetherRig) -> tuple[str, str]:
    """The greatest angle between the bow lines and the most inside plan; both rounded to the careful side."""
    return (
        desk.words("sheet.tether.degrees", angle=f"{-int(-rig.angle_deg // 1)}"),
        desk.words("sheet.tether.angle_most", angle=f"{int(rig.angle_most_deg)}"),
    )


def lay_stations(desk: Desk, rig: TetherRig) -> list[Item]:
    """The block of the tether's stations, in the place of the section."""
    words = desk.words
    box = desk.box(desk.template.block.section)
    items, room = titled(
        desk, box, words("sheet.tether.stations"), block=STATIONS_BLOCK, note=move_text(desk, rig)
    )
    heads = ("line", "depth", "height", "pull")
    table = Table(
        block=STATIONS_BLOCK,
        columns=tuple(
            Column(
                style=desk.styles["table"],
                width_mm=width,
                align=Align.LEFT if number < _FIRST_FIGURE else Align.RIGHT,
            )
            for number, width in enumerate(_WIDTHS_MM)
        ),
        rows=tuple(_station_row(desk, rig, station) for station in rig.stations),
        head=Row(
            cells=tuple(
                Cell(text=words(f"sheet.tether.{head}"), style=desk.styles["column"]) for head in heads
            )
        ),
        pad_mm=0.35,
        rule=desk.strokes["hairline"],
    )
    return [*items, *lay_rows(desk, table, room)]
