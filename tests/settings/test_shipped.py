"""Where the templates and the demo county are found: in the package, else in the checkout, else told."""

from pathlib import Path

import pytest

from atlas.faults import InputFaults
from atlas.settings import demo_county_folder, load_settings, shipped, shipped_folder

ROOT = Path(__file__).resolve().parents[2]


def test_found_in_the_checkout():
    assert shipped_folder("templates") == ROOT / "templates"
    assert shipped_folder("sites") == ROOT / "sites"
    assert (demo_county_folder() / "county.toml").is_file()
    assert demo_county_folder().parent == ROOT / "sites"


@pytest.fixture
def installed(tmp_path, monkeypatch):
    """A package folder of its own, with nothing around it."""
    package = tmp_path / "lib" / "atlas"
    package.mkdir(parents=True)
    monkeypatch.setattr(shipped, "_PACKAGE", package)
    return package


def test_the_package_s_own_come_before_a_checkout_around_it(installed):
    (installed / "shipped_data" / "templates").mkdir(parents=True)
    (installed.parent / "templates").mkdir()
    (installed.parent / "pyproject.toml").write_text('[project]\nname = "reach-atlas"\n', encoding="utf-8")
    assert shipped_folder("templates") == installed / "shipped_data" / "templates"


def told(call):
    with pytest.raises(InputFaults) as raised:
        call()
    return str(raised.value)


AGAIN = "install reach-atlas again from its wheel, its source archive or a checkout"


def test_nowhere(installed):
    folder = installed / "shipped_data" / "templates"
    assert told(lambda: shipped_folder("templates")) == (
        f"{folder}: the program came without its folder 'templates'; {AGAIN}"
    )
    with pytest.raises(InputFaults, match="came without its folder 'templates'"):
        load_settings()


def test_a_folder_beside_some_other_project_is_not_taken(installed):
    (installed.parent / "templates").mkdir()
    (installed.parent / "pyproject.toml").write_text('[project]\nname = "other"\n', encoding="utf-8")
    assert "came without its folder" in told(lambda: shipped_folder("templates"))


def test_the_checkout_s_own_folder_is_taken(installed):
    (installed.parent / "templates").mkdir()
    (installed.parent / "pyproject.toml").write_text('[project]\nname = "reach-atlas"\n', encoding="utf-8")
    assert shipped_folder("templates") == installed.parent / "templates"
    assert "came without its folder 'sites'" in told(lambda: shipped_folder("sites"))


def test_sites_without_a_county(installed):
    sites = installed / "shipped_data" / "sites"
    (sites / "empty").mkdir(parents=True)
    assert told(demo_county_folder) == f"{sites}: the program came without its invented county; {AGAIN}"
