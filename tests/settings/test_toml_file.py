import pytest

from atlas.faults import InputFaults, Severity
from atlas.settings import read_table

# text of the file -> code, and the fault's whole text after the file's name
BAD_TEXTS = {
    "": ("file_empty", "the file is empty; fetch the file again"),
    " \n\t\n": ("file_empty", "the file is empty; fetch the file again"),
    'name = "x"': (
        "schema_missing",
        "the file does not say its schema; write schema = 1 as its first line",
    ),
    "schema = 2": (
        "schema_newer",
        "the file is of a newer schema than this version reads; got 2; use a newer reach-atlas",
    ),
    "schema = 0": (
        "schema_unknown",
        "the file's schema is not one we know; got 0; write schema = 1 as its first line",
    ),
    "schema = true": (
        "schema_unknown",
        "the file's schema is not one we know; got True; write schema = 1 as its first line",
    ),
    "schema = 1.0": (
        "schema_unknown",
        "the file's schema is not one we know; got 1.0; write schema = 1 as its first line",
    ),
    'schema = "1"': (
        "schema_unknown",
        "the file's schema is not one we know; got '1'; write schema = 1 as its first line",
    ),
    'schema = 1\nname = "Alder': (
        "file_cut",
        (
            'the file ends in the middle of an entry, at line 2: is it cut off?; got name = "Alder; '
            "complete the entry, or fetch the whole file again"
        ),
    ),
    "schema = 1\n[[reach]]\ncode =": (
        "file_cut",
        (
            "the file ends in the middle of an entry, at line 3: is it cut off?; got code =; "
            "complete the entry, or fetch the whole file again"
        ),
    ),
    "schema = 1\nname = Alder\n": (
        "not_toml",
        "line 2 is not TOML: this is no value; a text needs quotes; got name = Alder; mend the line",
    ),
    "schema = 1\nname 'Alder'\n": (
        "not_toml",
        "line 2 is not TOML: a key without its '='; got name 'Alder'; mend the line",
    ),
    "schema = 1\na = 1\nb = 2\na = 3": (
        "not_toml",
        "line 4 is not TOML: a key stands twice; got a = 3; mend the line",
    ),
    "schema = 1\n[a]\n[b]\n[a]\n": (
        "not_toml",
        (
            "line 4 is not TOML: a table stands twice, or once as [name] and once as [[name]]; got [a]; "
            "mend the line"
        ),
    ),
    "schema = 1\nissued = 2026-13-45\n": (
        "not_toml",
        (
            "line 2 is not TOML: something stands after the value, or a date or number is not one; "
            "got issued = 2026-13-45; mend the line"
        ),
    ),
    'schema = 1\nname = "Alder\n': (
        "not_toml",
        (
            "line 2 is not TOML: a character that may not stand here, or a text not closed with its quote; "
            'got name = "Alder; mend the line'
        ),
    ),
    "schema = 1\n\x1b[31m\n": (
        "not_toml",
        "line 2 is not TOML: this line begins with no key and no table; got \\x1b[31m; mend the line",
    ),
    'schema = 1\nfile = "a\\q"\n': (
        "not_toml",
        (
            "line 2 is not TOML: a backslash in a text; write it twice, or use single quotes; "
            'got file = "a\\q"; mend the line'
        ),
    ),
    "schema = " + "9" * 5000: (
        "not_toml",
        "the file holds a number of thousands of digits, or lists nested too deeply; mend the value",
    ),
    "schema = " + "[" * 5000: (
        "not_toml",
        "the file holds a number of thousands of digits, or lists nested too deeply; mend the value",
    ),
}


def told_of(path):
    with pytest.raises(InputFaults) as raised:
        read_table(path)
    (fault,) = raised.value.faults
    assert fault.severity is Severity.FILE
    assert fault.file == str(path)
    return fault.code, str(fault).removeprefix(f"{path}: ")


@pytest.mark.parametrize(("text", "told"), BAD_TEXTS.items(), ids=lambda value: str(value)[:30])
def test_a_bad_file_is_told_whole(tmp_path, text, told):
    path = tmp_path / "county.toml"
    path.write_text(text, encoding="utf-8")
    assert told_of(path) == told


def test_a_missing_file(tmp_path):
    assert told_of(tmp_path / "county.toml") == (
        "file_missing",
        "the file is not there; put it back or name another folder",
    )


def test_a_folder_in_place_of_a_file(tmp_path):
    assert told_of(tmp_path) == (
        "file_unreadable",
        (
            "the file cannot be read; got Is a directory; "
            "look at its permissions, and whether it is a file at all"
        ),
    )


def test_a_file_in_another_encoding(tmp_path):
    path = tmp_path / "county.toml"
    path.write_bytes('schema = 1\n\nname = "Río"\n'.encode("latin-1"))
    assert told_of(path) == ("not_utf8", "line 3 is not UTF-8 text; save the file as UTF-8")


def test_an_endless_file(tmp_path):
    path = tmp_path / "county.toml"
    path.write_bytes(b"#" * 2_000_001)
    assert told_of(path) == (
        "file_too_large",
        "the file is too large; got 2000001 bytes; keep it under 2000000 bytes",
    )


def test_a_good_file_comes_without_its_schema_and_with_or_without_a_byte_order_mark(tmp_path):
    path = tmp_path / "county.toml"
    for start in (b"", b"\xef\xbb\xbf"):
        path.write_bytes(start + 'schema = 1\nname = "Río"\n'.encode())
        assert read_table(path) == {"name": "Río"}
