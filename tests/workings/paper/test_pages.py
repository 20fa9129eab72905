import re
from dataclasses import replace
from io import BytesIO

import pypdf
import pytest

from atlas.faults import MissingGlyphs, PageCheckFailed
from atlas.paper import PrintRules, Text, check_boxes
from atlas.settings.page import read_page_template
from atlas.units import Figure, UnitSystem, printed
from atlas.workings.paper import pages as paged
from atlas.workings.paper import workings_pages, workings_pdf
from atlas.workings.paper.entries import Given, Step, Table, table_lines
from atlas.workings.paper.set_formula import figures


@pytest.fixture(params=["letter", "a4"])
def sheet(request, demo):
    return read_page_template(demo.settings.template_path(f"sheet-{request.param}.toml"))


def texts(page):
    return [item.text for item in page.items if isinstance(item, Text)]


def test_every_page_keeps_the_rules_of_print(demo, sheet, style):
    rules = PrintRules(least_size_pt=sheet.least.text_pt)
    for page in workings_pages(demo.plan("OT-06"), demo.settings, sheet):
        assert check_boxes(page, style.fonts, rules) == ()
        assert (page.width_mm, page.height_mm) == (sheet.page.width_mm, sheet.page.height_mm)


@pytest.mark.parametrize("code", ["OT-01", "PC-01", "PC-03", "WEN-04"])
def test_sites_of_all_kinds_print(demo, template, style, code):
    rules = PrintRules(least_size_pt=template.least.text_pt)
    pages = workings_pages(demo.plan(code), demo.settings, template)
    assert [fault for page in pages for fault in check_boxes(page, style.fonts, rules)] == []


def test_every_number_of_the_derivation_is_on_the_pages(demo, template):
    pages = workings_pages(demo.plan("OT-01"), demo.settings, template)
    printed = {text for page in pages for text in texts(page)}
    missing = []
    for chapter in demo.derivation("OT-01").chapters:
        for entry in chapter.entries:
            if isinstance(entry, Given | Step):
                values = (entry.result, *(entry.values if isinstance(entry, Step) else ()))
            elif isinstance(entry, Table):
                values = tuple(value for _, _, value in table_lines(entry))
            else:
                continue
            missing += [value for value in values if figures(value) not in printed]
    assert missing == []


def test_numbers_are_read_back_from_the_pdf(demo, template):
    """By another library: the tension, the set tensions and the limit stand in the text of the file."""
    reader = pypdf.PdfReader(BytesIO(workings_pdf(demo.plan("OT-01"), demo.settings, template)))
    text = " ".join(page.extract_text() for page in reader.pages)
    rig = demo.plan("OT-01").chosen
    tension = max(case.tension_n for case in rig.planning.cases if case.judged)
    for number in (f"{tension:.1f}", f"{rig.haul.least_n:.1f}", f"{rig.limit.surface_speed_m_s:.4f}"):
        assert number in text


def test_same_plan_same_bytes(demo, template):
    first = workings_pdf(demo.plan("OT-01"), demo.settings, template)
    assert workings_pdf(demo.plan("OT-01"), demo.settings, template) == first


def test_the_first_page_says_what_is_signed_and_leaves_room_to_sign(demo, template):
    cover = workings_pages(demo.plan("OT-01"), demo.settings, template)[0]
    told = texts(cover)
    assert "OT-01" in told
    assert "Planning aid: the authority having jurisdiction and qualified people on scene decide." in told
    assert {"Name", "Licence or qualification", "Signature", "Date", "Remarks"} <= set(told)
    assert "INSIDE PLAN at the planning row" in told
    assert "INVENTED · NOT A REAL PLACE" in told


def test_the_first_page_tells_what_came_out_as_the_sheet_prints_it(demo, template):
    rig = demo.plan("OT-01").chosen
    told = " | ".join(texts(workings_pages(demo.plan("OT-01"), demo.settings, template)[0]))
    tension = max(case.tension_n for case in rig.planning.cases if case.judged)
    for figure, value in (
        (Figure.TENSION, tension),
        (Figure.WINDOW_LOW, rig.window.low_n),
        (Figure.WINDOW_HIGH, rig.window.high_n),
        (Figure.HAUL_LEAST, rig.haul.least_n),
        (Figure.HAUL_MOST, rig.haul.most_n),
        (Figure.LIMIT_SPEED, rig.limit.surface_speed_m_s),
        (Figure.FLOAT_SECONDS, rig.limit.float_seconds),
    ):
        assert printed(figure, value, UnitSystem.US).both in told


def test_a_site_outside_plan_says_so_and_nothing_of_being_safe(demo, template):
    pages = workings_pages(demo.plan("OT-06"), demo.settings, template)
    told = texts(pages[0])
    assert "OUTSIDE PLAN at the planning row" in told
    words = " ".join(text for page in pages for text in texts(page)).lower()
    assert not re.search(r"\bsafe\b", words)


def test_contents_lead_to_the_pages_that_hold_the_chapters(demo, template):
    pages = workings_pages(demo.plan("OT-01"), demo.settings, template)
    cover = [item for item in pages[0].items if isinstance(item, Text)]
    for number, page in enumerate(pages, 1):
        for place in page.destinations:
            title = place.name.partition(" ")[2]
            entry = next(item for item in cover if item.text == title and item.x_mm > 20.0)
            row = [item.text for item in cover if item.y_mm == entry.y_mm]
            assert str(number) in row
            assert place.name.partition(" ")[0] in row


def test_the_outline_names_every_chapter(demo, template):
    reader = pypdf.PdfReader(BytesIO(workings_pdf(demo.plan("OT-01"), demo.settings, template)))
    titles = [entry.title for entry in reader.outline]
    assert titles[0] == "1 Given by the survey"
    assert titles[-1].endswith("Graphs")
    assert len(titles) == len(demo.derivation("OT-01").chapters) + 2


def test_pages_are_numbered_to_the_last(demo, template):
    pages = workings_pages(demo.plan("PC-01"), demo.settings, template)
    for number, page in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in texts(page)


def test_a_real_county_is_not_called_invented(demo, template):
    plan = demo.plan("OT-01")
    real = replace(plan, county=replace(plan.county, invented=False))
    for page in workings_pages(real, demo.settings, template):
        assert not [text for text in texts(page) if "INVENTED" in text]


def test_a_long_name_is_wrapped_and_a_letter_without_a_glyph_is_told(demo, template):
    plan = demo.plan("OT-01")
    site = plan.site
    long = replace(plan, site=replace(site, access=replace(site.access, river="The Long River " * 12)))
    assert workings_pages(long, demo.settings, template)
    odd = replace(plan, site=replace(site, access=replace(site.access, name="Landing \u4e09")))
    with pytest.raises(MissingGlyphs, match="U\\+4E09"):
        workings_pages(odd, demo.settings, template)


def test_a_derivation_that_does_not_follow_is_not_printed(demo, template, monkeypatch):
    """A wrong number must not reach paper that somebody signs."""
    derivation = demo.derivation("OT-01")

    def off(plan, settings):
        del plan, settings
        chapters = list(derivation.chapters)
        steps = chapters[1].entries
        first = steps[0]
        wrong = replace(first, result=replace(first.result, value=first.result.value + 0.1))
        chapters[1] = replace(chapters[1], entries=(wrong, *steps[1:]))
        return replace(derivation, chapters=tuple(chapters))

    monkeypatch.setattr(paged, "derive", off)
    with pytest.raises(PageCheckFailed) as refused:
        workings_pages(demo.plan("OT-01"), demo.settings, template)
    told = str(refused.value).splitlines()
    assert told[0] == "OT-01: the derivation does not follow from its printed numbers"
    assert told[1].startswith("frame 1, Rise of the far tie point: u = z_f - z_n gives")
