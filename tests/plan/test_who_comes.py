"""Who comes to the demo's sites: by hand, by trying every set, and with some committed elsewhere."""

from dataclasses import replace
from itertools import combinations
from math import inf, isinf

import pytest
from pyproj import Geod

import atlas.plan.caches
from atlas.cover import cover_lines, crew_held, gear_cover, pieces_of
from atlas.plan import SitePlan, build, plan_sites
from atlas.plan.agreement import agree
from atlas.plan.comers import comers_of
from atlas.plan.line_cover import Covered, called_for, job_of
from atlas.records import RopeStock


def called(plan):
    return [one.agency for one in plan.cover.called]


def line(plan, name):
    (found,) = [one for one in plan.chosen.lines if one.line == name]
    return found


def test_a_first_due_that_has_everything_comes_alone(demo):
    cover = demo.plans["OT-01"].cover
    assert (cover.first_due_complete, cover.complete, called(demo.plans["OT-01"])) == (True, True, ["QCR"])
    assert (cover.people_needed, cover.people_held, cover.people_short, cover.minutes) == (18, 33, 0, 24.0)
    (alone,) = cover.called
    assert (alone.people, alone.on_duty) == (18, 33)
    assert {rope.line for rope in alone.ropes} == {"track", "ferry-near", "ferry-far", "up-down", "messenger"}


def test_what_the_next_agency_adds_by_hand(demo):
    """PC-03. The parks unit, 6 min, 7 people: two 150 ft ropes for the ferries; no 12.5 mm rope, its 200 ft
    too short for the up-down line, its messenger too. It has 4 pulleys, 2 friction devices and 6 slings; no
    carabiner of 40 kN for connectors, no link, no edge protection, no lights. The county team is there
    after 18 min with the rest, and 11 people of its 33."""
    cover = demo.plans["PC-03"].cover
    parks, team = cover.called
    assert not cover.first_due_complete
    assert cover.complete
    assert (parks.agency, parks.minutes, parks.people, parks.on_duty) == ("PHP", 6.0, 7, 7)
    assert [(rope.line, rope.rope) for rope in parks.ropes] == [
        ("ferry-near", "Creek float 150"),
        ("ferry-far", "Creek float 150"),
    ]
    assert (team.agency, team.minutes, team.people, team.on_duty) == ("QCR", 18.0, 11, 33)
    assert {rope.line for rope in team.ropes} == {"track", "up-down", "messenger"}
    needed = {need.item: need.needed for need in demo.plans["PC-03"].chosen.gear}
    of_the_parks_unit = {"pulley": 4, "friction_device": 2, "sling": 6}
    lacking = (
        "pulley",
        "friction_device",
        "sling",
        "connector",
        "releasable_link",
        "edge_protection",
        "light",
    )
    assert {gear.item: gear.count for gear in team.gear} == {
        item: needed[item] - of_the_parks_unit.get(item, 0) for item in lacking
    }
    assert cover.minutes == 18.0
    assert not any(need.short for need in demo.plans["PC-03"].chosen.gear)


def test_the_rope_of_another_agency_is_computed_with(demo):
    plan = demo.plans["PC-03"]
    (take,) = line(plan, "track").take
    assert (plan.chosen.rope.agency, plan.chosen.rope.name) == ("QCR", take.rope)
    assert plan.chosen.rope.stiffness_n == pytest.approx(0.10 * 40e3 / 0.04)


def test_what_nobody_covers_is_named_with_the_nearest_rope_and_whose(demo):
    """WEN-06: the longest static ropes are 400 ft, 121.9 m, of the county team and 120 m of the Bottoms.

    Static serves the up-down line too: each of the two is named for one line.
    """
    plan = demo.plans["WEN-06"]
    track, messenger = line(plan, "track"), line(plan, "messenger")
    assert plan.cover.lines_short == ("track", "up-down", "messenger")
    up_down = line(plan, "up-down")
    named = {(one.nearest.agency, one.nearest.rope) for one in (track, up_down)}
    assert named == {("QCR", "Track 400"), ("WBF", "Blue 120 m")}
    lacking_m = track.needed_m + up_down.needed_m - 400 * 0.3048 - 120.0
    assert track.short_m + up_down.short_m == pytest.approx(lacking_m)
    assert (messenger.nearest.agency, messenger.nearest.rope) == ("QCR", "Messenger 600")
    assert messenger.short_m == pytest.approx(messenger.needed_m - 600 * 0.3048)
    assert not plan.cover.complete


def lacking(plan, agencies):
    """Lines, gear and people that some agencies leave open."""
    job = plan.cover.job
    covers = cover_lines(job.needs, pieces_of(agencies))
    gear = gear_cover(
        {one.item: one.count for one in job.gear},
        [entry for agency in agencies for entry in agency.gear],
        served_by={one.item: one.served_by for one in job.gear},
        rating_least_n={one.item: one.rating_least_n for one in job.gear if one.rating_least_n},
    )
    return (
        sum(cover.short_m > 0.0 for cover in covers),
        sum(row.short for row in gear),
        max(0, job.people - crew_held(agencies)),
    )


def test_no_set_of_agencies_is_better(plan):
    """Least lacking, then fewest, then soonest, of every set with the first due in it."""
    first, *others = plan.comers

    def worth(comers):
        latest = max(comer.minutes for comer in comers)
        return (*lacking(plan, [comer.agency for comer in comers]), len(comers), latest)

    every = [(first, *some) for size in range(len(others) + 1) for some in combinations(others, size)]
    came = [comer for comer in plan.comers if comer.agency.code in called(plan)]
    assert worth(came) == min(map(worth, every))


def test_minutes_not_given_are_estimated_from_the_way_and_marked(demo):
    """The parks unit gives none to WEN: 1.4 times the geodesic at 50 km/h."""
    site = demo.sites["WEN-05"]
    (parks,) = [one for one in demo.agencies if one.code == "PHP"]
    _, _, metres = Geod(ellps="WGS84").inv(*parks.station, *site.access.place)
    (comer,) = [one for one in demo.plans["WEN-05"].comers if one.agency.code == "PHP"]
    assert comer.estimated
    assert comer.minutes == pytest.approx(metres * 1.4 / (50e3 / 60.0))
    assert [one.estimated for one in demo.plans["WEN-05"].comers if one.agency.code != "PHP"] == [False] * 3


def test_minutes_not_known_stand_last(demo):
    agencies = tuple(
        replace(one, minutes=(), station=None) if one.code == "WBF" else one for one in demo.agencies
    )
    comers = comers_of(demo.sites["OT-01"], agencies, demo.settings.policy.values)
    assert [comer.agency.code for comer in comers] == ["QCR", "OVF", "PHP", "WBF"]
    assert [isinf(comer.minutes) for comer in comers] == [False, False, False, True]
    assert comers[-1].minutes == inf


def test_those_whose_ropes_were_computed_with_come_though_others_would_do(demo):
    """PC-03's ropes are the parks unit's and the Bottoms', say: both come, the county team for the rest."""
    (agreed,) = agree([contexts_of(demo, "PC-03")])
    context, covered = contexts_of(demo, "PC-03"), agreed.covers
    track = covered["track"]
    moved = replace(track, take=tuple(replace(rope, agency="WBF") for rope in track.take))
    others = {name: one for name, one in covered.items() if name not in {"track", "up-down", "messenger"}}
    forced = Covered(covered.needs, {**others, "track": moved}, covered.alone)
    job = job_of(context, forced.needs)
    came = [comer.agency.code for comer in called_for(context, forced, job)]
    # the county team for the releasable link of 30 kN that the other two have not
    assert came == ["PHP", "QCR", "WBF"]


def contexts_of(demo, code):
    given = {"county": demo.county, "settings": demo.settings, "water": None}
    return build._asked(demo.sites[code], agencies=build._Agencies.of(demo.agencies), **given).context


def without(demo, codes, *away):
    sites = [demo.sites[code] for code in codes]
    given = {"county": demo.county, "settings": demo.settings, "as_of": demo.plans[codes[0]].as_of}
    return plan_sites(sites, agencies=demo.agencies, without=away, **given)


def test_without_an_agency_only_what_used_it_is_planned_again(demo, monkeypatch):
    """OT-01 is the county team's alone; OT-04 calls it to help the valley district, first due there."""
    planned, again = build._planned, []

    def counted(sites, **given):
        again.append([site.code for site in sites])
        return planned(sites, **given)

    monkeypatch.setattr(build, "_planned", counted)
    ot_01, ot_04 = without(demo, ["OT-01", "OT-04"], "OVF")
    assert again == [["OT-01", "OT-04"], ["OT-04"]]
    assert ot_01.without == ot_04.without == ("OVF",)
    # planned beside another site: its last bits may differ
    assert ot_01.cover.called == demo.plans["OT-01"].cover.called
    assert ot_01.chosen.limit.surface_speed_m_s == pytest.approx(
        demo.plans["OT-01"].chosen.limit.surface_speed_m_s
    )
    # the next by minutes to OT stands first: 20 min, where the county team takes 24
    assert (ot_04.site.access.agency, ot_04.agency.code) == ("OVF", "PHP")
    assert called(ot_04) == ["PHP", "QCR"]
    assert "OVF" not in {comer.agency.code for comer in (*ot_01.comers, *ot_04.comers)}


def test_it_is_as_if_the_agency_were_not_there(demo):
    """But for who stands first, which a county without the agency could not say."""
    (plan,) = without(demo, ["PC-03"], "QCR")
    left = tuple(one for one in demo.agencies if one.code != "QCR")
    alike = demo.plan("PC-03", agencies=left)
    assert isinstance(plan, SitePlan)
    assert plan.rigs == alike.rigs
    assert called(plan) == ["PHP", "OVF", "WBF"]
    assert [(need.item, need.short) for need in plan.chosen.gear if need.short] == [("releasable_link", 1)]


def test_equal_problems_are_solved_once(demo, monkeypatch):
    """A rig asks for its ropes, and once more for all: a problem met before is not solved again."""
    solved, asked = [], []
    who_comes, called_of = atlas.plan.caches.who_comes, atlas.plan.caches.Caches.called

    def counted(job, comers, stocks):
        solved.append((job, tuple(comer.agency.code for comer in comers)))
        return who_comes(job, comers, stocks)

    def counted_call(self, job, comers):
        asked.append(job)
        return called_of(self, job, comers)

    monkeypatch.setattr(atlas.plan.caches, "who_comes", counted)
    monkeypatch.setattr(atlas.plan.caches.Caches, "called", counted_call)
    sites = [demo.sites[code] for code in ("OT-04", "OT-06", "PC-03")]
    given = {"county": demo.county, "settings": demo.settings, "as_of": demo.plans["OT-04"].as_of}
    plan_sites(sites, agencies=demo.agencies, **given)
    assert len(solved) == len(set(solved)) < len(asked)


def test_a_ferry_line_is_joined_where_policy_allows_and_the_knot_counts(demo):
    """OT-01 with ferry ropes of 100 ft only: 28 kN, wet 0.85, the knot 0.65 and not the figure-8's 0.80."""
    short = RopeStock(
        name="Ferry 100", length_m=30.48, diameter_m=0.011, kind="low_stretch", fibre="nylon",
        strength_n=28e3, elongation=0.07, elongation_basis="10pct", weight_n_m=0.8, count=4, since=None,
    )  # fmt: skip
    (team,) = [one for one in demo.agencies if one.code == "QCR"]
    kept = tuple(rope for rope in team.ropes if rope.name.startswith(("Track", "Messenger")))
    agencies = (replace(team, ropes=(*kept, short)),)
    apart = demo.plan("OT-01", agencies=agencies)
    assert {"ferry-near", "ferry-far"} <= set(apart.cover.lines_short)
    joined = demo.plan("OT-01", agencies=agencies, overrides={"lines.ferry_joined": True})
    near = line(joined, "ferry-near")
    assert near.needed_m <= 2 * 30.48 - 1.5
    assert [(take.rope, take.length_m) for take in near.take] == [("Ferry 100", 30.48)] * 2
    (back_up,) = [one for one in joined.chosen.track_answers.track_parted.lines if one.line == "ferry-near"]
    assert back_up.factor * back_up.sudden_n == pytest.approx(28e3 * 0.85 * 0.65)
