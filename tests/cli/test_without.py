"""`--without AGENCY`: wrong use told whole; the workings, the briefing and the sheet's head of a stand-in."""

import json
from pathlib import Path

import pypdfium2

DEMO = Path(__file__).resolve().parents[2] / "sites" / "quillmarsh"


def test_an_agency_nobody_defined_is_wrong_use(cli):
    for command in (("binder",), ("workings", "OT-04"), ("brief", "--site", "OT-04")):
        ran = cli(*command, "--county", DEMO, "--without", "XYZ")
        assert (ran.code, ran.out) == (2, "")
        assert ran.err == "--without: the county has no agency XYZ; it has QCR, OVF, WBF, PHP\n"


def test_somebody_has_to_be_left(cli, flats):
    ran = cli("workings", "OT-02", "--county", flats, "--without", "VFD")
    assert (ran.code, ran.err) == (2, "--without: no agency is left that could come\n")


def test_the_next_by_minutes_stands_first_and_the_workings_say_so(cli):
    """OT-04 is the valley district's; the parks unit is there after 20 min, the county team after 24."""
    ran = cli("workings", "OT-04", "--json", "--county", DEMO, "--without", "OVF")
    assert ran.code == 0
    found = json.loads(ran.out)
    assert (found["survey"]["agency"], found["survey"]["without"]) == ("PHP", ["OVF"])
    (rig,) = [one for one in found["rigs"] if one["chosen"]]
    assert [one["agency"] for one in rig["cover"]["called"]] == ["PHP", "QCR"]
    assert [one["minutes"] for one in rig["cover"]["called"]] == [20, 24]


def test_a_briefing_has_a_name_of_its_own_and_says_who_is_away(cli, ground):
    ran = cli("brief", "--site", "OT-04", "--county", DEMO, "--without", "OVF")
    assert (ran.code, ran.out) == (0, "output/brief-OT-04-without-OVF.pdf\n")
    document = pypdfium2.PdfDocument(ground.folder / "output" / "brief-OT-04-without-OVF.pdf")
    overview = document[0].get_textpage().get_text_range()
    assert "Committed elsewhere and not counted: OVF" in overview
    assert "PHP + QCR, 24" in overview
