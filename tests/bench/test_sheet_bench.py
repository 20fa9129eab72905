"""Sheets a second, beside typst on the same content in one run; records both and asserts nothing by a clock.

Typst (extra ``bench``) is given the sheet's strings in tables, in the sheet's own typeface and sizes, and
its lines and areas as paths at their places: it lays out the text and draws. It places no labels, makes no
QR code, rounds no figure and checks no page, all of which is in the time of ours. Processor time of the
whole process, all threads: other work on the machine does not count.
"""

from collections import defaultdict
from pathlib import Path
from time import process_time

import pytest

from atlas.paper import Line, Polyline, Rect, Text, shipped_faces
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout, page_pdf

typst = pytest.importorskip("typst", reason="extra 'bench' is not installed")

PAGES = 32
_SAME_LINE_MM = 0.4


@pytest.fixture(scope="module")
def template():
    return read_page_template(load_settings().template_path("sheet-letter.toml"))


@pytest.fixture(scope="module")
def plans(hand_made):
    words = load_settings().words
    kinds = [hand_made.make_plan(words, frame=hand_made.make_frame(span_m=20.0 + 2.0 * n)) for n in range(8)]
    return [kinds[number % len(kinds)] for number in range(PAGES)]


def _string(text):
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _rows(texts):
    """Strings by baseline, each line from left to right."""
    lines = defaultdict(list)
    for text in texts:
        lines[round(text.y_mm / _SAME_LINE_MM)].append(text)
    return [sorted(line, key=lambda text: text.x_mm) for _, line in sorted(lines.items())]


def _cell(text):
    face = {"regular": 400, "medium": 500, "semibold": 600, "bold": 700, "italic": 400}[text.style.face.value]
    return f"text(size: {text.style.size_pt}pt, weight: {face})[#{_string(text.text)}]"


def _paths(page):
    for item in page.items:
        if isinstance(item, Line):
            ends = f"start: ({item.x1_mm}mm, {item.y1_mm}mm), end: ({item.x2_mm}mm, {item.y2_mm}mm)"
            yield f"#place(top + left, line({ends}, stroke: {item.stroke.weight_mm}mm))"
        elif isinstance(item, Rect):
            box = item.box
            size = f"width: {box.width_mm}mm, height: {box.height_mm}mm"
            place = f"dx: {box.left_mm}mm, dy: {box.top_mm}mm"
            yield f"#place(top + left, {place}, rect({size}))"
        elif isinstance(item, Polyline):
            first, *rest = item.points
            steps = ", ".join(f"curve.line(({x}mm, {y}mm))" for x, y in rest)
            move = f"curve.move(({first[0]}mm, {first[1]}mm))"
            yield f"#place(top + left, curve({move}, {steps}, stroke: 0.2mm))"


def _source(page, template):
    """One page: each block a table of its strings in its box."""
    blocks = defaultdict(list)
    for item in page.items:
        if isinstance(item, Text) and not item.angle_deg:
            blocks[item.block].append(item)
    parts = list(_paths(page))
    for name, texts in blocks.items():
        rule = getattr(template.block, name, None)
        if rule is None:
            continue
        cells = [
            f"grid(columns: {len(row)}, column-gutter: 1mm, {', '.join(map(_cell, row))})"
            for row in _rows(texts)
        ]
        left, top = template.content_left_mm + rule.left_mm, template.page.edge_mm + rule.top_mm
        table = f"table(columns: 1, stroke: none, inset: 0.1mm, {', '.join(cells)})"
        box = f"box(width: {rule.width_mm}mm, {table})"
        parts.append(f"#place(top + left, dx: {left}mm, dy: {top}mm, {box})")
    return "\n".join(parts)


@pytest.mark.benchmark(group="sheets", min_rounds=3, timer=process_time)
def test_sheets_laid_out_drawn_and_checked(benchmark, plans, template):
    words = load_settings().words
    page_pdf(layout(plans[0], template, words), template)

    def make():
        return [page_pdf(layout(plan, template, words), template) for plan in plans]

    pdfs = benchmark(make)
    if benchmark.stats is not None:  # none where the benchmarks are switched off
        benchmark.extra_info["pages_a_second"] = PAGES / benchmark.stats.stats.min
    assert len(pdfs) == PAGES


@pytest.mark.benchmark(group="sheets", min_rounds=3, timer=process_time)
def test_the_same_content_by_typst(benchmark, plans, template, tmp_path):
    words = load_settings().words
    pages = [_source(layout(plan, template, words), template) for plan in plans]
    head = (
        f"#set page(width: {template.page.width_mm}mm, height: {template.page.height_mm}mm, margin: 0mm)\n"
        '#set text(font: "IBM Plex Sans Condensed")\n'
    )
    source = tmp_path / "sheets.typ"
    fonts = [str(Path(next(iter(shipped_faces().values()))).parent)]
    rounds = iter(range(10_000))

    def make():
        # another page each round, so that nothing is taken from typst's memory of the last one
        source.write_text(head + f"// {next(rounds)}\n" + "\n#pagebreak()\n".join(pages), encoding="utf-8")
        return typst.compile(str(source), font_paths=fonts)

    pdf = benchmark(make)
    if benchmark.stats is not None:  # none where the benchmarks are switched off
        benchmark.extra_info["pages_a_second"] = PAGES / benchmark.stats.stats.min
    assert pdf.startswith(b"%PDF")
