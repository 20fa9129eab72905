"""Dates that a survey is valid until, and sites that cannot be computed: what they are told."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import EngineeringError, InputFaults, NoSolution, OutOfRange
from atlas.plan.build import months_after
from atlas.records import AnchorUse, Bank
from atlas.settings import Words


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2026, 8, 19), 12, date(2027, 8, 19)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),  # a leap year
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2028, 2, 29), 48, date(2032, 2, 29)),
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
        (date(2026, 3, 31), 6, date(2026, 9, 30)),
    ],
)
def test_so_many_months_on(day, months, expected):
    assert months_after(day, months) == expected


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(1, 120))
def test_never_a_day_more_and_at_most_three_less(day, months):
    found = months_after(day, months)
    assert (found.year * 12 + found.month) - (day.year * 12 + day.month) == months
    assert day.day - 3 <= found.day <= day.day


# ---- sites that cannot be computed


def told(demo, site, kind, **changes):
    with pytest.raises(EngineeringError) as raised:
        demo.plan(site, **changes)
    assert type(raised.value) is kind
    return str(raised.value)


@pytest.fixture(scope="module")
def site(demo):
    return demo.sites["PC-02"]


def with_access(site, **changes):
    return replace(site, access=replace(site.access, **changes))


def test_without_flow_notes(demo, site):
    assert told(demo, with_access(site, flow_notes=()), OutOfRange) == (
        "site PC-02: no flow note; needed: at least one with a speed"
    )


def test_a_note_without_speed(demo, site):
    note = replace(site.access.flow_notes[0], surface_speed_m_s=None, mean_speed_m_s=None)
    assert told(demo, with_access(site, flow_notes=(note,)), OutOfRange) == (
        "site PC-02: flow note without a speed; needed: surface_speed or mean_speed"
    )


def test_without_edges_and_width(demo, site):
    assert told(demo, replace(site, edges=()), NoSolution) == (
        "site PC-02: which way the river runs cannot be told (got near_bank right, flow_toward missing, "
        "edges missing): give the bearing toward which the water runs, or near_bank and both water's edges"
    )


def test_an_agency_without_a_cache(demo, site):
    others = tuple(agency for agency in demo.agencies if agency.code != "OVF")
    assert told(demo, site, NoSolution, agencies=others) == (
        "site PC-02: its agency OVF has no cache: add it to caches.toml"
    )


def test_a_reach_that_is_not_the_county_s(demo, site):
    assert told(demo, with_access(site, reach="XX"), NoSolution) == (
        "site PC-02: its reach XX is not the county's: add it to county.toml"
    )


def test_a_line_too_steep_for_what_was_shown(demo, site):
    """A far tie 6 m over the near one on 23.2 m: a slope of 0.26."""
    anchors = tuple(
        replace(anchor, height_m=8.9)
        if anchor.bank is Bank.FAR and AnchorUse.TRACK in anchor.uses
        else anchor
        for anchor in site.anchors
    )
    text = told(demo, replace(site, anchors=anchors), OutOfRange)
    start = "site PC-02: rise_m: outside the range in which the answer was shown; got 6 m; allowed -3.4"
    assert text.startswith(start)  # 15 % of 23.20 m
    assert text.endswith(" m (15 % of the span)")


def test_a_span_too_short_for_what_was_shown(demo, site):
    """Far things brought to 8 m: both anchors on the banks of 5 m of water."""
    near = next(anchor for anchor in site.anchors if anchor.tag == "N1")
    far = next(anchor for anchor in site.anchors if anchor.tag == "F1")

    def nearer(place):
        return tuple(a + (b - a) * 8.0 / 23.2 for a, b in zip(near.place, place, strict=True))

    short = replace(
        with_access(site, width_m=5.0, flow_toward_deg=110.0, reach_down_m=9.0),
        edges=(),
        work_areas=(),
        anchors=(near, replace(far, place=nearer(far.place))),
    )
    text = told(demo, short, OutOfRange)
    assert text.startswith("site PC-02: span_m: outside the range in which the answer was shown; got ")
    assert text.endswith(" m; allowed 10 to 250 m")


def test_a_fault_of_the_wording_is_no_fault_of_the_site(demo):
    """A text that is missing is told as what it is, and not as an answer that could not be found."""
    texts = {key: text for key, text in demo.settings.words.texts.items() if key != "warning.overdue"}
    settings = replace(demo.settings, words=Words(texts=texts, file="own/en.toml"))
    with pytest.raises(InputFaults) as raised:
        replace(demo, settings=settings).plan("WEN-01")
    assert str(raised.value) == (
        "own/en.toml, warning.overdue: the wording lacks a text, or names a place that is not filled; "
        "got 'warning.overdue'; add the text, or compare with the wording that came with the program"
    )
