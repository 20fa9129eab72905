"""Every warning shown to fire, with its whole text, and what was assumed said with its source."""

from dataclasses import replace
from datetime import date

import pytest

from atlas.records import (
    AnchorUse,
    Bank,
    FieldMeasurement,
    GaugedSite,
    GaugeRecord,
    GaugeRelation,
    GearStock,
    Launcher,
    MeanKind,
)


def texts(plan):
    return {note.code: note.text for note in plan.warnings}


# code -> (demo site, whole text); the figures of the texts are in the surveys and caches, or checked below
DEMO_WARNINGS = {
    "window_empty": ("WEN-05", "No set tension meets every limit at the planning stage"),
    "stations_on_scene": (
        "PC-03",
        "Stations not surveyed: NF*, FF*, UD*. Find and judge anchors on scene",
    ),
    "rating_assumed": ("PC-02", "Hold assumed from kind and size: N1, N2, N3, F1, F2"),
    "stage_assumed": ("PC-01", "Flow note without stage: taken as the survey day's"),
    "speed_from_section_mean": ("WEN-04", "Surface speed from a section mean by the policy's ratio"),
    "speed_from_vertical_mean": ("PC-03", "Surface speed from a vertical mean by the policy's ratio"),
    "note_ratio": ("OT-03", "Surface speed from a mean by this site's own ratio"),
    "width_of_survey_day": (
        "WEN-05",
        "Flow note without width: the survey day's, or the widest noted below, was taken",
    ),
    "scaled_from_highest_note": (
        "PC-03",
        "Modelled rows scaled from the highest note, with the policy's margin",
    ),
    "notes_scattered": (
        "PC-04",
        "Noted speeds scatter more than they rise: scaled from the highest note",
    ),
    "held_at_lowest_note": ("WEN-03", "Below the lowest note the speed is held at the lowest note's"),
    "depth_assumed": ("PC-01", "Depth assumed from width for the modelled rows"),
    "beyond_survey": ("OT-01", "Rows past the highest surveyed stage are modelled"),
    "overdue": ("WEN-01", "Survey is past its 12 months"),
    # 29.38 m to the far tie; a slingshot of 120 ft, 36.58 m, reaches 25.6 m into the wind: 84 ft
    "launcher_wind": ("OT-06", "Launch: the throw is 97 ft; into the wind the launcher reaches 84 ft"),
}


@pytest.mark.parametrize(("code", "where"), DEMO_WARNINGS.items())
def test_a_demo_site_is_warned_of(demo, code, where):
    site, text = where
    assert texts(demo.plans[site])[code] == text
    silent = [plan for plan in demo.plans.values() if code not in texts(plan)]
    assert silent or code in {"rating_assumed", "beyond_survey"}  # these are shown silent among the cautions


def test_a_short_rope_is_told_with_what_it_lacks(demo):
    """OT-02: messenger 2 x 43.99 + 2 x 5 m and a tenth: 107.8 m; 350 ft is 106.7 m: 1.1 m or 4 ft short.

    With nobody but the first due to come; the others have longer ones.
    """
    warnings = [note.text for note in demo.alone("OT-02").warnings if note.code == "rope_short"]
    assert warnings == [
        "Messenger line: 4 ft short of the length needed; the nearest is Messenger 350 of OVF"
    ]
    assert "rope_short" not in texts(demo.plans["OT-02"])


def test_where_nobody_s_rope_serves_the_planning_rope_is_said(demo):
    told = texts(demo.alone("PC-03"))
    assert told["rope_none"] == "Track line: no rope of any agency serves it"
    assert told["planning_rope"] == "No cache rope serves the track line: computed with the planning rope"
    assert not {"rope_none", "planning_rope"} & set(texts(demo.plans["PC-03"]))


def with_notes(site, *notes, **access):
    return replace(site, access=replace(site.access, flow_notes=notes, **access))


@pytest.fixture(scope="module")
def site(demo):
    return demo.sites["PC-02"]


def low(site):
    """With ties at 1.3 m: outside plan in still water, so that no limit speed is looked for. Quicker."""
    return replace(site, anchors=tuple(replace(anchor, height_m=1.3) for anchor in site.anchors))


@pytest.fixture(scope="module")
def note(site):
    """A note at 1.55 m, 1.7 m/s, which nothing is wrong with."""
    low, high = site.access.flow_notes
    assert (low.stage_m, high.stage_m) == (1.02, 1.55)
    return replace(high, width_m=20.0, depth_m=1.3)


def test_nothing_is_said_of_a_note_that_lacks_nothing(demo, site, note):
    told = set(texts(demo.quick(with_notes(low(site), note, planning_stage_m=1.55))))
    water = {"stage_assumed", "width_of_survey_day", "depth_assumed", "datum_assumed", "stage_unknown"}
    assert not told & water


WATER = {
    "stage_from_discharge": "Flow note without stage: taken from the nearest note with stage and discharge",
    "stage_unknown": "Flow note with discharge only: computed at the survey day's water",
    "datum_assumed": "No stage on the survey day: the lowest noted stage was taken for it",
    "planning_stage_unknown": (
        "Planning stage named, but no stage surveyed: the highest surveyed row was taken"
    ),
    "surface_below_mean": "A note's mean is faster than its surface speed: the mean was taken",
    "raised_to_lower_row": "A modelled speed was raised to that of a lower row",
}


def test_notes_with_something_amiss(demo, site, note):
    bare = replace(note, stage_m=None, stage_assumed=True)
    lower = replace(note, stage_m=1.02, discharge_m3_s=12.0)
    found = {}
    for changed in (
        # discharge alone beside a note with both; a mean faster than the fastest thread
        with_notes(
            site,
            replace(lower, mean_speed_m_s=2.0, mean_kind=MeanKind.SECTION, surface_speed_m_s=1.4),
            replace(bare, discharge_m3_s=20.0),
            planning_stage_m=None,
        ),
        # discharge alone, nothing to tell its stage by; a planning stage that nothing relates to
        with_notes(site, bare, stage_m=None, planning_stage_m=2.0),
        # no stage on the survey day
        with_notes(site, note, stage_m=None, planning_stage_m=1.55),
        # a slow note above a fast one: what is planned for between them is no slower than the fast
        with_notes(
            site,
            replace(lower, surface_speed_m_s=3.0),
            replace(note, stage_m=2.0, surface_speed_m_s=1.0),
            planning_stage_m=1.5,
        ),
    ):
        found |= texts(demo.quick(low(changed)))
    assert {code: found.get(code) for code in WATER} == WATER


def test_what_is_amiss_on_the_ground(demo, site):
    """Launcher, haul run, capture, thin post for the wraps, guessed height, station on the wrong side."""
    n3 = next(anchor for anchor in site.anchors if anchor.tag == "N3")
    assert (n3.bank, n3.uses) == (Bank.NEAR, {AnchorUse.UP_DOWN})
    anchors = tuple(
        replace(anchor, diameter_m=0.09, rating_n=50e3, kind="bridge_post")
        if anchor.tag == "F1"
        else replace(anchor, height_assumed=True)
        if anchor.tag == "N2"
        else replace(anchor, uses=frozenset({AnchorUse.FERRY}))
        if anchor.tag == "N3"
        else anchor
        for anchor in site.anchors
    )
    changed = replace(site, anchors=anchors, access=replace(site.access, near_run_m=1.5))
    agencies = demo.agency_of(
        "PC-02",
        gear=(GearStock("carabiner", 4, 40e3),),
        launchers=(Launcher("slingshot", 20.0), Launcher("slingshot", 21.0)),
    )
    plan = demo.plan(changed, agencies=agencies, overrides={"stages.rows_above": 0, "limits.factor_lines": 1})
    told = texts(plan)
    # thrown 21.2 m from launch post to far tie, 70 ft rounded up; the farther of the two reaches, 68.9 ft
    assert told["launcher_short"] == "Launch: the throw is 70 ft, the launcher reaches 68 ft"
    assert "launcher_wind" not in told
    needed_ft = (plan.chosen.haul.travel_m + 1.0) / 0.3048
    assert told["haul_run_short"] == (
        f"Haul needs {-int(-needed_ft // 1)} ft behind the near anchor, the clear run is 4 ft"
    )
    # 5 kN are 1124 lbf, told in tens, down
    assert told["capture_default"] == "No capture device in the first-due cache: planned at 1120 lbf"
    assert plan.chosen.capture_limit_n == 5e3
    # 9 cm against 8 x 12.5 mm
    assert told["wrap_anchor_thin"] == (
        "Far anchor F1 is under 8 rope diameters: the wraps are counted as a knot"
    )
    assert plan.chosen.rope.kept == pytest.approx(0.85 * 0.60)
    assert told["height_assumed"] == "Tie height not surveyed, assumed: N2"
    assert told["station_set_aside"] == (
        "Anchors on the wrong side of the track line for their use, set aside: N3"
    )
    assert "UD*" in told["stations_on_scene"]
    # just thick enough, and everything else in its place
    quiet = texts(demo.brief("PC-02"))
    assert not {"launcher_short", "haul_run_short", "capture_default", "wrap_anchor_thin"} & set(quiet)
    assert not {"height_assumed", "station_set_aside", "stations_on_scene"} & set(quiet)


def test_an_anchor_of_eight_rope_diameters_keeps_full_strength(demo, site):
    for diameter_m, kept in ((0.0999, 0.85 * 0.60), (0.1, 0.85)):
        anchors = tuple(
            replace(anchor, diameter_m=diameter_m, rating_n=50e3) if anchor.tag == "F1" else anchor
            for anchor in site.anchors
        )
        plan = demo.quick(low(replace(site, anchors=anchors)))
        assert plan.chosen.rope.kept == pytest.approx(kept)


def test_a_window_that_no_haul_fits(demo):
    """A crew of one and only a 2:1: 222 x 1.8 = 400 N at least, 444 at most, under the window's lower end."""
    rig = demo.settings.rig("movable-control-point").model_copy(
        update={"hauls": ["2:1"], "people_on_haul": 1}
    )
    plan = replace(demo, settings=replace(demo.settings, rigs=(rig,))).plan("PC-02")
    assert plan.chosen.window.low_n > 444.0
    assert (plan.chosen.haul.system, plan.chosen.haul.people, plan.chosen.haul.fits) == ("2:1", 1, False)
    assert texts(plan)["no_haul_fits"] == (
        "No haul sets a tension inside the window; the nearest below its upper end is printed"
    )
    assert "window_empty" not in texts(plan)
    assert not plan.chosen.planning.inside


def test_a_launch_by_boat_is_not_thrown(demo, site):
    plan = demo.quick(low(replace(site, access=replace(site.access, launch_method="boat"))))
    assert not {"launcher_short", "launcher_wind"} & set(texts(plan))


def test_a_tether_says_which_anchors_do_not_serve_it_and_that_no_work_area_was_drawn(demo):
    """OT-01's near ferry anchor goes to below the work area, PC-03 has none drawn."""
    site = demo.sites["OT-01"]
    place = next(anchor.place for anchor in site.anchors if anchor.tag == "N3")
    anchors = tuple(replace(anchor, place=place) if anchor.tag == "N2" else anchor for anchor in site.anchors)
    tether = replace(site.access, rig="two-line-tether")
    told = texts(demo.plan(replace(site, anchors=anchors, access=tether)))
    assert told["bow_station_set_aside"] == (
        "Anchors that do not serve the tether from where they stand, set aside: N2"
    )
    site = demo.sites["PC-03"]
    told = texts(demo.plan(replace(site, access=replace(site.access, rig="two-line-tether"))))
    assert told["work_area_assumed"] == (
        "No work area drawn: the water bank to bank down to the reach-down was taken"
    )
    assert told["stations_on_scene"] == "Stations not surveyed: NB*, FB*. Find and judge anchors on scene"


# Q = 12 (h - 0.4)^1.8 at eight stages in metres, w = 18 Q^0.12, v = 0.3 Q^0.4: a made river
STAGES = (0.9, 1.1, 1.3, 1.5, 1.8, 2.2, 2.6, 3.0)


def measured(stage_m, speed=1.0):
    flow = 12.0 * (stage_m - 0.4) ** 1.8
    fast = 0.3 * flow**0.4 * speed
    return FieldMeasurement(date(2024, 5, 1), stage_m, flow, 18.0 * flow**0.12, flow / fast, fast)


def gauged(site, measurements, *, ratio=1.0):
    relation = None if ratio is None else GaugeRelation(site.code, ratio, same_section=ratio == 1.0)
    record = GaugeRecord("PC G1", None, None, None, tuple(measurements))
    return replace(site, access=replace(site.access, gauged=GaugedSite(record, relation)))


GAUGE = {
    "from_gauge": "Modelled rows: from the gauge's field measurements and this site's notes",
    "gauge_upstream": (
        "The gauge measures another section: carried here by the ratio of widths; "
        "the water is taken to rise alike"
    ),
    "raised_to_gauge": (
        "Noted speeds raised to the upper end of what the gauge's measurements say of their stage"
    ),
    "gauge_unrelated": "Nobody says how the site lies to its gauge: its measurements were not used",
    "gauge_few_rows": "Too few measurements of the gauge to model from: they were not used",
    "gauge_no_rating": "The gauge's flow does not fit its stage: its measurements were not used",
    "gauge_scattered": "The gauge's speeds scatter more than they rise: its measurements were not used",
    "gauge_rows_dropped": "Measurements dropped because flow is not width x depth x speed: 2",
}


def test_what_is_said_of_a_gauge(demo, site, note):
    one = low(with_notes(site, note, planning_stage_m=1.7))
    good = [measured(stage) for stage in STAGES]
    dirt = [replace(good[2], mean_speed_m_s=9.0), replace(good[3], area_m2=1.0)]
    scattered = [measured(stage, 5.0 if number % 2 else 0.1) for number, stage in enumerate(STAGES)]
    found = {}
    for changed in (
        gauged(one, [*good, *dirt], ratio=0.8),
        gauged(one, good, ratio=None),
        gauged(one, good[:3]),
        gauged(one, [good[0]] * 8),
        gauged(one, scattered),
    ):
        found |= texts(demo.quick(changed))
    assert {code: found.get(code) for code in GAUGE} == GAUGE
    assert not set(GAUGE) & set(texts(demo.quick(one)))


def test_every_warning_of_the_wording_is_shown_here(demo):
    shown = {
        *DEMO_WARNINGS, *WATER, *GAUGE, "rope_short", "no_haul_fits", "launcher_short", "haul_run_short",
        "capture_default", "wrap_anchor_thin", "height_assumed", "station_set_aside", "back_up_weak",
        "back_up_anchor", "answers_untold", "post_in_no_go", "rope_none", "planning_rope",
        "bow_station_set_aside", "work_area_assumed",
    }  # fmt: skip
    assert shown == set(demo.settings.words.of("warning"))


# ---- assumed


def test_what_was_assumed_is_listed_with_its_source(demo):
    found = {value.code: value for value in demo.alone("PC-03").assumed}
    hold = found["anchor N1 hold"]
    assert (hold.value, hold.unit) == (90e3, "N")  # 450 kN/m2 x 0.48^2 = 104 kN, at most 90
    assert hold.source.startswith("agency's own figure, assumed: live, sound, rooted")
    assert found["track rope"].source == "NFPA 2500 (2022) general use; value from memory"
    assert {"station NF*", "station FF*", "station UD*"} <= set(found)
    assert found["stage row at 0.88 m: speed_from_vertical_mean"].source == "USGS WSP 2175"
    assert found["stage row at 1.25 m: scaled_from_highest_note"].source == (
        "agency's own figure: upper end of a modelled speed from one note"
    )
    assert demo.plans["PC-01"].assumed[-1].code == "stage row +0.60 m: depth_assumed"
    assert demo.plans["PC-01"].assumed[-1].source == (
        "agency's own figure, assumed: where no depth was noted"
    )


def test_nothing_is_assumed_of_an_anchor_not_to_be_used(demo):
    plan = demo.plans["OT-01"]
    (dead,) = [anchor for anchor in plan.chosen.anchors if anchor.tag == "N4"]
    assert (dead.do_not_use, dead.rating_n, dead.load_n) == (True, None, None)
    assert "anchor N4 hold" not in {value.code for value in plan.assumed}


def test_everything_assumed_is_named_once(plan):
    named = [value.code for value in plan.assumed]
    assert len(set(named)) == len(named)
    assert all(value.source for value in plan.assumed)
