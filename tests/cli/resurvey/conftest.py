"""The small county with its forms, a copy of both for each test to stand in."""

import shutil

import pytest


@pytest.fixture(scope="session")
def printed(tmp_path_factory, county_maker, run_alone):
    """The small county with the forms of its sites."""
    folder = tmp_path_factory.mktemp("forms")
    county = county_maker.write_county(folder / "flats")
    ran = run_alone("resurvey", "--county", county, "--out", folder)
    assert ran.code == 0, ran.err
    assert ran.out.splitlines() == [f"{folder}/forms/{code}-form.pdf" for code in ("MS-1", "OT-02", "OT-10")]
    return folder


@pytest.fixture(autouse=True)
def ground(printed, tmp_path, monkeypatch):
    """A copy of the county to write in, the tests standing beside it."""
    shutil.copytree(printed / "flats", tmp_path / "flats")
    shutil.copytree(printed / "forms", tmp_path / "forms")
    monkeypatch.chdir(tmp_path)
