"""What a page template holds: paper, margins, boxes in millimetres, styles, strokes, rows that may drop."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from atlas.settings.toml_file import Strict

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Rgb = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]
FaceName = Literal["regular", "medium", "semibold", "bold", "italic"]
StopCell = Literal["limit_speed", "float", "limit_bow", "limit_stage", "governs", "planned", "set_tension"]


class PageMargins(Strict):
    """The paper and where nothing is printed. The content column lies between punch and thumb tab."""

    name: str
    width_mm: Positive
    height_mm: Positive
    punch_edge: Literal["left", "right"]
    punch_mm: Positive
    edge_mm: Positive
    """Content to the upper and lower edge."""
    nearest_mm: Positive
    """Nothing at all is nearer to an edge."""


class ThumbTab(Strict):
    """The tab of the reach on the outer edge: one place a reach, from the top."""

    width_mm: Positive
    height_mm: Positive
    gap_mm: NotNegative
    """Between two places."""
    beside_mm: NotNegative
    """Between tab and content."""


class Least(Strict):
    """Least sizes of print."""

    text_pt: Annotated[float, Field(ge=5)]
    figure_pt: Annotated[float, Field(ge=5)]


class FontFiles(Strict):
    """Font files in place of the shipped ones, and further files for characters they lack."""

    faces: dict[FaceName, str] = Field(default_factory=dict)
    fallback: list[str] = Field(default_factory=list)


class Colours(Strict):
    """Inks. All of them stay apart in grey or carry a word."""

    ink: Rgb
    muted: Rgb
    hair: Rgb
    paper: Rgb
    water: Rgb
    flow: Rgb
    land: Rgb
    work_area: Rgb
    no_go: Rgb
    danger: Rgb
    warning: Rgb
    caution: Rgb
    notice: Rgb


ColourName = Literal[
    "ink", "muted", "hair", "paper", "water", "flow", "land", "work_area", "no_go",
    "danger", "warning", "caution", "notice",
]  # fmt: skip


class Style(Strict):
    """How a text looks."""

    face: FaceName
    size_pt: Positive
    leading: Annotated[float, Field(ge=0.9, le=2)] = 1.2
    colour: ColourName = "ink"


class Styles(Strict):
    """Every style of the sheet."""

    code: Style
    name: Style
    name_long: Style
    meta: Style
    meta_strong: Style
    badge: Style
    outside: Style
    stop_label: Style
    stop_figure: Style
    stop_unit: Style
    stop_note: Style
    title: Style
    figure: Style
    unit: Style
    label: Style
    body: Style
    note: Style
    note_strong: Style
    strong: Style
    column: Style
    table: Style
    table_strong: Style
    small: Style
    map_label: Style
    map_strong: Style
    water_label: Style
    line_tag: Style
    signal: Style
    tab: Style


class StrokeRule(Strict):
    """How a line looks."""

    weight_mm: Positive
    colour: ColourName = "ink"
    dash_mm: list[Positive] = Field(default_factory=list)


class Strokes(Strict):
    """Every stroke of the sheet, and those of the maps."""

    outside_frame: StrokeRule
    bar: StrokeRule
    rule: StrokeRule
    hairline: StrokeRule
    frame: StrokeRule
    track_empty: StrokeRule
    track_loaded: StrokeRule
    ferry_near: StrokeRule
    ferry_far: StrokeRule
    up_down: StrokeRule
    bow_near: StrokeRule
    bow_far: StrokeRule
    stern_near: StrokeRule
    stern_far: StrokeRule
    bank: StrokeRule
    bank_guessed: StrokeRule
    flow: StrokeRule
    work_area: StrokeRule
    out_of_reach: StrokeRule
    no_go: StrokeRule
    grid: StrokeRule
    danger: StrokeRule
    water_planning: StrokeRule
    water_survey: StrokeRule
    dimension: StrokeRule
    leader: StrokeRule
    map_river: StrokeRule
    map_stream: StrokeRule
    map_boundary: StrokeRule
    map_road: StrokeRule
    map_other: StrokeRule
    map_tile: StrokeRule


class Block(Strict):
    """A block's box, from the content column's upper left corner. `drop`: rows that may go, first first."""

    left_mm: NotNegative
    top_mm: NotNegative
    width_mm: Positive
    height_mm: Positive
    drop: list[str] = Field(default_factory=list)

    @property
    def right_mm(self) -> float:
        """Right edge."""
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Lower edge."""
        return self.top_mm + self.height_mm


class StopCellRule(Strict):
    """One stop figure and its share of the row's width."""

    cell: StopCell
    share: Positive


class StopBlock(Block):
    """The row of stop figures."""

    cells: Annotated[list[StopCellRule], Field(min_length=1)]
    outside_cells: list[StopCellRule]
    """What stands beside OUTSIDE PLAN where there is a limit all the same."""
    outside_mm: Positive
    """Width of all of them together."""


class AccessBlock(Block):
    """How to get there, with its QR code."""

    qr_mm: Positive


class PlanBlock(Block):
    """The plan view."""

    label_margin_mm: NotNegative
    """Kept free round the drawing for labels."""
    shrink_for_surroundings: Annotated[float, Field(gt=0, le=1)]
    """How small the scale may become, of that of the rig alone, to show dangers and posts near by."""


class SectionBlock(Block):
    """The section over the water."""

    label_margin_mm: NotNegative
    exaggeration_most: Annotated[float, Field(ge=1)]


class ColumnBlock(Block):
    """Rows that run down several columns."""

    columns: Annotated[int, Field(ge=1, le=4)]


class Blocks(Strict):
    """The fourteen things of a sheet, and the rigs that were not chosen."""

    head: Block
    stop: StopBlock
    access: AccessBlock
    plan: PlanBlock
    section: SectionBlock
    lines: Block
    track: Block
    rigs: Block
    levels: Block
    anchors: Block
    posts: Block
    gear: ColumnBlock
    contingencies: Block
    cautions: Block
    foot: Block


class PageTemplate(Strict):
    """A page template, as read."""

    page: PageMargins
    tab: ThumbTab
    least: Least
    fonts: FontFiles = Field(default_factory=FontFiles)
    colour: Colours
    style: Styles
    stroke: Strokes
    block: Blocks

    @property
    def content_width_mm(self) -> float:
        """Width of the content column."""
        page, tab = self.page, self.tab
        return page.width_mm - page.punch_mm - page.nearest_mm - tab.width_mm - tab.beside_mm

    @property
    def content_height_mm(self) -> float:
        """Height of the content column."""
        return self.page.height_mm - 2 * self.page.edge_mm

    @property
    def content_left_mm(self) -> float:
        """Left edge of the content column on the page."""
        page = self.page
        if page.punch_edge == "left":
            return page.punch_mm
        return page.width_mm - page.punch_mm - self.content_width_mm

    @property
    def tab_left_mm(self) -> float:
        """Left edge of the thumb tab on the page: its outer edge is as near to the paper's as anything."""
        page = self.page
        if page.punch_edge == "left":
            return page.width_mm - page.nearest_mm - self.tab.width_mm
        return page.nearest_mm

    @property
    def tab_places(self) -> int:
        """How many tabs stand under each other."""
        return max(
            1, int((self.content_height_mm + self.tab.gap_mm) // (self.tab.height_mm + self.tab.gap_mm))
        )
