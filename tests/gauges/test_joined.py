"""Which gauge belongs to which site, and how the site lies to it."""

from dataclasses import replace

import pytest

from atlas.gauges import asked_gauges, join_gauges, relation_faults
from atlas.records import Access, GaugedSite, GaugeName, GaugeRecord, GaugeRelation, GaugeServices, Site

RECORD = GaugeRecord("OT G1", None, None, None, ())
SAME = GaugeRelation("OT-01", 1.0, same_section=True)
SERVICES = GaugeServices(gauges=(GaugeName("OT G1", "XYZ-1", relations=(SAME,)), GaugeName("OT G9", "XYZ-9")))


def site(code, gauge):
    access = Access(**dict.fromkeys(Access.__dataclass_fields__) | {"gauge": gauge, "flow_notes": ()})
    return Site(code, "x.geojson", access, (), (), (), (), ())


SITES = [site("OT-01", "OT G1"), site("OT-02", "OT G1"), site("OT-03", "OT G2"), site("OT-04", None)]


def test_a_site_gets_its_gauges_record_and_its_relation():
    joined = join_gauges(SITES, SERVICES, {"OT G1": RECORD})
    assert [one.access.gauged for one in joined] == [
        GaugedSite(RECORD, SAME),
        GaugedSite(RECORD, None),
        None,
        None,
    ]
    assert [replace(one, access=replace(one.access, gauged=None)) for one in joined] == SITES


@pytest.mark.parametrize("services", [None, GaugeServices()])
def test_without_relations_the_record_is_joined_all_the_same(services):
    joined = join_gauges(SITES, services, {"OT G1": RECORD})
    assert joined[0].access.gauged == GaugedSite(RECORD, None)


def test_only_gauges_that_surveys_name_are_asked():
    assert asked_gauges(SITES, SERVICES) == ((SERVICES.gauges[0],), ("OT G2",))


def test_relations_that_say_nothing_are_told():
    other = replace(SAME, site="OT-03")
    nowhere, broken = replace(SAME, site="OT-77"), replace(SAME, site="OT-08")
    gauge = GaugeName("OT G1", "XYZ-1", relations=(SAME, other, nowhere, broken))
    # OT-08 is in the surveys and cannot be used: its faults are told, and its gauge is not known
    codes = {"OT-01", "OT-02", "OT-03", "OT-04", "OT-08"}
    faults = relation_faults(SITES, codes, GaugeServices(gauges=(gauge,)), "alder/county.toml")
    assert [str(fault) for fault in faults] == [
        (
            "alder/county.toml, OT-03, gauges, gauge OT G1, sites: the site's survey does not name this "
            "gauge; got OT G2; mend the site's code, or the gauge in its survey"
        ),
        (
            "alder/county.toml, OT-77, gauges, gauge OT G1, sites: no survey has such a site; "
            "mend the site's code, or the gauge in its survey"
        ),
    ]
    assert relation_faults(SITES, codes, None, "x") == ()
