import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader

import atlas
from atlas.gauges import cache_folder, write_reading
from atlas.records import GaugeReading, StageAt


def test_a_briefing_of_sites(cli, flats, ground):
    ran = cli("brief", "--site", "MS-1", "--site", "OT-02", "--speed", "2.5 mph", "--county", flats)
    assert (ran.code, ran.err, ran.lines) == (0, "", ["output/brief-MS-1-and-1.pdf"])
    pages = PdfReader(ground.folder / "output" / "brief-MS-1-and-1.pdf").pages
    assert len(pages) == 5
    assert "2.5 mph (1.2 m/s)" in " ".join(pages[1].extract_text().split())  # 2.5 x 0.44704 = 1.118, up


def test_a_reach_and_an_agency(cli, flats):
    assert cli("brief", "--reach", "OT", "--county", flats).lines == ["output/brief-reach-OT.pdf"]
    ran = cli("brief", "--agency", "XX", "--county", flats)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("--agency: the county has no agency XX; it has ")
    ran = cli("brief", "--reach", "XX", "--county", flats)
    assert ran.code == 2
    assert ran.err.startswith("--reach: the county has no reach XX; it has ")


def test_exactly_one_of_three(cli, flats):
    told = (
        "brief: name what it is for with one of --site CODE (again for more), --reach REACH, "
        "--agency AGENCY\n"
    )
    for arguments in ((), ("--site", "MS-1", "--reach", "OT")):
        ran = cli("brief", *arguments, "--county", flats)
        assert (ran.code, ran.out, ran.err) == (2, "", told)


def test_a_quantity_that_cannot_be_read(cli, flats):
    ran = cli("brief", "--site", "MS-1", "--speed", "4 kg", "--county", flats)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("--speed: ")
    assert 'got "4 kg"' in ran.err


def test_a_stage_is_of_one_gauge(cli, flats):
    ran = cli("brief", "--site", "MS-1", "--site", "OT-02", "--stage", "6 ft", "--county", flats)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "--stage: the sites do not share one gauge (MS-1 no gauge, OT-02 no gauge); brief them one by one, "
        "or give --speed\n"
    )


DEMO = Path(atlas.__file__).parents[1] / "sites" / "quillmarsh"


@pytest.fixture
def demo_reading(ground, monkeypatch):
    """Keeps a reading of the demo's gauge OT G3 in a cache of this test, as old as asked."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(ground.folder / "user"))

    def keep(*, minutes_old):
        at = datetime.now(UTC) - timedelta(minutes=minutes_old)
        trail = tuple(StageAt(at - timedelta(hours=back), 1.45 - 0.1 * back) for back in (2, 1, 0))
        reading = GaugeReading("OT G3", at, 1.45, None, provisional=True, trail=trail)
        write_reading(cache_folder(), reading)

    return keep


def pages_of(ground):
    reader = PdfReader(ground.folder / "output" / "brief-OT-05.pdf")
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def test_a_kept_reading_is_todays_water_with_its_age_its_rise_and_the_minutes_left(cli, ground, demo_reading):
    demo_reading(minutes_old=30)
    ran = cli("brief", "--site", "OT-05", "--county", DEMO)
    assert (ran.code, ran.err) == (0, "")
    overview, site, _ = pages_of(ground)
    # 1.45 m is 4.76 ft
    assert "4.8 ft (1.45 m)" in site
    assert "gauge OT G3 at " in site
    assert " 31 min old, provisional" in site or " 30 min old, provisional" in site
    # 0.1 m an hour: 0.33 ft, told up; the limit is some 6.2 ft, 0.45 m over it
    assert "0.4 ft an hour" in site
    left = int(re.search(r"Minutes left (\d+) min", site)[1])
    assert 200 < left < 271 - 30
    assert "gauge now" in site
    assert "4.8 ft" in overview


def test_an_old_reading_is_told_and_not_taken(cli, ground, demo_reading):
    demo_reading(minutes_old=60 * 30)
    assert cli("brief", "--site", "OT-05", "--county", DEMO).code == 0
    _, site, _ = pages_of(ground)
    assert re.search(r"last reading of OT G3 at .* UTC, 31 h old: too old to be taken", site)
    # the level planned for, 6.0 ft
    assert "6.0 ft (1.83 m)" in site
    assert "Minutes left" not in site


def test_a_stage_that_is_given_goes_before_a_reading(cli, ground, demo_reading):
    demo_reading(minutes_old=5)
    assert cli("brief", "--site", "OT-05", "--stage", "5.2 ft", "--county", DEMO).code == 0
    _, site, _ = pages_of(ground)
    assert "5.2 ft (1.58 m)" in site
    assert "min old" not in site
