from itertools import combinations

import pytest

from atlas.paper import PAPER_SIZES_MM
from atlas.settings.page import FIGURE_STYLES, LINE_STROKES, Blocks, Styles, read_page_template

REMEDY = "mend the template"
COMPARE = "compare with the file of that name that came with the program"


@pytest.mark.parametrize("paper", PAPER_SIZES_MM)
def test_shipped_template_is_of_its_paper(templates, paper):
    page = templates[paper].page
    assert (page.name, (page.width_mm, page.height_mm)) == (paper, PAPER_SIZES_MM[paper])


@pytest.mark.parametrize("paper", PAPER_SIZES_MM)
def test_shipped_margins_are_those_of_a_bound_and_laminated_sheet(templates, paper):
    page = templates[paper].page
    assert (page.punch_mm, page.edge_mm, page.nearest_mm) == (17, 7, 6)
    assert (templates[paper].least.text_pt, templates[paper].least.figure_pt) == (7.5, 11)


@pytest.mark.parametrize("paper", PAPER_SIZES_MM)
def test_blocks_follow_each_other_as_they_are_needed(templates, paper):
    boxes = [getattr(templates[paper].block, name) for name in Blocks.model_fields]
    rows = [(box.top_mm, box.left_mm) for box in boxes]
    # two columns side by side: a block is under or beside the one before it, never over it
    assert [top for top, left in rows if left == 0] == sorted(top for top, left in rows if left == 0)
    assert rows[0] == (0, 0)
    assert max(box.bottom_mm for box in boxes) == boxes[-1].bottom_mm


def test_column_and_tab_share_the_width_with_the_margins(letter, punched_right):
    for template, left_mm, tab_mm in ((letter, 17.0, 204.9), (punched_right, 12.4, 6.0)):
        assert template.content_left_mm == pytest.approx(left_mm)
        assert template.tab_left_mm == pytest.approx(tab_mm)
        assert template.content_width_mm == pytest.approx(186.5)
    tab_right_mm = punched_right.tab_left_mm + punched_right.tab.width_mm
    assert tab_right_mm < punched_right.content_left_mm


def test_missing_file_is_one_fault(tmp_path, faults_of):
    path = tmp_path / "sheet-letter.toml"
    assert faults_of(path) == [": the file is not there; put it back or name another folder"]


def test_unknown_and_missing_keys_are_told_together(edited, faults_of):
    path = edited(("qr_mm = 19.5", "qr = 19.5"))
    assert faults_of(path) == [
        f", block.access.qr_mm: this key is missing; {COMPARE}",
        f", block.access.qr: this key is not known; got 19.5; {COMPARE}",
    ]


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (
            ('punch_edge = "left"', 'punch_edge = "top"'),
            (
                ", page.punch_edge: this is not one of the words known here; got 'top';"
                f" allowed: 'left' or 'right'; {COMPARE}"
            ),
        ),
        (
            ("width_mm = 215.9", "width_mm = inf"),
            f", page.width_mm: this is no number; got inf; allowed: a finite number; {COMPARE}",
        ),
        (
            ("edge_mm = 7", "edge_mm = 4"),
            (
                ", page.nearest_mm: a margin is smaller than the least distance to an edge;"
                f" allowed: at most both margins; {REMEDY}"
            ),
        ),
    ],
)
def test_values_out_of_range_are_told(edited, faults_of, change, fault):
    assert fault in faults_of(edited(change))


def test_box_out_of_the_column_is_told(edited, faults_of):
    assert faults_of(edited(("height_mm = 12.4", "height_mm = 15"))) == [
        (
            ", block.foot: the box reaches 2.6 mm out of the content column;"
            f" allowed: up to 186.5 mm across and 265.4 mm down; {REMEDY}"
        )
    ]


def test_boxes_upon_each_other_are_told(edited, faults_of):
    assert faults_of(edited(("left_mm = 110", "left_mm = 106"))) == [
        f", block.plan: the box lies upon that of block.lines; allowed: boxes side by side; {REMEDY}"
    ]


@pytest.mark.parametrize("name", Styles.model_fields)
def test_print_under_the_least_size_is_told(letter, edited, faults_of, name):
    size_pt = getattr(letter.style, name).size_pt
    least = "11 pt" if name in FIGURE_STYLES else "7.5 pt"
    face = getattr(letter.style, name).face
    path = edited(
        (
            f'\n{name} = {{ face = "{face}", size_pt = {size_pt:g}',
            f'\n{name} = {{ face = "{face}", size_pt = 7',
        )
    )
    assert faults_of(path) == [f", style.{name}: 7 pt is too small; allowed: {least} or more; {REMEDY}"]


def test_lines_that_only_colour_tells_apart_are_told(edited, faults_of):
    path = edited(
        ("ferry_far = { weight_mm = 0.45, dash_mm = [3.6, 0.9] }", "ferry_far = { weight_mm = 0.45 }")
    )
    assert faults_of(path) == [
        (
            ", stroke.ferry_near: the line looks like stroke.ferry_far in grey;"
            f" allowed: another weight or dash for each line of the rig; {REMEDY}"
        )
    ]


@pytest.mark.parametrize("paper", PAPER_SIZES_MM)
def test_lines_of_the_rig_differ_without_colour(templates, paper):
    strokes = [getattr(templates[paper].stroke, name) for name in LINE_STROKES]
    assert len({(stroke.weight_mm, tuple(stroke.dash_mm)) for stroke in strokes}) == len(LINE_STROKES)


def test_font_file_that_is_not_there_is_told(edited, faults_of):
    path = edited(("fallback = []", 'fallback = ["more.ttf"]'))
    named = path.parent / "more.ttf"
    assert faults_of(path) == [
        (
            f", fonts.fallback: the font file {named} is not there;"
            f" allowed: a file, named from the template's folder; {REMEDY}"
        )
    ]


def test_font_files_are_named_from_the_templates_folder(edited):
    path = edited(("fallback = []", 'fallback = ["more.ttf"]'))
    (path.parent / "more.ttf").write_bytes(b"not looked into here")
    assert read_page_template(path).fonts.fallback == [str(path.parent / "more.ttf")]


def test_rows_to_drop_that_no_block_has_are_told(edited, faults_of):
    path = edited(
        ('drop = ["low", "modelled"]', 'drop = ["lowest"]'), ('drop = ["spare"]', 'drop = ["tree"]')
    )
    assert faults_of(path) == [
        f", block.levels.drop: no row is called 'lowest'; allowed: low, modelled; {REMEDY}",
        f", block.anchors.drop: no row is called 'tree'; allowed: spare; {REMEDY}",
    ]


def test_grey_print_loses_nothing_of_the_lines(templates, words):
    """Each pair of the rig's line styles differs in dash, or both lines carry a tag of their own."""
    tags = {
        "track_loaded": "track", "ferry_near": "ferry-near", "ferry_far": "ferry-far", "up_down": "up-down",
    }  # fmt: skip
    told = {stroke: words(f"sheet.line_tag.{line}") for stroke, line in tags.items()}
    assert len(set(told.values())) == len(told)
    for template in templates.values():
        for first, second in combinations(LINE_STROKES, 2):
            dashes = [tuple(getattr(template.stroke, name).dash_mm) for name in (first, second)]
            assert dashes[0] != dashes[1] or {first, second} <= set(told), (first, second)
