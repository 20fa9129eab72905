"""A site plan made by hand: plausible figures of an invented place, none of them computed by the tool."""

from dataclasses import replace
from datetime import date
from math import hypot

import hand_answers  # beside this file, loaded before it by the conftest
import numpy as np

from atlas.cover import Comer
from atlas.frame import PlacedAnchor, PlacedDanger, PlacedPost, PlacedShape, SiteFrame, to_lonlat
from atlas.plan.results import Assumed, Caution, LimitUsed, PostPlan, SitePlan
from atlas.plan.rig_results import (
    AnchorPlan,
    BroughtGear,
    BroughtRope,
    Called,
    CoverPlan,
    CrewPost,
    GearNeed,
    Limit,
    LinePlan,
    Note,
    Part,
    Take,
)
from atlas.plan.track_results import (
    Haul,
    LoadPlace,
    Profile,
    StageResult,
    TrackCase,
    TrackLineRig,
    TrackRope,
    Window,
)
from atlas.records import (
    Access,
    Agency,
    AnchorUse,
    Bank,
    County,
    DangerKind,
    LowHeadDam,
    NearBank,
    PostKind,
    Reach,
    Site,
    TravelTime,
)

ORIGIN = (-118.903311, 40.871944)
"""A dry lake bed: no river runs there."""
PLACE = LoadPlace(
    at_m=20.0,
    along_n=0.0,
    downstream_n=2800.0,
    up_n=-200.0,
    pretension_n=2000.0,
    stiffness_n=1e5,
    seating_m=0.0,
)


def make_frame(*, span_m=42.0, near_bank=NearBank.RIGHT, reach_down_m=18.0, skew_deg=12.0, far_posts=True):
    """A site's geometry: near tie at the origin, water from 4 m in from each tie point."""
    near_edge_m, far_edge_m = 0.1 * span_m, 0.91 * span_m
    width_m = far_edge_m - near_edge_m
    lean = np.tan(np.radians(skew_deg))
    ys = np.array([-14.0, -4.0, 4.0, reach_down_m, reach_down_m + 16.0])
    wobble = np.array([-0.7, 0.3, -0.2, 0.5, -0.4])
    edges = tuple(
        (bank, tuple((float(x + lean * y + w), float(y)) for y, w in zip(ys, wobble, strict=True)))
        for bank, x in ((Bank.NEAR, near_edge_m), (Bank.FAR, far_edge_m))
    )
    station_m = min(8.0, span_m / 4)
    mid = span_m / 2
    anchors = (
        PlacedAnchor("T1", Bank.NEAR, frozenset({AnchorUse.TRACK}), (0.0, 0.0), 2.6, do_not_use=False),
        PlacedAnchor("T2", Bank.FAR, frozenset({AnchorUse.TRACK}), (span_m, 0.0), 3.1, do_not_use=False),
        PlacedAnchor(
            "F1", Bank.NEAR, frozenset({AnchorUse.FERRY}), (-1.4, -station_m), 1.6, do_not_use=False
        ),
        PlacedAnchor("B1", Bank.NEAR, frozenset({AnchorUse.UP_DOWN}), (1.2, 8.6), 1.4, do_not_use=False),
        PlacedAnchor("X1", Bank.NEAR, frozenset({AnchorUse.TRACK}), (-3.2, 3.4), 2.0, do_not_use=True),
    )
    area = (
        (mid - 3.0, reach_down_m - 6.0),
        (mid + 5.0, reach_down_m - 7.0),
        (mid + 7.0, reach_down_m - 1.0),
        (mid + 1.0, reach_down_m),
        (mid - 4.0, reach_down_m - 2.0),
        (mid - 3.0, reach_down_m - 6.0),
    )
    dangers = (
        PlacedDanger(
            DangerKind.STRAINER,
            "strainer",
            PlacedShape(
                "line", (((far_edge_m - 6.0, reach_down_m + 7.0), (far_edge_m + 3.0, reach_down_m + 9.0)),)
            ),
            "alder across the right-hand channel",
        ),
        PlacedDanger(
            DangerKind.BRIDGE_PIER, "bridge_pier", PlacedShape("point", (((mid + 4.0, 64.0),),)), None
        ),
    )
    posts = [
        PlacedPost(PostKind.STAGING, (-9.0, -6.0), None),
        PlacedPost(PostKind.LAUNCH, (1.0, 2.0), None),
    ]
    if far_posts:
        posts += [
            PlacedPost(PostKind.UPSTREAM_SPOTTER, (2.0, -150.0), None),
            PlacedPost(PostKind.DOWNSTREAM_SAFETY, (3.0, 55.0), None),
            PlacedPost(PostKind.TAKE_OUT, (-6.0, 180.0), None),
            PlacedPost(PostKind.HELICOPTER, (-160.0, 40.0), None),
        ]
    return SiteFrame(
        origin=ORIGIN,
        x_azimuth_deg=64.0,
        downstream_azimuth_deg=154.0 if near_bank is NearBank.RIGHT else 334.0,
        near_bank=near_bank,
        span_m=span_m,
        chord_m=hypot(span_m, 0.5),
        rise_m=0.5,
        near_edge_x_m=near_edge_m,
        far_edge_x_m=far_edge_m,
        width_m=width_m,
        setback_near_m=near_edge_m,
        setback_far_m=span_m - far_edge_m,
        near_tie_height_m=2.6,
        far_tie_height_m=3.1,
        skew_deg=skew_deg,
        reach_down_m=reach_down_m,
        edges_drawn=True,
        width_drawn=True,
        reach_down_drawn=True,
        track_near_tag="T1",
        track_far_tag="T2",
        anchors=anchors,
        edges=edges,
        work_areas=(PlacedShape("polygon", (area,)),),
        dangers=dangers,
        posts=tuple(posts),
        access_at=(-6.0, -2.0),
    )


def make_profile(frame):
    """Rope heights and bow with the carriage at 0.45 of the span."""
    xs = np.linspace(0.0, frame.span_m, 41)
    tie = frame.near_tie_height_m + frame.rise_m * xs / frame.span_m
    carriage_x = 0.45 * frame.span_m
    share = np.where(xs <= carriage_x, xs / carriage_x, (frame.span_m - xs) / (frame.span_m - carriage_x))
    sag = 4.0 * xs * (frame.span_m - xs) / frame.span_m**2
    loaded = tie - (0.008 * frame.span_m + 0.15) * share
    return Profile(
        x_m=tuple(xs.tolist()),
        unloaded_m=tuple((tie - 0.006 * frame.span_m * sag).tolist()),
        loaded_m=tuple(loaded.tolist()),
        bow_x_m=tuple(xs.tolist()),
        bow_y_m=tuple((0.105 * frame.span_m * share).tolist()),
        carriage_x_m=carriage_x,
        carriage_height_m=float(np.interp(carriage_x, xs, loaded)),
        lowest_m=float(np.interp(carriage_x, xs, loaded)) - 0.3,
    )


def make_case(case, *, tension_n=6200.0, clearance_m=1.34, factor=5.6, inside=True, judged=True, why=()):
    return TrackCase(
        case=case,
        judged=judged,
        drag_n=1900.0,
        tension_n=tension_n,
        tension_at=PLACE,
        clearance_m=clearance_m,
        clearance_needed_m=1.06,
        clearance_at=PLACE,
        bow_m=4.4,
        factor=factor,
        factor_part="rope",
        ferry_near_n=420.0,
        ferry_far_n=1350.0,
        up_down_hold_n=950.0,
        up_down_haul_n=1180.0,
        inside=inside,
        why=tuple(why),
    )


def make_stage(stage_m, speed_m_s, *, planning=False, modelled=False, inside=True, rise_m=0.0, assumed=()):
    """A row: the faster, the lower the factor."""
    why = (
        Note("factor", "Factor 4.2 is under 5 (rope)"),
        Note("clearance", "Clearance 2.9 ft is under 3.5 ft"),
    )
    slack = 1.8 / speed_m_s
    return StageResult(
        name=f"{stage_m}",
        planning=planning,
        stage_m=stage_m,
        rise_m=rise_m,
        discharge_m3_s=40.0,
        surface_speed_m_s=speed_m_s,
        design_speed_m_s=speed_m_s * (1.12 if modelled else 1.0),
        width_m=35.0 + 4.0 * rise_m,
        modelled=modelled,
        beyond_survey=modelled,
        assumed=assumed,
        cases=(
            make_case("empty", tension_n=2600.0, clearance_m=1.62 * slack, factor=12.8),
            make_case("boat-held", tension_n=4300.0, clearance_m=1.18 * slack, factor=7.4 * slack),
            make_case(
                "boat-swamped",
                tension_n=6200.0 / slack,
                clearance_m=1.34 * slack,
                factor=5.6 * slack,
                inside=inside,
                why=() if inside else why,
            ),
            make_case("broached", tension_n=11800.0, factor=2.9, inside=False, judged=False),
        ),
    )


def make_stages():
    return (
        make_stage(0.98, 1.1),
        make_stage(1.25, 1.4, assumed=("stage",)),
        make_stage(1.62, 1.8, planning=True, rise_m=0.64),
        make_stage(1.92, 2.0, modelled=True, inside=False, rise_m=0.94),
        make_stage(2.22, 2.2, modelled=True, inside=False, rise_m=1.24),
    )


def make_cover(**changes):
    """First due not complete: the county team brings a rope, hardware and people after 24 minutes."""
    first = Called(
        "QF4",
        "Quillback Fire District 4",
        12.0,
        False,
        (BroughtRope("track", "Grey 200", 60.96),),
        (),
        14,
        14,
    )
    team = Called(
        "RT9",
        "River Team 9",
        24.0,
        False,
        (BroughtRope("ferry-near", "Ferry 300", 91.44),),
        (BroughtGear("friction_device", 1),),
        4,
        33,
    )
    values = {
        "first_due_complete": False,
        "complete": True,
        "called": (first, team),
        "minutes": 24.0,
        "lines_short": (),
        "people_needed": 18,
        "people_held": 47,
        "people_short": 0,
    }
    return CoverPlan(**(values | changes))


def make_lines(span_m=42.0, *, short=False):
    def line(name, needed_m, take, floor_m=None, short_m=0.0, strands_note=None):
        return LinePlan(
            line=name,
            needed_m=needed_m,
            floor_m=floor_m,
            parts=(Part("chord", span_m), Part("spare", needed_m - span_m)),
            take=take,
            short_m=short_m,
            strands_note=strands_note,
        )

    return (
        line(
            "track",
            1.25 * span_m + 9,
            (Take("QF4", "Static A", 61.0, 0.0125),) if not short else (),
            short_m=7.4 if short else 0.0,
        ),
        line("ferry-near", span_m + 14, (Take("QF4", "Low-stretch 2", 61.0, 0.011),)),
        line("ferry-far", span_m + 22, (Take("QF4", "Low-stretch 1", 76.2, 0.011),)),
        line("up-down", span_m + 48, (Take("QF4", "Floating line", 91.4, 0.011),)),
        line("messenger", 2 * span_m + 13, (Take("QF4", "Messenger", 122.0, 0.008),)),
        line("launch", 1.148 * span_m + 6, ()),
    )


def make_anchors(frame):
    def anchor(tag, bank, uses, at, height_m, load_n, needed_n, rating_n, **more):
        place = tuple(to_lonlat(frame, np.array([at]))[0].tolist())
        values = {
            "kind": "tree", "surveyed": True, "rating_assumed": False, "do_not_use": False, "drowned": False,
            "why": (), "note": None,
        } | more  # fmt: skip
        return AnchorPlan(
            tag=tag, bank=bank, uses=uses, place=place, at=at, height_m=height_m,
            height_planning_m=height_m - 0.64, load_n=load_n, needed_n=needed_n, rating_n=rating_n,
            ratio=None if not (load_n and rating_n) else rating_n / load_n, **values,
        )  # fmt: skip

    span_m = frame.span_m
    station_m = min(8.0, span_m / 4)
    return (
        anchor("T1", "near", ("track",), (0.0, 0.0), 2.6, 6400.0, 25600.0, 60000.0, rating_assumed=True),
        anchor("T2", "far", ("track",), (span_m, 0.0), 3.1, 6400.0, 25600.0, 36000.0, kind="boulder"),
        anchor("F1", "near", ("ferry",), (-1.4, -station_m), 1.6, 420.0, 12000.0, 30000.0),
        anchor(
            "S1",
            "far",
            ("ferry",),
            (span_m + 1.0, -station_m),
            1.5,
            1350.0,
            12000.0,
            None,
            kind=None,
            surveyed=False,
        ),
        anchor("B1", "near", ("up_down",), (1.2, 8.6), 1.4, 1180.0, 12000.0, 24000.0, kind="bridge_post"),
        anchor("X1", "near", ("track",), (-3.2, 3.4), 2.0, None, None, None, do_not_use=True),
    )


def make_posts(frame):
    crew = []
    for post in frame.posts:
        place = tuple(to_lonlat(frame, np.array([post.at]))[0].tolist())
        crew.append(
            PostPlan(kind=post.kind, place=place, at=post.at, downstream_m=post.at[1], note=post.note)
        )
    return tuple(crew)


REACHES = (
    Reach("OT", "Upper Otter", "Otter Run"),
    Reach("PB", "Pebble", "Pebble Creek"),
    Reach("SK", "Skimmer", "Skimmer River"),
)
GEAR = (
    ("carriage_pulley", 1, 1, 36e3), ("pulley", 6, 8, 22e3), ("steel_ring", 1, 2, 36e3),
    ("carabiner", 16, 14, 27e3), ("sling", 8, 10, 22e3), ("progress_capture", 1, 2, None),
    ("releasable_link", 1, 1, 22e3), ("friction_device", 3, 3, 22e3), ("edge_protection", 4, 2, None),
    ("throw_bag", 4, 6, 13e3), ("knife", 2, 2, None),
)  # fmt: skip
CREW = (
    ("command", 1), ("rigging_lead", 1), ("haul", 3), ("far_bank", 3), ("up_down", 3), ("boat", 2),
    ("upstream_spotter", 1), ("downstream_near", 2), ("downstream_far", 2),
)  # fmt: skip
CAUTIONS = (
    ("DANGER", "strainer"), ("DANGER", "clipped_in"), ("WARNING", "bridge_pier"), ("WARNING", "line_bight"),
    ("WARNING", "no_slack"), ("WARNING", "capture_no_release"), ("WARNING", "ferry_by_hand"),
    ("CAUTION", "line_at_head_height"), ("CAUTION", "beyond_survey"), ("CAUTION", "stations_on_scene"),
    ("NOTICE", "lines_up_aircraft"), ("NOTICE", "equipment"),
)  # fmt: skip
LIMITS = (
    ("limits.factor_track", 5.0, "", "agency's own figure"),
    ("limits.factor_lines", 7.0, "", "agency's own figure"),
    ("limits.clearance", 0.9, "m", "TM 5-5420-278-10"),
    ("limits.anchor_ratio", 4.0, "", "agency's own figure"),
    ("limits.anchor_track_least", 20e3, "kN", "agency's own figure"),
    ("limits.set_fraction_of_strength", 0.1, "", "common practice, no source"),
    ("limits.rule_of_18", 18.0, "", "common practice, no source"),
    ("capture.general_use", 11e3, "kN", "value from memory"),
)


def make_access(**changes):
    values = {
        "place": ORIGIN, "name": "Foundry Bend", "reach": "OT", "agency": "QF4", "surveyed": date(2026, 5, 9),
        "river": "Otter Run", "near_bank": NearBank.RIGHT, "flow_toward_deg": None, "width_m": None,
        "reach_down_m": None, "stage_m": 0.98, "planning_stage_m": None, "gauge": None, "rig": None,
        "tied_off": False, "road": "Foundry Road 2.1 mi past the mill, gravel, turn at the kiln",
        "far_access": "Ridge Road to the quarry, walk 300 m down the tramway", "far_minutes": 35.0,
        "near_run_m": 14.0, "launch_method": "slingshot", "dam": None,
        "radio": "TAC 5, repeater on the ridge",
        "medical": "Quillback Memorial, 22 min", "permission": "Gate code with dispatch, owner told",
        "dangers": (), "notes": None, "flow_notes": (),
    }  # fmt: skip
    return Access(**(values | changes))


def make_rig(frame, **changes):
    """The movable control point, inside plan at its planning stage."""
    values = {
        "rig": "movable-control-point", "chosen": True, "lines": make_lines(frame.span_m),
        "rope": TrackRope("Static A", "QF4", 0.0125, 40e3, 1.02, 1e5, 7.5e4, 1.33e5, 0.85),
        "pretension_n": 1800.0,
        "window": Window(low_n=1080.0, high_n=2510.0, high_governed_by="factor", low_governed_by="clearance"),
        "window_opens": None, "least_factor": 5.6,
        "haul": Haul(system="3:1", people=3, least_n=1624.0, most_n=1998.0, travel_m=2.7, fits=True),
        "closest_boat_m": 4.2, "travel_from_m": 3.2, "travel_to_m": 0.85 * frame.span_m, "seating_m": 0.15,
        "capture": "rope_grab_general", "capture_limit_n": 11000.0, "stages": make_stages(),
        "limit": Limit(
            surface_speed_m_s=1.97, stage_m=None, governed_by="clearance", float_distance_m=21.336,
            float_seconds=10.8,
        ),
        "anchors": make_anchors(frame),
        "gear": tuple(
            GearNeed(item=item, needed=needed, held=held, short=max(0, needed - held), rating_n=rating)
            for item, needed, held, rating in GEAR
        ),
        "crew": tuple(CrewPost(post=post, people=people, least=1) for post, people in CREW),
        "cover": make_cover(),
        "profile": make_profile(frame),
        "answers": hand_answers.make_answers(frame),
        "track_answers": hand_answers.make_track_answers(frame),
    }  # fmt: skip
    return TrackLineRig(**(values | changes))


def make_plan(words, *, frame=None, access=None, rig=None, cautions=None, units="us", **changes):
    """One site's plan; every part can be replaced."""
    frame = frame or make_frame()
    access = access or make_access(near_bank=frame.near_bank)
    county = County(
        folder="quillback", name="Quillback County", issued=date(2026, 6, 1), edition="2026", paper="letter",
        units=units, reaches=REACHES, invented=True,
    )  # fmt: skip
    agency = Agency(
        code="QF4", name="Quillback Fire District 4", station=None, crew=(),
        minutes=(TravelTime("OT", 12.0),),
        radio="TAC 5", ropes=(), gear=(), boats=(), launchers=(),
    )  # fmt: skip
    team = replace(agency, code="RT9", name="River Team 9", minutes=(TravelTime("OT", 24.0),))
    site = Site(
        code="OT-03",
        file="demo.geojson",
        access=access,
        anchors=(),
        edges=(),
        work_areas=(),
        dangers=(),
        posts=(),
    )
    far_tie = tuple(to_lonlat(frame, np.array([[frame.span_m, 0.0]]))[0].tolist())
    values = {
        "site": site, "county": county, "reach": county.reaches[0], "agency": agency,
        "comers": (Comer(agency, 12.0), Comer(team, 24.0)),
        "as_of": date(2026, 6, 1),
        "edition": "2026", "valid_until": date(2027, 5, 9), "overdue": False, "frame": frame,
        "access_place": tuple(to_lonlat(frame, np.array([frame.access_at]))[0].tolist()),
        "near_tie_place": frame.origin, "far_tie_place": far_tie,
        "rigs": (rig or make_rig(frame),), "posts": make_posts(frame),
        "cautions": tuple(
            Caution(signal=signal, text=words(f"caution.{code}", minutes="35 min"), code=code)
            for signal, code in (cautions or CAUTIONS)
        ),
        "warnings": (), "assumed": (Assumed("rating", 60e3, "N", "assumed"),),
        "limits_used": tuple(LimitUsed(*limit) for limit in LIMITS),
    }  # fmt: skip
    return SitePlan(**(values | changes))


def outside_plan(words):
    """The same place in faster water: no window, no limit speed."""
    frame = make_frame()
    stages = (
        make_stage(0.98, 1.6),
        make_stage(1.62, 2.6, planning=True, rise_m=0.64, inside=False),
        make_stage(1.92, 2.9, modelled=True, inside=False, rise_m=0.94),
    )
    rig = make_rig(
        frame, stages=stages, window=None, limit=None, lines=make_lines(short=True),
        window_opens=Note("tie_height", "Ties 2.5 ft higher on both banks would open the window"),
        haul=Haul(system="2:1", people=3, least_n=1100.0, most_n=1332.0, travel_m=2.7, fits=False),
    )  # fmt: skip
    cautions = (*CAUTIONS[:1], ("DANGER", "outside_plan"), *CAUTIONS[1:])
    return make_plan(words, frame=frame, rig=rig, cautions=cautions)


def crowded(words):
    """Long names, twelve dangers, forty items of gear, ten agencies' worth of text."""
    plan = make_plan(
        words,
        access=make_access(
            name="Señora Ávila Landing below the Old Foundry Bridge at Quillback Bend",
            river="South Branch of the Little Otter Run",
            road="Foundry Road 2.1 mi past the mill, gravel, second gate after the cattle grid, by the kiln",
            dam=LowHeadDam(name="Upper Foundry Dam", phone="555 0134", travel_min=25.0),
        ),
        cautions=(
            *CAUTIONS[:1],
            ("DANGER", "low_head_dam"),
            ("DANGER", "power_line"),
            *CAUTIONS[1:],
            ("WARNING", "debris"),
            ("WARNING", "undercut"),
            ("CAUTION", "assumed_values"),
            ("CAUTION", "overdue"),
        ),
    )
    gear = [
        GearNeed(
            item=GEAR[number % len(GEAR)][0],
            needed=number + 1,
            held=number + (number % 8 > 0),
            short=int(number % 8 == 0),
            rating_n=22e3,
        )
        for number in range(40)
    ]
    kinds = [DangerKind.STRAINER, DangerKind.UNDERCUT, DangerKind.DEBRIS, DangerKind.OTHER]
    dangers = tuple(
        PlacedDanger(
            kinds[n % 4],
            "old mill wheel" if n % 4 == 3 else kinds[n % 4].value,
            PlacedShape("point", (((6.0 + 5.2 * (n % 6), 9.0 + 13.0 * (n // 6) + 1.3 * (n % 3)),),)),
            None,
        )
        for n in range(12)
    )
    return replace(
        plan,
        rigs=(replace(plan.chosen, gear=tuple(gear)),),
        frame=replace(plan.frame, dangers=dangers),
        agency=replace(plan.agency, name="Quillback and Lower Otter Valley Joint Fire Protection District"),
    )
