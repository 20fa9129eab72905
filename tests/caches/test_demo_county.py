from atlas.caches import ELONGATION_BASES, KINDS, LAUNCHER_KINDS, read_county
from atlas.settings import demo_county_folder, load_settings


def test_the_demo_county_is_in_order_and_says_that_it_is_invented():
    folder = demo_county_folder()
    items = frozenset(load_settings(county=folder).gear.items)
    found = read_county(folder, gear_items=items)
    assert [str(fault) for fault in found.faults] == []
    assert found.county.invented is True
    assert len(found.county.reaches) == 3
    assert len(found.agencies) == 4
    assert len(found.survey_files) >= 3


def test_the_demo_county_shows_what_a_cache_may_say():
    agencies = read_county(demo_county_folder()).agencies
    ropes = [rope for agency in agencies for rope in agency.ropes]
    assert {rope.kind for rope in ropes} == set(KINDS)
    assert {rope.elongation_basis for rope in ropes} == set(ELONGATION_BASES)
    assert {launcher.kind for agency in agencies for launcher in agency.launchers} == set(LAUNCHER_KINDS)
    assert any(rope.retired for rope in ropes)
    assert all(agency.crew and agency.boats and agency.gear for agency in agencies)
