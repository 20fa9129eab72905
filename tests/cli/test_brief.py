from pypdf import PdfReader


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
