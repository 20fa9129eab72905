from pathlib import Path

import pytest

from atlas.settings import demo_county_folder, shipped_folder


def listed(folder):
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_a_beginning_holds_the_demo_county_and_the_templates_and_can_be_used(cli, ground):
    ran = cli("start", "mine")
    assert (ran.code, ran.err) == (0, "")
    assert ran.lines[0] == "mine: the invented county and the templates, to be made your own."
    assert ran.lines[-2:] == ["reach-atlas check --county mine", "reach-atlas binder --county mine"]
    demo = listed(demo_county_folder())
    templates = {f"templates/{name}" for name in listed(shipped_folder("templates"))}
    assert listed(ground.folder / "mine") == demo | templates
    assert cli("check", "--county", "mine").out == cli("check").out
    assert [path.name for path in ground.folder.iterdir()] == ["mine"]


def test_an_empty_folder_is_taken(cli, ground):
    (ground.folder / "mine").mkdir()
    assert cli("start", "mine").code == 0
    assert (ground.folder / "mine" / "county.toml").is_file()


def test_a_folder_within_folders_that_are_not_there_is_made(cli, ground):
    assert cli("start", "a/b/mine").code == 0
    assert (ground.folder / "a" / "b" / "mine" / "county.toml").is_file()


def test_a_folder_with_anything_in_it_is_refused(cli, ground):
    (ground.folder / "mine").mkdir()
    (ground.folder / "mine" / ".keep").write_text("mine", encoding="utf-8")
    ran = cli("start", "mine")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "mine: is not empty, and nothing in it is written over; name a new folder\n"
    assert listed(ground.folder / "mine") == {".keep"}


@pytest.mark.parametrize("kind", ["file", "link"])
def test_a_file_or_a_link_is_refused(cli, ground, kind):
    if kind == "file":
        (ground.folder / "mine").write_text("", encoding="utf-8")
    else:
        (ground.folder / "elsewhere").mkdir()
        (ground.folder / "mine").symlink_to("elsewhere")
    ran = cli("start", "mine")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "mine: is a file or a link; name a new or empty folder\n"


def test_a_copy_that_fails_in_the_middle_leaves_nothing(cli, ground, monkeypatch):
    monkeypatch.setattr(
        Path, "rename", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device"))
    )
    ran = cli("start", "mine")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == (
        "mine: cannot be written: No space left on device;"
        " make room, mend its permissions or name another --out\n"
    )
    assert list(ground.folder.iterdir()) == []
