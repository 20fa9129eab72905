import errno
import os
import shutil
from pathlib import Path

import pytest

from atlas.editions import building, write_file
from atlas.editions.claim import claim, is_claimed
from atlas.faults import OutputError

NAME = "flats-2026"


def write_good(out, text="new"):
    with building(out, NAME) as build:
        build.write("sheets/OT-01.pdf", text.encode())
        build.write("edition.json", b"{}")
    return build.place


def fail_half_way(out, end):
    with building(out, NAME) as build:
        build.write("sheets/OT-01.pdf", b"half")
        raise end


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_an_edition_stands_whole_in_a_folder_that_was_not_there(tmp_path):
    place = write_good(tmp_path / "deep" / "output")
    assert place == tmp_path / "deep" / "output" / NAME
    assert everything(place) == {"edition.json": b"{}", "sheets/OT-01.pdf": b"new"}
    assert names(place.parent) == [NAME]


def test_nothing_stands_there_before_the_end(tmp_path):
    with building(tmp_path, NAME) as build:
        build.write("edition.json", b"{}")
        assert not (tmp_path / NAME).exists()
        assert build.folder.name == f".{NAME}.building-{os.getpid()}"


def test_an_earlier_edition_is_replaced_whole(tmp_path):
    place = write_good(tmp_path, "old")
    (place / "sheets" / "OT-99.pdf").write_bytes(b"a site that is gone")
    write_good(tmp_path, "new")
    assert everything(place) == {"edition.json": b"{}", "sheets/OT-01.pdf": b"new"}
    assert names(tmp_path) == [NAME]


@pytest.mark.parametrize("end", [RuntimeError, KeyboardInterrupt, OutputError, SystemExit])
def test_whatever_ends_the_build_early_leaves_the_earlier_edition_as_it_was(tmp_path, end):
    place = write_good(tmp_path, "old")
    before = everything(place)
    with pytest.raises(end):
        fail_half_way(tmp_path, end)
    assert everything(place) == before
    assert names(tmp_path) == [NAME]


def test_a_swap_that_was_cut_is_mended_by_the_next_run(tmp_path):
    """Cut between the two renames: the old edition stands aside, the new one is still half built."""
    place = write_good(tmp_path, "old")
    before = everything(place)
    place.rename(tmp_path / f".{NAME}.old-4711")
    (tmp_path / f".{NAME}.building-4711").mkdir()
    with pytest.raises(RuntimeError):
        fail_half_way(tmp_path, RuntimeError)
    assert everything(place) == before
    assert names(tmp_path) == [NAME]


def test_a_swap_cut_after_both_renames_leaves_the_new_edition(tmp_path):
    place = write_good(tmp_path, "new")
    aside = tmp_path / f".{NAME}.old-4711"
    aside.mkdir()
    (aside / "edition.json").write_bytes(b"old")
    with pytest.raises(RuntimeError), building(tmp_path, NAME):
        raise RuntimeError
    assert everything(place)["sheets/OT-01.pdf"] == b"new"
    assert names(tmp_path) == [NAME]


def test_what_other_editions_left_is_not_touched(tmp_path):
    others = [f".{NAME}.old-1.building-2", ".marsh-2026.old-3", f".{NAME}.old-x", "marsh-2026"]
    for name in others:
        (tmp_path / name).mkdir()
    write_good(tmp_path)
    assert names(tmp_path) == sorted([*others, NAME])


def test_a_folder_that_a_run_still_builds_is_left_to_it(tmp_path):
    theirs = tmp_path / f".{NAME}.building-4711"
    theirs.mkdir()
    with claim(theirs):
        assert is_claimed(theirs)
        write_good(tmp_path)
        assert theirs.is_dir()
    assert not is_claimed(theirs)
    write_good(tmp_path)
    assert not theirs.exists()


def test_a_failing_second_rename_puts_the_earlier_edition_back(tmp_path, monkeypatch):
    place = write_good(tmp_path, "old")
    before = everything(place)
    rename = Path.rename

    def fails_to_come_in(self, target):
        if ".building-" in self.name:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fails_to_come_in)
    with pytest.raises(OutputError) as told:
        write_good(tmp_path, "new")
    assert str(told.value) == (
        f"{place}: cannot be written: Input/output error;"
        " make room, mend its permissions or name another --out"
    )
    assert everything(place) == before
    assert names(tmp_path) == [NAME]


def test_ctrl_c_between_the_two_renames_puts_the_earlier_edition_back(tmp_path, monkeypatch):
    place = write_good(tmp_path, "old")
    before = everything(place)
    rename = Path.rename

    def interrupted(self, target):
        if ".building-" in self.name:
            raise KeyboardInterrupt
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_good(tmp_path, "new")
    assert everything(place) == before
    assert names(tmp_path) == [NAME]


def test_two_runs_at_once_end_with_one_whole_edition(tmp_path, monkeypatch):
    """Another run's edition comes in between our two renames."""
    place = write_good(tmp_path, "old")
    rename = Path.rename

    def overtaken(self, target):
        done = rename(self, target)
        if ".old-" in Path(target).name:
            place.mkdir()
            (place / "edition.json").write_bytes(b"theirs")
        return done

    monkeypatch.setattr(Path, "rename", overtaken)
    with pytest.raises(OutputError) as told:
        write_good(tmp_path, "ours")
    assert str(told.value) == f"{place}: another run wrote it at the same time; run again"
    assert everything(place) == {"edition.json": b"theirs"}
    assert names(tmp_path) == [NAME]


def test_a_link_in_the_place_of_the_edition_is_refused_and_not_followed(tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "edition.json").write_bytes(b"theirs")
    out = tmp_path / "output"
    out.mkdir()
    (out / NAME).symlink_to(elsewhere)
    with pytest.raises(OutputError) as told:
        write_good(out)
    assert str(told.value) == f"{out / NAME}: is a link to elsewhere; take it away or name another --out"
    assert everything(elsewhere) == {"edition.json": b"theirs"}


def test_links_left_beside_the_edition_are_not_followed(tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "kept").write_bytes(b"kept")
    out = tmp_path / "output"
    out.mkdir()
    for kind in ("old", "building"):
        (out / f".{NAME}.{kind}-1").symlink_to(elsewhere)
    write_good(out)
    assert everything(elsewhere) == {"kept": b"kept"}


def test_a_file_in_the_place_of_the_edition_is_refused(tmp_path):
    (tmp_path / NAME).write_bytes(b"mine")
    with pytest.raises(OutputError) as told:
        write_good(tmp_path)
    assert str(told.value) == f"{tmp_path / NAME}: is a file where the edition's folder belongs; move it away"
    assert (tmp_path / NAME).read_bytes() == b"mine"


def test_a_folder_that_is_no_edition_is_not_replaced(tmp_path):
    place = tmp_path / NAME
    place.mkdir()
    (place / "notes.txt").write_bytes(b"mine")
    with pytest.raises(OutputError) as told:
        write_good(tmp_path)
    assert str(told.value) == (
        f"{place}: holds files and no edition.json, so it is no edition and is not replaced; move it away"
    )
    assert everything(place) == {"notes.txt": b"mine"}


def test_an_empty_folder_is_taken(tmp_path):
    (tmp_path / NAME).mkdir()
    assert everything(write_good(tmp_path))["sheets/OT-01.pdf"] == b"new"


def test_an_output_folder_that_is_a_file_is_told_in_one_line(tmp_path):
    (tmp_path / "output").write_bytes(b"")
    with pytest.raises(OutputError) as told:
        write_good(tmp_path / "output")
    assert str(told.value) == (
        f"{tmp_path / 'output'}: is a file where the folder of editions belongs; name another --out"
    )


def test_a_full_disk_is_told_in_one_line_and_leaves_nothing(tmp_path, monkeypatch):
    place = write_good(tmp_path, "old")

    def full(_, __):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OutputError) as told:
        write_good(tmp_path, "new")
    monkeypatch.undo()
    assert str(told.value) == (
        f"{place}/sheets/OT-01.pdf: cannot be written: No space left on device;"
        " make room, mend its permissions or name another --out"
    )
    assert everything(place)["sheets/OT-01.pdf"] == b"old"
    assert names(tmp_path) == [NAME]


@pytest.mark.parametrize("name", ["../escape.pdf", "/etc/escape.pdf", "sheets/../../escape.pdf", ""])
def test_a_name_that_leaves_the_edition_is_refused(tmp_path, name):
    with pytest.raises(OutputError) as told, building(tmp_path / "out", NAME) as build:
        build.write(name, b"")
    assert str(told.value) == f"{name}: no path inside an edition"
    assert names(tmp_path) == ["out"]


def test_a_single_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "output" / "OT-01.pdf"
    assert write_file(path, b"old") == path

    def cut(_, __):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(Path, "replace", cut)
    with pytest.raises(OutputError) as told:
        write_file(path, b"new")
    assert str(told.value) == (
        f"{path}: cannot be written: Input/output error;"
        " make room, mend its permissions or name another --out"
    )
    assert everything(tmp_path) == {"output/OT-01.pdf": b"old"}


def test_a_link_in_the_place_of_a_file_is_replaced_and_not_followed(tmp_path):
    elsewhere = tmp_path / "elsewhere.pdf"
    elsewhere.write_bytes(b"theirs")
    link = tmp_path / "OT-01.pdf"
    link.symlink_to(elsewhere)
    write_file(link, b"ours")
    assert elsewhere.read_bytes() == b"theirs"
    assert not link.is_symlink()
    assert link.read_bytes() == b"ours"


def build_and_lose(out, taken):
    with building(out, NAME) as build:
        build.write("sheets/OT-01.pdf", b"new")
        gone = build.folder / taken
        shutil.rmtree(gone) if gone.is_dir() else gone.unlink()
        build.write("edition.json", b"{}")


@pytest.mark.parametrize("taken", ["sheets/OT-01.pdf", "sheets", ""])
def test_what_is_taken_away_while_it_is_written_ends_in_one_line(tmp_path, taken):
    place = write_good(tmp_path, "old")
    with pytest.raises(OutputError) as told:
        build_and_lose(tmp_path, taken)
    assert str(told.value) == (
        f"{place}/sheets/OT-01.pdf: was taken away while the edition was written; run again"
    )
    assert everything(place)["sheets/OT-01.pdf"] == b"old"
    assert names(tmp_path) == [NAME]
