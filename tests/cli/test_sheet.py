import pikepdf
import pytest
from PIL import Image
from pypdf import PdfReader


def test_one_page_for_each_site_and_its_path_on_stdout(cli, flats, ground):
    ran = cli("sheet", "MS-1", "OT-02", "MS-1", "--county", flats)
    assert (ran.code, ran.err) == (0, "")
    assert ran.lines == ["output/MS-1.pdf", "output/OT-02.pdf"]
    assert sorted(path.name for path in (ground.folder / "output").iterdir()) == ["MS-1.pdf", "OT-02.pdf"]
    reader = PdfReader(ground.folder / "output" / "MS-1.pdf")
    assert len(reader.pages) == 1
    assert "Mill Weir" in reader.pages[0].extract_text()


def test_a_picture_and_a_grey_page(cli, flats, ground):
    out = ground.folder / "elsewhere"
    ran = cli("sheet", "MS-1", "--png", "--grey", "--out", out, "--county", flats)
    assert ran.lines == [str(out / "MS-1-grey.pdf"), str(out / "MS-1-grey.png")]
    with Image.open(out / "MS-1-grey.png") as picture:
        assert picture.size == pytest.approx((1275, 1650), abs=1)  # US Letter at 150 dots an inch
        red, green, blue = picture.convert("RGB").split()
        assert red.tobytes() == green.tobytes() == blue.tobytes()
    with pikepdf.open(out / "MS-1-grey.pdf") as document:
        assert " rg\n" not in document.pages[0].Contents.read_bytes().decode("latin-1")


def test_a_page_for_each_that_can_be_made(cli, ground):
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    ran = cli("sheet", "MS-2", "OT-02", "--county", county)
    assert ran.code == 1
    assert ran.lines == ["output/OT-02.pdf"]
    assert ran.err.startswith("flats/surveys/rivers.geojson, feature 32, MS-2, height: ")


def test_unknown_codes_are_2_each_with_its_nearest_and_nothing_is_made(cli, flats, ground):
    ran = cli("sheet", "OT-02", "OT-3", "MS-11", "--county", flats)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "the county has no site OT-3; nearest: OT-02, OT-10, MS-1\n"
        "the county has no site MS-11; nearest: MS-1, OT-10, OT-02\n"
    )
    assert not (ground.folder / "output").exists()


def test_a_code_with_control_characters_is_spelt_out(cli, flats):
    ran = cli("sheet", "\x1b[2J", "--county", flats)
    assert ran.code == 2
    assert "\x1b" not in ran.err


def test_no_site_at_all_is_wrong_usage(cli, flats):
    assert cli("sheet", "--county", flats).code == 2


def test_a_folder_that_cannot_be_written_is_3(cli, flats, ground):
    (ground.folder / "output").write_text("a file", encoding="utf-8")
    ran = cli("sheet", "MS-1", "--county", flats)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == (
        "output/MS-1.pdf: cannot be written: File exists;"
        " make room, mend its permissions or name another --out\n"
    )


@pytest.mark.parametrize(("paper", "points"), [("letter", (612.0, 792.0)), ("a4", (595.276, 841.89))])
def test_the_paper_is_one_setting_of_the_county(cli, flats, ground, paper, points):
    path = ground.folder / flats / "county.toml"
    settings = path.read_text(encoding="utf-8")
    path.write_text(settings.replace("schema = 1\n", f'schema = 1\npaper = "{paper}"\n'), encoding="utf-8")
    ran = cli("sheet", "MS-1", "--county", flats)
    assert (ran.code, ran.err) == (0, "")
    page = PdfReader(ground.folder / "output" / "MS-1.pdf").pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(points, abs=0.01)
