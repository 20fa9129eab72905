"""A dense page that uses everything the room offers, laid out once for all tests."""

from __future__ import annotations

import math

import pytest
import shapely

from atlas import paper
from atlas.paper import Align, Box, Cell, Column, Face, Row, Stroke, Symbol, Text, TextStyle

HEAVY = Stroke(weight_mm=0.7)
THIN = Stroke(weight_mm=0.18)
WATER = paper.Colour(0.80, 0.90, 0.97)
TAB = paper.Colour(0.75, 0.15, 0.10)


def style(face: Face, size_pt: float, colour: paper.Colour = paper.BLACK) -> TextStyle:
    return TextStyle(face=face, size_pt=size_pt, colour=colour)


BODY, BOLD = style(Face.REGULAR, 8.5), style(Face.SEMIBOLD, 8.5)
SMALL, NOTE = style(Face.MEDIUM, 7.6), style(Face.ITALIC, 7.6)
FIGURE = style(Face.BOLD, 12)


def box(left_mm: float, top_mm: float, width_mm: float, height_mm: float) -> Box:
    return Box(left_mm=left_mm, top_mm=top_mm, width_mm=width_mm, height_mm=height_mm)


def head(fonts: paper.FontBook) -> list[paper.Item]:
    texts = [
        Text(x_mm=17, y_mm=17, text="OT-03", style=style(Face.BOLD, 34), block="head"),
        Text(x_mm=60, y_mm=12.5, text="Château Élise ford · invented", style=style(Face.SEMIBOLD, 18), block="head"),
        Text(x_mm=60, y_mm=17, text="Otter River, reach 3 of 5 – first due: Harbor 4", style=BODY, block="head"),
    ]
    stops = [("Limit speed", "4.9 mph", "2.2 m/s"), ("Float 60 ft", "≥ 8.4 s", "18.3 m"), ("Limit bow", "12.4 ft", "3.8 m"),
             ("Limit stage", "7.15 ft", "2.18 m"), ("Governs", "track rope", "boat swamped")]
    for number, (name, first, second) in enumerate(stops):
        x_mm = 17 + 36 * number
        texts += [
            Text(x_mm=x_mm, y_mm=25, text=name, style=SMALL, block="stop"),
            Text(x_mm=x_mm, y_mm=32, text=paper.fit_one_line(first, style(Face.BOLD, 18), 34, fonts, "stop"),
                 style=style(Face.BOLD, 18), block="stop"),
            Text(x_mm=x_mm + 34, y_mm=36, text=second, style=BODY, align=Align.RIGHT, block="stop"),
        ]
    tab = box(202, 40, 7.5, 30)
    return [
        *texts,
        paper.Rect(box=tab, fill=TAB, block="tab"),
        Text(x_mm=207, y_mm=55, text="OTTER", style=style(Face.BOLD, 11, paper.WHITE), align=Align.CENTRE,
             angle_deg=90, block="tab"),
        paper.Destination(name="site OT-03", x_mm=17, y_mm=7),
    ]


def plan(fonts: paper.FontBook) -> list[paper.Item]:
    frame = box(17, 40, 110.9, 84)
    near = tuple((17.2 + 110.6 * i / 20, 66 + 3 * math.sin(i / 3)) for i in range(21))
    far = tuple((17.2 + 110.6 * i / 20, 104 + 2.5 * math.cos(i / 4)) for i in range(21))
    track = ((48.0, 60.0), (60.0, 85.0), (52.0, 110.0))
    ferry = ((30.0, 62.0), (60.0, 85.0), (32.0, 111.0))
    anchors = {"A1": (48.0, 60.0), "A2": (52.0, 110.0), "F1": (30.0, 62.0), "F2": (32.0, 111.0), "U1": (75.0, 61.0),
               "A3 spare": (50.0, 57.5), "Do not use": (55.0, 58.0)}
    lines = [
        paper.Polyline(points=track, stroke=HEAVY, block="plan", clear_of_text=True),
        paper.Polyline(points=ferry, stroke=Stroke(weight_mm=0.35, dash_mm=(2, 0.8)), block="plan", clear_of_text=True),
        paper.Line(x1_mm=75, y1_mm=61, x2_mm=60, y2_mm=85, stroke=Stroke(weight_mm=0.35, dash_mm=(0.4, 0.6)),
                   block="plan", clear_of_text=True),
        paper.Polyline(points=near, stroke=THIN, block="plan", clear_of_text=True),
        paper.Polyline(points=far, stroke=THIN, block="plan", clear_of_text=True),
    ]
    kinds = [Symbol.CIRCLE_FILLED, Symbol.CIRCLE_OPEN, Symbol.SQUARE_FILLED, Symbol.DIAMOND_OPEN,
             Symbol.TRIANGLE_FILLED, Symbol.CIRCLE_OPEN, Symbol.CROSSED_CIRCLE]
    marks = [sign for kind, (x, y) in zip(kinds, anchors.values(), strict=True)
             for sign in paper.symbol(kind, x_mm=x, y_mm=y, size_mm=2.0, block="plan")]
    wishes = [paper.LabelWish(key=key, points=(point,), width_mm=fonts.width_mm(key, BOLD), height_mm=3.0)
              for key, point in anchors.items()]
    wishes.append(paper.LabelWish(key="track 138 ft", points=((54.0, 72.5), (56.8, 95.0), (53.6, 105.0)), mark_mm=0.4,
                                  width_mm=fonts.width_mm("track 138 ft", BOLD), height_mm=3.0))
    obstacles = [shapely.LineString(line).buffer(0.35) for line in (track, ferry, near, far, ((75, 61), (60, 85)))]
    placed = paper.place_labels(wishes, obstacles=obstacles, frame=frame.inset(1), block="plan")
    labels = [Text(x_mm=label.box.left_mm, y_mm=label.box.bottom_mm - 0.6, text=label.key, style=BOLD, block="plan")
              for label in placed]
    leaders = [paper.Line(x1_mm=a[0], y1_mm=a[1], x2_mm=b[0], y2_mm=b[1], stroke=Stroke(weight_mm=0.1), block="plan")
               for label in placed if label.leader for a, b in [label.leader]]
    water = paper.Area(rings=((*near, *far[::-1]), ((88, 80), (96, 78), (97, 88), (90, 90))), fill=WATER, block="plan")
    return [water, *lines, *marks, *leaders, *labels,
            paper.arrow_head(tip=(100, 98), toward_deg=200, length_mm=4, width_mm=2.4, block="plan"),
            *paper.north_arrow(x_mm=121, y_mm=50, length_mm=12, north_deg=-35, block="plan"),
            Text(x_mm=116.0, y_mm=44.5, text="N", style=BOLD, align=Align.CENTRE, block="plan"),
            *paper.scale_bar(x_mm=90, y_mm=119, step_mm=8, steps=4, block="plan"),
            Text(x_mm=67.3, y_mm=79.5, text="96 ft", style=SMALL, angle_deg=58, block="plan"),
            paper.Rect(box=frame, stroke=Stroke(weight_mm=0.1), block="plan")]


def lines_table() -> paper.Table:
    names = ["Track line", "Ferry line, near", "Ferry line, far", "Up-down line 2:1", "Messenger line", "Launch line"]
    rows = [Row(cells=(name, f"{138 + 17 * n} ft", f"{42.1 + 5.2 * n:.1f} m", f"static {200 - 20 * n} ft, Harbor 4"))
            for n, name in enumerate(names)]
    return paper.Table(
        block="lines",
        columns=(Column(style=BOLD, width_mm=24), Column(style=FIGURE, width_mm=13, align=Align.RIGHT),
                 Column(style=BODY, width_mm=11, align=Align.RIGHT), Column(style=BODY, wraps=True)),
        head=Row(cells=("Line", Cell(text="needed", style=SMALL), "", Cell(text="take", style=SMALL))),
        rows=tuple(rows),
    )


def gear_table() -> paper.Table:
    items = [f"Pulley {n + 1}, for the carriage" for n in range(24)]
    rows = [Row(cells=(Cell(text=item, symbol=Symbol.TICK_BOX), str(n % 4 + 1)), drop=0 if n > 5 else None)
            for n, item in enumerate(items)]
    return paper.Table(block="gear", columns=(Column(style=BODY), Column(style=BOLD, width_mm=6, align=Align.RIGHT)),
                       rows=tuple(rows), more="+{count} in the workings", more_style=NOTE, rule=None, pad_mm=0.2)


def levels_table() -> paper.Table:
    rows = [Row(cells=(f"{2.5 + n * 0.85:.2f} ft", f"{1.9 + n * 0.6:.1f} mph", f"{11.2 - n * 1.3:.1f}", f"{5.4 - n:.1f} ft",
                       "inside plan" if n < 3 else Cell(text="OUTSIDE PLAN", style=style(Face.BOLD, 9))),
                frame=HEAVY if n == 3 else None) for n in range(5)]
    right = [Column(style=FIGURE, width_mm=17, align=Align.RIGHT)] * 2 + [Column(style=BODY, width_mm=12, align=Align.RIGHT)] * 2
    return paper.Table(block="levels", side_mm=1.2, columns=(*right, Column(style=BODY)), rows=tuple(rows),
                       head=Row(cells=tuple(Cell(text=name, style=SMALL) for name in ("stage", "speed", "factor", "clear", "held"))))


def cautions_table() -> paper.Table:
    texts = ["Low-head dam 420 ft below: nobody and no boat passes the take-out; the downstream safety post stands before command says go on.",
             "Strainer on river left at the bend; the boat is swung to the near bank above it.",
             "Power line crosses at the far anchor: paddles, launchers and antennas stay 10 ft away."]
    rows = [Row(cells=(Cell(symbol=Symbol.WARNING, style=style(Face.BOLD, 11)), Cell(text="DANGER", style=style(Face.BOLD, 9)), text)) for text in texts]
    return paper.Table(block="cautions", columns=(Column(style=BODY, width_mm=4), Column(style=BOLD, width_mm=14), Column(style=BODY, wraps=True)),
                       rows=tuple(rows))


def lay_trial(fonts: paper.FontBook) -> paper.Page:
    width_mm, height_mm = paper.PAPER_SIZES_MM["letter"]
    tables = [(lines_table(), box(131, 40, 69, 70)), (levels_table(), box(17, 163, 90, 31)),
              (gear_table(), box(110, 163, 46, 48)), (cautions_table(), box(17, 215, 92, 40))]
    paragraph = paper.lay_text(
        "Road: county road 12 to the gravel lot, gate code with dispatch. Carry 300 ft along the fence to the bank.\nFar bank: 61 min by the upper bridge.",
        BODY, box(160, 163, 48, 30), fonts, block="access")
    payload = "geo:36.123456,-119.654321"
    code = box(185, 196, 19, 19)
    foot = "Planning aid: it plans, it does not command. Survey 2026-05-12, valid until 2027-05-12. Edition 2027."
    items = [*head(fonts), *plan(fonts),
             *(item for table, place in tables for item in paper.lay_table(table, place, fonts).items),
             *paragraph, paper.qr_code(payload, code, block="access"), paper.Link(box=code, url=payload, block="access"),
             paper.Link(box=box(17, 262, 30, 4), destination="site OT-03", block="foot"),
             Text(x_mm=17, y_mm=265, text=foot, style=NOTE, block="foot"),
             *(sign for n, kind in enumerate(Symbol) for sign in paper.symbol(kind, x_mm=20 + 8 * n, y_mm=132, size_mm=5, block="signs")),
             paper.Circle(x_mm=125, y_mm=132, radius_mm=3, stroke=THIN, fill=TAB, block="signs")]
    return paper.Page(
        width_mm=width_mm, height_mm=height_mm,
        printable=paper.printable_box(width_mm=width_mm, height_mm=height_mm, edge_mm=6, punch_mm=17),
        items=tuple(items), title="OT-03 Château Élise ford", lang="en-US")


@pytest.fixture(scope="session")
def fonts() -> paper.FontBook:
    return paper.shipped_fonts()


@pytest.fixture(scope="session")
def trial(fonts) -> paper.Page:
    return lay_trial(fonts)


@pytest.fixture(scope="session")
def trial_pdf(trial, fonts) -> bytes:
    return paper.draw([trial], fonts)
