"""Swap lists of editions written by hand: order, reasons whole, overdue surveys, the pages to print."""

import json
from copy import deepcopy
from io import BytesIO

import pytest
from pypdf import PdfReader, PdfWriter

from atlas.editions import read_edition
from atlas.editions.swap import Step, compare, print_pdf
from atlas.faults import InputFaults, UsageError

POLICY = {
    "limits.factor_track": {"value": 5.0, "unit": "", "source": "agency's own figure"},
    "limits.clearance": {"value": 0.9, "unit": "m", "source": "common practice"},
}


def anchor(bank, tag, **more):
    return {"tag": tag, "bank": bank, "height_m": 3.4, "rating_n": 40e3, "do_not_use": False} | more


def workings(code):
    """As much of a site's workings as the reasons look at."""
    case = {"case": "boat-swamped", "judged": True, "factor": 7.5, "clearance_m": 1.6}
    return {
        "schema": 1, "site": code, "name": f"Ford of {code}", "span_m": 31.2, "width_m": 24.0,
        "reach_down_m": 12.0, "setback_near_m": 3.0, "setback_far_m": 4.0,
        "rigs": [{
            "rig": "movable-control-point", "chosen": True,
            "lines": [{"line": "track", "needed_m": 70.0, "take": [{"agency": "VFD", "rope": "Static 300"}],
                       "short_m": 0.0}],
            "anchors": [anchor("near", "N1"), anchor("far", "F1"), anchor("far", "F2")],
            "limit": {"surface_speed_m_s": 2.31, "stage_m": 2.2, "governed_by": "factor"},
            "pretension_window_n": [1200.0, 2600.0], "haul": {"system": "3:1", "people": 3},
            "closest_boat_m": 1.0,
            "stages": [{"planning": True, "inside": True, "stage_m": 1.2, "design_speed_m_s": 1.6,
                        "cases": [case]}],
            "gear": [{"item": "pulley", "needed": 6, "short": 0}], "crew": [{"post": "haul", "people": 3}],
        }],
        "cautions": [{"signal": "WARNING", "text": "Strainer 40 m below."}], "warnings": [],
        "limits_used": [{"key": "limits.factor_track", "value": 5.0}],
        "survey": {"surveyed": "2026-04-14", "valid_until": "2027-04-14", "agency": "VFD",
                   "river": "Otter River", "near_bank": "right"},
        "posts": [],
    }  # fmt: skip


def blank_pdf(labels):
    writer = PdfWriter()
    for _ in labels:
        writer.add_blank_page(612, 792)
    for number, label in enumerate(labels):
        writer.set_page_label(number, number, prefix=label)
    target = BytesIO()
    writer.write(target)
    return target.getvalue()


class Written:
    """An edition to be written: pages in order as (label, kind, hash's first letter)."""

    def __init__(self, name, pages, as_of):
        self.name, self.pages, self.as_of = name, pages, as_of
        self.county, self.policy, self.units, self.paper = (
            "Otter Flats County",
            deepcopy(POLICY),
            "si",
            "letter",
        )
        self.workings = {label: workings(label) for label, kind, _ in pages if kind == "sheet"}

    def at(self, folder):
        place = folder / self.name
        for inside in ("sheets", "workings"):
            (place / inside).mkdir(parents=True)
        pages = []
        for label, kind, letter in self.pages:
            page = {"label": label, "kind": kind, "path": "binder.pdf", "hash": letter * 64}
            if kind == "sheet":
                survey = self.workings[label]["survey"]
                page |= {
                    "path": f"sheets/{label}.pdf", "workings": f"workings/{label}.json",
                    "changed_in": self.name, "name": f"Ford of {label}", "reach": "OT",
                    "surveyed": survey["surveyed"], "valid_until": survey["valid_until"],
                }  # fmt: skip
                (place / page["path"]).write_bytes(blank_pdf([label]))
                (place / page["workings"]).write_text(json.dumps(self.workings[label]), encoding="utf-8")
            pages.append(page)
        record = {
            "schema": 2, "county": self.county, "edition": self.name, "as_of": self.as_of, "pages": pages,
            "paper": self.paper, "units": self.units, "policy": {"hash": "", "values": self.policy},
        }  # fmt: skip
        (place / "edition.json").write_text(json.dumps(record), encoding="utf-8")
        (place / "binder.pdf").write_bytes(blank_pdf([label for label, _, _ in self.pages]))
        return read_edition(place)


def edition(name="2026", as_of="2026-06-01", pages=None):
    return Written(
        name,
        pages
        or [
            ("Cover", "around", "a"), ("Contents", "around", "a"), ("OT-1", "sheet", "a"),
            ("OT-2", "sheet", "a"), ("OT-3", "sheet", "a"), ("Limits", "around", "a"),
        ],
        as_of,
    )  # fmt: skip


@pytest.fixture
def swapped(tmp_path, settings):
    def swap(old, new):
        return compare(old.at(tmp_path), new.at(tmp_path), settings.words)

    return swap


def of_pages(*pages):
    return edition("2027", pages=pages)


def reasons(swap, label):
    return next(change.reasons for change in swap.changes if change.label == label)


def next_year(letters="aabaaa"):
    new = edition("2027")
    new.pages = [(label, kind, letter) for (label, kind, _), letter in zip(new.pages, letters, strict=True)]
    return new


def test_what_reads_the_same_is_not_in_the_list_whatever_else_was_touched(swapped):
    new = next_year("aaaaaa")
    new.workings["OT-1"]["span_m"] = 31.2000001
    new.workings["OT-2"]["lines"] = "anything"
    assert swapped(edition(), new).changes == ()


def test_pages_out_in_and_replaced_in_the_order_of_the_binder(swapped):
    new = of_pages(
        ("Cover", "around", "b"), ("Contents", "around", "a"), ("OT-0", "sheet", "a"), ("OT-1", "sheet", "a"),
        ("OT-3", "sheet", "b"), ("OT-4", "not_printed", "a"), ("Limits", "around", "a"),
    )  # fmt: skip
    swap = swapped(edition(), new)
    assert [(change.step, change.label, change.behind) for change in swap.changes] == [
        (Step.REPLACE, "Cover", None), (Step.IN, "OT-0", "Contents"), (Step.OUT, "OT-2", None),
        (Step.REPLACE, "OT-3", "OT-1"), (Step.IN, "OT-4", "OT-3"),
    ]  # fmt: skip
    assert reasons(swap, "OT-0") == ("new site",)
    assert reasons(swap, "OT-2") == ("no longer in the county's surveys",)
    assert reasons(swap, "OT-4") == ("not printed: its faults stand in its place",)


def rig_of(new):
    return new.workings["OT-1"]["rigs"][0]


def change_span(new):
    new.workings["OT-1"]["span_m"] = 33.0


def remove_far_anchor(new):
    del rig_of(new)["anchors"][1]


def add_anchor(new):
    rig_of(new)["anchors"].append(anchor("near", "N7"))


def forbid_anchor(new):
    rig_of(new)["anchors"][0]["do_not_use"] = True


def lower_tie(new):
    rig_of(new)["anchors"][0]["height_m"] = 3.1


def lower_limit(new):
    rig_of(new)["limit"]["surface_speed_m_s"] = 1.96


def lose_limit(new):
    rig_of(new)["limit"] = None


def lack_rope(new):
    rig_of(new)["lines"][0] |= {"needed_m": 96.0, "take": [], "short_m": 4.0}


def raise_factor(new):
    new.policy["limits.factor_track"]["value"] = 7.0


def add_caution(new):
    new.workings["OT-1"]["cautions"].append({"signal": "DANGER", "text": "Power line: keep ropes low."})


def close_window(new):
    rig_of(new)["pretension_window_n"] = None


def another_name(new):
    new.workings["OT-1"]["name"] = "Alder Ford"


@pytest.mark.parametrize(
    ("touch", "told"),
    [
        (change_span, ("span 31.2 to 33.0 m",)),
        (remove_far_anchor, ("far anchor F1 removed",)),
        (add_anchor, ("near anchor N7 added",)),
        (forbid_anchor, ("near anchor N1 to be used to do not use",)),
        (lower_limit, ("limit speed 2.3 to 1.9 m/s",)),
        (lose_limit, ("limit speed 2.3 m/s to none", "limit stage 2.20 m to none",
                      "limit set by rope factor to none")),
        (lack_rope, ("Track line: rope needed exceeds cache by 4.0 m", "Track line, needed 70.0 to 96.0 m",
                     "Track line, rope to take VFD Static 300 to none")),
        (raise_factor, ("policy: Least factor of the track line 5 to 7",)),
        (add_caution, ("now says: Power line: keep ropes low.",)),
        (close_window, ("set tension from 1.2 kN to none", "set tension to 2.6 kN to none")),
        (another_name, ("name Ford of OT-1 to Alder Ford",)),
    ],
)  # fmt: skip
def test_reasons_in_words_numbers_old_to_new(swapped, touch, told):
    new = next_year()
    touch(new)
    assert reasons(swapped(edition(), new), "OT-1") == told


def test_a_tie_that_moved_is_a_reason(swapped):
    new = next_year()
    lower_tie(new)
    assert reasons(swapped(edition(), new), "OT-1") == ("tie height of near anchor N1 3.40 to 3.10 m",)


def test_a_rope_that_reaches_again_and_things_that_went(swapped):
    old, new = edition(), next_year()
    lack_rope(old)
    old.workings["OT-1"]["rigs"][0]["lines"][0]["needed_m"] = 70.0
    new.workings["OT-1"]["cautions"] = []
    assert reasons(swapped(old, new), "OT-1") == (
        "Track line: now covered by the cache", "Track line, rope to take none to VFD Static 300",
        "no longer says: Strainer 40 m below.",
    )  # fmt: skip


def test_a_policy_value_that_took_no_part_is_told_once_and_not_for_every_sheet(swapped):
    new = next_year()
    change_span(new)
    new.policy["limits.clearance"]["value"] = 1.2
    swap = swapped(edition(), new)
    assert reasons(swap, "OT-1") == ("span 31.2 to 33.0 m",)
    assert swap.policy == ("policy: Clearance over the water, to which v²/2g is added 0.9 to 1.2 m",)


def test_a_page_whose_figures_are_the_same_was_drawn_differently(swapped):
    assert reasons(swapped(edition(), next_year()), "OT-1") == ("drawn differently, with the same figures",)


def test_a_figure_that_prints_the_same_is_no_reason(swapped):
    new = next_year()
    new.workings["OT-1"]["span_m"] = 31.199
    assert reasons(swapped(edition(), new), "OT-1") == ("drawn differently, with the same figures",)


def test_overdue_surveys_with_their_age(swapped):
    new = next_year("aaaaaa")
    new.as_of = "2027-05-13"
    new.workings["OT-2"]["survey"] |= {"surveyed": "2024-05-14", "valid_until": "2025-05-14"}
    new.workings["OT-3"]["survey"] |= {"surveyed": "2026-05-13", "valid_until": "2027-05-13"}
    found = [(late.code, late.name, late.months) for late in swapped(edition(), new).overdue]
    # 14 May 2024 to 13 May 2027 is a day short of 36 months; valid until the day itself is not overdue
    assert found == [("OT-1", "Ford of OT-1", 12), ("OT-2", "Ford of OT-2", 35)]


def test_the_print_file_holds_the_pages_that_go_in_and_no_others(swapped, settings):
    new = of_pages(
        ("Cover", "around", "a"), ("Contents", "around", "b"), ("OT-0", "sheet", "a"), ("OT-1", "sheet", "a"),
        ("OT-3", "sheet", "b"), ("OT-4", "not_printed", "a"), ("Limits", "around", "a"),
    )  # fmt: skip
    swap = swapped(edition(), new)
    pages = print_pdf(swap, settings.words)
    assert PdfReader(BytesIO(pages)).page_labels == ["Contents", "OT-0", "OT-3", "OT-4"]
    assert print_pdf(swap, settings.words) == pages


def test_nothing_to_print_is_no_file(swapped, settings):
    assert print_pdf(swapped(edition(), next_year("aaaaaa")), settings.words) is None


def test_two_counties_are_refused(swapped):
    new = next_year()
    new.county = "Marsh County"
    with pytest.raises(UsageError) as told:
        swapped(edition(), new)
    assert str(told.value).endswith(
        "2027 is of Marsh County; name two editions of one county"
    )  # fmt: skip


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("", "it is no JSON text"),
        ("[]", "it is no object"),
        ('{"span_m": "wide"}', "span_m is no number"),
        ('{"span_m": NaN}', "span_m is no number"),
        ('{"rigs": [{"chosen": true, "lines": 3}]}', "rigs[0].lines is no list"),
        ('{"name": 7}', "name is no text"),
    ],
)
def test_damaged_workings_end_in_one_line(swapped, tmp_path, content, what, settings):
    swap = swapped(edition(), next_year("aaaaaa"))
    path = tmp_path / "2027" / "workings" / "OT-1.json"
    path.write_text(content, encoding="utf-8")
    record = path.parents[1] / "edition.json"
    record.write_text(record.read_text(encoding="utf-8").replace("a" * 64, "b" * 64), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        compare(swap.old, read_edition(swap.new.place), settings.words)
    assert str(told.value) == (
        f"{path}: the workings are damaged: {what}; print that edition again, or name another folder"
    )


@pytest.mark.parametrize(
    ("content", "what"), [(None, "no such file or directory"), (b"%PDF", "this is no PDF")]
)
def test_a_sheet_that_is_gone_or_damaged_ends_in_one_line(swapped, tmp_path, settings, content, what):
    new = next_year()
    change_span(new)
    swap = swapped(edition(), new)
    path = tmp_path / "2027" / "sheets" / "OT-1.pdf"
    path.unlink() if content is None else path.write_bytes(content)
    with pytest.raises(InputFaults) as told:
        print_pdf(swap, settings.words)
    assert str(told.value).lower() == (
        f"{path}: {what}; print that edition again, or name another folder".lower()
    )
