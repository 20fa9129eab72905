"""A page template read and held against the rules that its shape alone does not keep."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pydantic import ValidationError

from atlas.faults import Fault, InputFaults, Severity
from atlas.records import PostKind
from atlas.settings.page_model import (
    Block,
    Blocks,
    Colours,
    FontFiles,
    PageTemplate,
    StopCellRule,
    Strokes,
    Styles,
)
from atlas.settings.toml_file import model_faults, read_table

__all__ = [
    "DROPPABLE",
    "FIGURE_STYLES",
    "LINE_STROKES",
    "Block",
    "Blocks",
    "Colours",
    "FontFiles",
    "PageTemplate",
    "StopCellRule",
    "Strokes",
    "Styles",
    "read_page_template",
]

SLACK_MM = 0.01

FIGURE_STYLES = ("code", "stop_figure", "figure")
"""Styles of figures that a crew acts on."""
DROPPABLE = {
    "head": (),
    "stop": (),
    "access": ("road", "far_access", "call", "permission", "dam", "radio", "medical"),
    "plan": (),
    "section": (),
    "lines": (),
    "track": (),
    "rigs": (),
    "levels": ("low", "modelled"),
    "anchors": ("spare",),
    "posts": tuple(kind.value for kind in PostKind),
    "contingencies": (),
    "foot": (),
}
"""Rows that a block may be told to drop."""
LINE_STROKES = ("track_empty", "track_loaded", "ferry_near", "ferry_far", "up_down")
"""Strokes that tell the lines of the rig apart."""


def _boxes(template: PageTemplate) -> Iterator[tuple[str, Block]]:
    for name in Blocks.model_fields:
        yield name, getattr(template.block, name)


def _overlap(first: Block, second: Block) -> bool:
    across_mm = min(first.right_mm, second.right_mm) - max(first.left_mm, second.left_mm)
    down_mm = min(first.bottom_mm, second.bottom_mm) - max(first.top_mm, second.top_mm)
    return across_mm > SLACK_MM and down_mm > SLACK_MM


def _box_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    """Boxes that leave the content column, or lie upon each other."""
    width_mm, height_mm = template.content_width_mm, template.content_height_mm
    boxes = list(_boxes(template))
    for number, (name, box) in enumerate(boxes):
        beyond_mm = max(box.right_mm - width_mm, box.bottom_mm - height_mm)
        if beyond_mm > SLACK_MM:
            yield (
                f"block.{name}",
                f"the box reaches {beyond_mm:.1f} mm out of the content column",
                f"up to {width_mm:.1f} mm across and {height_mm:.1f} mm down",
            )
        for other, against in boxes[number + 1 :]:
            if _overlap(box, against):
                yield (f"block.{name}", f"the box lies upon that of block.{other}", "boxes side by side")


def _style_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    """Print smaller than the least sizes of the template."""
    for name in Styles.model_fields:
        size_pt = getattr(template.style, name).size_pt
        least_pt = template.least.figure_pt if name in FIGURE_STYLES else template.least.text_pt
        if size_pt < least_pt:
            yield f"style.{name}", f"{size_pt:g} pt is too small", f"{least_pt:g} pt or more"


def _stroke_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    """Lines of the rig that only colour would tell apart."""
    for number, name in enumerate(LINE_STROKES):
        for other in LINE_STROKES[number + 1 :]:
            first, second = getattr(template.stroke, name), getattr(template.stroke, other)
            if (first.weight_mm, first.dash_mm) == (second.weight_mm, second.dash_mm):
                yield (
                    f"stroke.{name}",
                    f"the line looks like stroke.{other} in grey",
                    "another weight or dash for each line of the rig",
                )


def _drop_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    """Rows to drop that a block does not have. Gear and cautions have files of their own that name them."""
    for name, known in DROPPABLE.items():
        for row in getattr(template.block, name).drop:
            if row not in known:
                yield f"block.{name}.drop", f"no row is called '{row}'", ", ".join(known) or "none"


def _margin_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    page = template.page
    if min(page.edge_mm, page.punch_mm) < page.nearest_mm:
        yield (
            "page.nearest_mm",
            "a margin is smaller than the least distance to an edge",
            "at most both margins",
        )
    if template.content_width_mm <= 0 or template.content_height_mm <= 0:
        yield "page", "the margins leave nothing of the paper", "margins smaller than the paper"


def _beside(path: Path, fonts: FontFiles) -> FontFiles:
    """Font files named from the template's own folder."""
    folder = path.resolve().parent
    return FontFiles(
        faces={face: str(folder / name) for face, name in fonts.faces.items()},
        fallback=[str(folder / name) for name in fonts.fallback],
    )


def _font_problems(template: PageTemplate) -> Iterator[tuple[str, str, str]]:
    named = [(f"fonts.faces.{face}", name) for face, name in template.fonts.faces.items()]
    named += [("fonts.fallback", name) for name in template.fonts.fallback]
    for field, name in named:
        if not Path(name).is_file():
            yield field, f"the font file {name} is not there", "a file, named from the template's folder"


def read_page_template(path: Path) -> PageTemplate:
    """Read and check a page template.

    Raises
    ------
    InputFaults
        The file is missing or no TOML; or every key that is unknown, missing or out of range; or
        every box outside the column or upon another, print too small, lines only colour tells apart.
    """
    try:
        template = PageTemplate.model_validate(read_table(path))
    except ValidationError as error:
        raise model_faults(path, error) from None
    template = template.model_copy(update={"fonts": _beside(path, template.fonts)})
    problems = [
        *_font_problems(template),
        *_margin_problems(template),
        *_box_problems(template),
        *_style_problems(template),
        *_stroke_problems(template),
        *_drop_problems(template),
    ]
    if problems:
        raise InputFaults(
            [
                Fault(
                    code="page_template",
                    severity=Severity.FILE,
                    what=what,
                    file=str(path),
                    field=field,
                    allowed=allowed,
                    todo="mend the template",
                )
                for field, what, allowed in problems
            ]
        )
    return template
