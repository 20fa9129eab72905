"""Days a month outside plan: a made river, whose days are counted here by hand."""

import io
from dataclasses import replace
from datetime import date, timedelta

import pikepdf
import pytest

from atlas.binder import SiteSheet
from atlas.binder.contents import Chapter
from atlas.binder.seasons import seasons_pages, seasons_place
from atlas.paper import Rect, Text
from atlas.paper.looks import looks_of
from atlas.paper.press import Press
from atlas.records import DailyFlows, FieldMeasurement, FlowNote, GaugedSite, GaugeRecord, GaugeRelation
from atlas.water import StageSettings, river_model

# Q = 12 (h - 0.4)^1.8: at the limit stage of 2.0 m it is 27.97 m3/s, without scatter
STAGES = (0.9, 1.1, 1.4, 1.8, 2.3, 2.9, 3.6)
LIMIT_M = 2.0


def measured(stage_m):
    flow = 12.0 * (stage_m - 0.4) ** 1.8
    return FieldMeasurement(date(2020, 1, 1), stage_m, flow, 20.0, flow / (0.3 * flow**0.4), 0.3 * flow**0.4)


def flow_on(day):
    """High in the first 12 days of March, in 5 days of May, and on one day of June every other year."""
    high = (day.month, day.day) == (6, 1) and day.year % 2 == 0
    high |= day.month == 3 and day.day <= 12
    high |= day.month == 5 and day.day <= 5
    return None if day.month == 8 else 29.0 if high else 3.0


@pytest.fixture(scope="module")
def gauged(sheet_of):
    """A sheet whose site has a gauge with eight years of daily flows, August unknown."""
    plain = sheet_of("OT-10")
    first = date(2016, 1, 1)
    days = [first + timedelta(days=number) for number in range((date(2023, 12, 31) - first).days + 1)]
    record = GaugeRecord(
        "OT G1", None, None, None, tuple(measured(stage) for stage in STAGES),
        daily=DailyFlows(first, tuple(flow_on(day) for day in days)),
    )  # fmt: skip
    note = FlowNote(date(2026, 5, 1), 1.4, False, None, 20.0, 0.9, None, None, None)
    plan = plain.plan
    access = replace(
        plan.site.access, stage_m=1.4, flow_notes=(note,), gauge="OT G1",
        gauged=GaugedSite(record, GaugeRelation("OT-10", 1.0, same_section=True)),
    )  # fmt: skip
    limit = replace(plan.chosen.limit, stage_m=LIMIT_M)
    plan = replace(
        plan,
        site=replace(plan.site, access=access),
        rigs=(replace(plan.chosen, limit=limit), *plan.rigs[1:]),
        river=river_model(access, width_m=plan.frame.width_m, settings=StageSettings()),
    )
    return SiteSheet(plan, plain.page, plain.pdf, plain.workings)


@pytest.fixture(scope="module")
def press(settings, template, gauged):
    return Press(settings.words, template, looks_of(template), gauged.plan.county)


@pytest.fixture(scope="module")
def pages(press, gauged, sheet_of):
    chapter = Chapter(gauged.plan.reach, (gauged, sheet_of("OT-2")))
    return seasons_pages(press, chapter, not_count_on=10.0)


def texts(page):
    return [item.text for item in page.page.items if isinstance(item, Text)]


def test_one_page_with_the_gauged_site_alone(pages):
    (page,) = pages
    assert page.label == "OT seasons"
    assert any(text.startswith("OT-10") for text in texts(page))
    assert not any(text.startswith("OT-2") for text in texts(page))


def test_days_are_those_counted_by_hand_and_rounded_up(pages, settings):
    items = [item for item in pages[0].page.items if isinstance(item, Text)]
    months = {item.text: item.x_mm for item in items if item.text in {"Jan", "Mar", "May", "Jun", "Aug"}}
    over = {
        month: next(other.text for other in items if other.text != month and abs(other.x_mm - x_mm) < 1e-6)
        for month, x_mm in months.items()
    }
    # the 1st of June is high in half of the years: the median is half a day, told as one
    assert over == {"Jan": "0", "Mar": "12", "May": "5", "Jun": "1", "Aug": settings.words("sheet.unknown")}


def test_bars_are_as_high_as_their_days(pages, press):
    ink, land = press.looks.colours["ink"], press.looks.colours["land"]
    bars = [item for item in pages[0].page.items if isinstance(item, Rect) and item.stroke is not None]
    by_height = sorted(bars, key=lambda bar: bar.box.height_mm, reverse=True)
    assert [bar.fill for bar in by_height] == [ink, land, land]
    tall, middle, low = (bar.box.height_mm for bar in by_height)
    assert (tall / middle, middle / low) == pytest.approx((12 / 5, 10.0))
    assert len({round(bar.box.bottom_mm, 6) for bar in bars}) == 1


def test_when_to_train_there_and_when_not_to_count_on_it(pages):
    told = " ".join(texts(pages[0]))
    assert "Train there: Jan, Feb, Apr, Jul, Sep, Oct, Nov, Dec (0 days)." in told
    assert "Do not count on it: Mar (10 days or more)." in told
    # 2.0 m is 6.56 ft, told down; 27.97 m3/s is 988 cfs to three digits, down
    assert "Gauge OT G1: outside plan at or above 6.5 ft, from about 987 cfs. 8 years." in told


def test_a_reach_without_gauged_sites_has_no_page(press, sheet_of, broken):
    plain = sheet_of("OT-2")
    assert seasons_pages(press, Chapter(plain.plan.reach, (plain, broken)), not_count_on=10.0) == ()


def test_no_limit_or_no_daily_flows_no_page(press, gauged):
    plan = gauged.plan
    for changed in (
        replace(plan, rigs=(replace(plan.chosen, limit=None),)),
        replace(plan, river=None),
    ):
        sheet = SiteSheet(changed, gauged.page, gauged.pdf, gauged.workings)
        assert seasons_pages(press, Chapter(plan.reach, (sheet,)), not_count_on=10.0) == ()


def test_it_is_bound_before_its_sheets_and_the_outline_leads_to_it(bindery, gauged, sheet_of):
    book = bindery([gauged, sheet_of("OT-2")])
    labels = [page.label for page in book.pages]
    assert labels.index("OT seasons") == labels.index("Map OT") + 1
    with pikepdf.open(io.BytesIO(book.pdf)) as pdf, pdf.open_outline() as outline:
        reach = next(entry for entry in outline.root if entry.title == "OT Upper Otter")
        assert [child.title for child in reach.children][:2] == ["Map", "Days a month outside plan"]
        assert seasons_place("OT") in pikepdf.NameTree(pdf.Root.Names.Dests)
