"""A dense page that uses everything the room offers, laid out once for all tests. All of it is invented."""

from __future__ import annotations

import math

import pytest
import shapely

from atlas import paper
from atlas.paper import Align, Box, Cell, Column, Face, Row, Span, Stroke, Symbol, Text, TextStyle

HEAVY = Stroke(weight_mm=0.7)
THIN = Stroke(weight_mm=0.18)
WATER = paper.Colour(0.80, 0.90, 0.97)
TAB = paper.Colour(0.75, 0.15, 0.10)


def style(face: Face, size_pt: float, colour: paper.Colour = paper.BLACK) -> TextStyle:
    return TextStyle(face=face, size_pt=size_pt, colour=colour)


BODY, BOLD = style(Face.REGULAR, 8.5), style(Face.SEMIBOLD, 8.5)
SMALL, NOTE = style(Face.MEDIUM, 7.6), style(Face.ITALIC, 7.6)
FIGURE, STOP = style(Face.BOLD, 12), style(Face.BOLD, 18)


def box(left_mm: float, top_mm: float, width_mm: float, height_mm: float) -> Box:
    return Box(left_mm=left_mm, top_mm=top_mm, width_mm=width_mm, height_mm=height_mm)


def head(fonts: paper.FontBook) -> list[paper.Item]:
    code, name = style(Face.BOLD, 34), style(Face.SEMIBOLD, 18)
    where = "Invented River, reach 3 of 5 · first due: Harbor 4"
    tab = style(Face.BOLD, 11, paper.WHITE)
    return [
        Text(x_mm=17, y_mm=17, text="OT-03", style=code, block="head"),
        Text(x_mm=60, y_mm=12.5, text="Château Élise ford · invented", style=name, block="head"),
        Text(x_mm=60, y_mm=17, text=where, style=BODY, block="head"),
        *stop_figures(fonts),
        paper.Rect(box=box(202, 40, 7.5, 30), fill=TAB, block="tab"),
        Text(x_mm=207, y_mm=55, text="OTTER", style=tab, align=Align.CENTRE, angle_deg=90, block="tab"),
        paper.Destination(name="site OT-03", x_mm=17, y_mm=7),
    ]


def stop_figures(fonts: paper.FontBook) -> list[paper.Item]:
    stops = [
        ("Limit speed", "4.9", " mph", "2.2 m/s"),
        ("Float 60 ft", "≥ 8.4", " s", "18.3 m"),
        ("Limit bow", "12.4", " ft", "3.8 m"),
        ("Limit stage", "7.15", " ft", "2.18 m"),
        ("Governs", "track rope", "", "boat swamped"),
    ]
    texts: list[paper.Item] = []
    for number, (name, figure, unit, second) in enumerate(stops):
        x_mm = 17 + 36 * number
        spans = (Span(figure, STOP), Span(unit, BOLD))
        texts += [
            Text(x_mm=x_mm, y_mm=25, text=name, style=SMALL, block="stop"),
            *paper.place_line(spans, x_mm=x_mm, y_mm=32, fonts=fonts, block="stop"),
            Text(x_mm=x_mm + 34, y_mm=36, text=second, style=BODY, align=Align.RIGHT, block="stop"),
        ]
    return texts


ANCHORS = {
    "A1": (Symbol.CIRCLE_FILLED, (48.0, 60.0)),
    "A2": (Symbol.CIRCLE_OPEN, (52.0, 110.0)),
    "F1": (Symbol.SQUARE_FILLED, (30.0, 62.0)),
    "F2": (Symbol.DIAMOND_OPEN, (32.0, 111.0)),
    "U1": (Symbol.TRIANGLE_FILLED, (75.0, 61.0)),
    "A3 spare": (Symbol.CIRCLE_OPEN, (50.0, 57.5)),
    "Do not use": (Symbol.CROSSED_CIRCLE, (55.0, 58.0)),
}
TRACK = ((48.0, 60.0), (60.0, 85.0), (52.0, 110.0))
FERRY = ((30.0, 62.0), (60.0, 85.0), (32.0, 111.0))
UP_DOWN = ((75.0, 61.0), (60.0, 85.0))
NEAR = tuple((17.2 + 110.6 * i / 20, 66 + 3 * math.sin(i / 3)) for i in range(21))
FAR = tuple((17.2 + 110.6 * i / 20, 104 + 2.5 * math.cos(i / 4)) for i in range(21))
PLAN = box(17, 40, 110.9, 84)


def plan_labels(fonts: paper.FontBook) -> list[paper.Item]:
    wishes = [paper.text_wish(key, key, BOLD, fonts, points=(at,)) for key, (_, at) in ANCHORS.items()]
    along = ((54.0, 72.5), (56.8, 95.0), (53.6, 105.0))
    wishes.append(paper.text_wish("track 138 ft", "track 138 ft", BOLD, fonts, points=along, mark_mm=0.4))
    obstacles = [shapely.LineString(line).buffer(0.35) for line in (TRACK, FERRY, UP_DOWN, NEAR, FAR)]
    placed = paper.place_labels(wishes, obstacles=obstacles, frame=PLAN.inset(1), block="plan")
    return [
        item for label in placed for item in paper.label_items(label, label.key, BOLD, fonts, block="plan")
    ]


def plan(fonts: paper.FontBook) -> list[paper.Item]:
    strokes = {
        TRACK: HEAVY,
        FERRY: Stroke(weight_mm=0.35, dash_mm=(2, 0.8)),
        UP_DOWN: Stroke(weight_mm=0.35, dash_mm=(0.4, 0.6)),
        NEAR: THIN,
        FAR: THIN,
    }
    island = ((88, 80), (96, 78), (97, 88), (90, 90))
    return [
        paper.Area(rings=((*NEAR, *FAR[::-1]), island), fill=WATER, block="plan"),
        *(
            paper.Polyline(points=points, stroke=stroke, block="plan", clear_of_text=True)
            for points, stroke in strokes.items()
        ),
        *(
            sign
            for kind, (x_mm, y_mm) in ANCHORS.values()
            for sign in paper.symbol(kind, x_mm=x_mm, y_mm=y_mm, size_mm=2.0, block="plan")
        ),
        *plan_labels(fonts),
        paper.arrow_head(tip=(100, 98), toward_deg=200, length_mm=4, width_mm=2.4, block="plan"),
        *paper.north_arrow(x_mm=121, y_mm=50, length_mm=12, north_deg=-35, block="plan"),
        Text(x_mm=116, y_mm=44.5, text="N", style=BOLD, align=Align.CENTRE, block="plan"),
        *paper.scale_bar(x_mm=90, y_mm=119, step_mm=8, steps=4, block="plan"),
        Text(x_mm=67.3, y_mm=79.5, text="96 ft", style=SMALL, angle_deg=58, block="plan"),
        paper.Rect(box=PLAN, stroke=Stroke(weight_mm=0.1), block="plan"),
    ]


def lines_table() -> paper.Table:
    names = ["Track line", "Ferry, near", "Ferry, far", "Up-down 2:1", "Messenger", "Launch line"]
    columns = (
        Column(style=BOLD, width_mm=24),
        Column(style=BODY, width_mm=14, align=Align.RIGHT),
        Column(style=BODY, width_mm=11, align=Align.RIGHT),
        Column(style=BODY, wraps=True),
    )
    rows = [
        Row(
            cells=(
                name,
                Cell(text=(Span(f"{138 + 17 * number}", FIGURE), Span(" ft", BODY))),
                f"{42.1 + 5.2 * number:.1f} m",
                f"static {200 - 20 * number} ft, Harbor 4",
            )
        )
        for number, name in enumerate(names)
    ]
    first = Row(cells=("Line", Cell(text="needed", style=SMALL), "", Cell(text="take", style=SMALL)))
    return paper.Table(block="lines", columns=columns, head=first, rows=tuple(rows))


def gear_table() -> paper.Table:
    rows = [
        Row(
            cells=(
                Cell(text=f"Pulley {number + 1}, for the carriage", symbol=Symbol.TICK_BOX),
                str(number % 4 + 1),
            ),
            drop=0 if number > 5 else None,
        )
        for number in range(24)
    ]
    return paper.Table(
        block="gear",
        columns=(Column(style=BODY), Column(style=BOLD, width_mm=6, align=Align.RIGHT)),
        rows=tuple(rows),
        more="+{count} in the workings",
        more_style=NOTE,
        rule=None,
        pad_mm=0.2,
    )


def levels_table() -> paper.Table:
    outside = Cell(text="OUTSIDE PLAN", style=style(Face.BOLD, 9))
    rows = [
        Row(
            cells=(
                f"{2.5 + number * 0.85:.2f} ft",
                f"{1.9 + number * 0.6:.1f} mph",
                f"{11.2 - number * 1.3:.1f}",
                f"{5.4 - number:.1f} ft",
                "inside plan" if number < 3 else outside,
            ),
            frame=HEAVY if number == 3 else None,
        )
        for number in range(5)
    ]
    figure = Column(style=FIGURE, width_mm=17, align=Align.RIGHT)
    plain = Column(style=BODY, width_mm=12, align=Align.RIGHT)
    names = ("stage", "speed", "factor", "clear", "held")
    return paper.Table(
        block="levels",
        side_mm=1.2,
        columns=(figure, figure, plain, plain, Column(style=BODY)),
        head=Row(cells=tuple(Cell(text=name, style=SMALL) for name in names)),
        rows=tuple(rows),
    )


def cautions_table() -> paper.Table:
    texts = [
        "Low-head dam 420 ft below: nobody and no boat passes the take-out; safety stands before the word.",
        "Strainer on river left at the bend; the boat is swung to the near bank above it.",
        "Power line crosses at the far anchor: paddles, launchers and antennas stay 10 ft away.",
    ]
    sign = Cell(symbol=Symbol.WARNING, style=style(Face.BOLD, 11))
    word = Cell(text="DANGER", style=style(Face.BOLD, 9))
    return paper.Table(
        block="cautions",
        columns=(
            Column(style=BODY, width_mm=4),
            Column(style=BOLD, width_mm=14),
            Column(style=BODY, wraps=True),
        ),
        rows=tuple(Row(cells=(sign, word, text)) for text in texts),
    )


def access(fonts: paper.FontBook) -> list[paper.Item]:
    spans = (
        Span("Road:", BOLD),
        Span(" county road 12 to the gravel lot, gate code with dispatch. Carry 300 ft to the bank.\n", BODY),
        Span("Far bank:", BOLD),
        Span(" 61 min by the upper bridge.", BODY),
    )
    payload, code = "geo:36.123456,-119.654321", box(185, 196, 19, 19)
    return [
        *paper.lay_spans(spans, box(160, 163, 48, 30), fonts, block="access"),
        paper.qr_code(payload, code, block="access"),
        paper.Link(box=code, url=payload, block="access"),
    ]


def foot() -> list[paper.Item]:
    text = "Planning aid: it plans, it does not command. Survey 2026-05-12, valid until 2027-05-12."
    return [
        paper.Link(box=box(17, 262, 30, 4), destination="site OT-03", block="foot"),
        Text(x_mm=17, y_mm=265, text=text, style=NOTE, block="foot"),
        *(
            sign
            for number, kind in enumerate(Symbol)
            for sign in paper.symbol(kind, x_mm=20 + 8 * number, y_mm=132, size_mm=5, block="signs")
        ),
        paper.Circle(x_mm=125, y_mm=132, radius_mm=2.5, stroke=THIN, fill=TAB, block="signs"),
        paper.Line(
            x1_mm=17.2, y1_mm=260, x2_mm=200, y2_mm=260, stroke=THIN, block="foot", clear_of_text=True
        ),
    ]


def lay_trial(fonts: paper.FontBook) -> paper.Page:
    width_mm, height_mm = paper.PAPER_SIZES_MM["letter"]
    tables = [
        (lines_table(), box(131, 40, 69, 70)),
        (levels_table(), box(17, 163, 90, 31)),
        (gear_table(), box(110, 163, 46, 48)),
        (cautions_table(), box(17, 215, 92, 40)),
    ]
    laid = [item for table, place in tables for item in paper.lay_table(table, place, fonts).items]
    return paper.Page(
        width_mm=width_mm,
        height_mm=height_mm,
        printable=paper.printable_box(width_mm=width_mm, height_mm=height_mm, edge_mm=6, punch_mm=17),
        items=(*head(fonts), *plan(fonts), *laid, *access(fonts), *foot()),
        title="OT-03 Château Élise ford",
        lang="en-US",
    )


@pytest.fixture(scope="session")
def fonts() -> paper.FontBook:
    return paper.shipped_fonts()


@pytest.fixture(scope="session")
def trial(fonts) -> paper.Page:
    return lay_trial(fonts)


@pytest.fixture(scope="session")
def trial_pdf(trial, fonts) -> bytes:
    return paper.draw([trial], fonts)


@pytest.fixture(scope="session")
def small_page():
    """Make a page of 100 x 60 mm, 5 mm margins, with given items."""

    def make(*items: paper.Item, title: str = "small") -> paper.Page:
        return paper.Page(
            width_mm=100, height_mm=60, printable=box(5, 5, 90, 50), items=items, title=title, lang="en"
        )

    return make


@pytest.fixture(scope="session")
def body() -> TextStyle:
    return BODY


@pytest.fixture(scope="session")
def bold() -> TextStyle:
    return BOLD
