"""A county with a template of its own, spoiled in one place; and what the loader tells of it."""

from pathlib import Path

import pytest

from atlas.faults import InputFaults, Severity
from atlas.settings import load_settings

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"


@pytest.fixture
def county(tmp_path):
    """Write a template of the county's own: the shipped one with each `old` made `new`."""

    def write(name, *changes):
        text = (TEMPLATES / name).read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) >= 1, old
            text = text.replace(old, new, 1)
        path = tmp_path / "templates" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return tmp_path

    return write


@pytest.fixture
def told(tmp_path):
    """Every fault's whole text, the county's folder written as COUNTY."""

    def load(folder, **overrides):
        with pytest.raises(InputFaults) as raised:
            load_settings(county=folder, overrides=overrides)
        for fault in raised.value.faults:
            # a value a county.toml puts in is one fault of a file that was read; a template is needed whole
            overridden = fault.file.endswith("county.toml")
            assert fault.severity is (Severity.ERROR if overridden else Severity.FILE)
        return [str(fault).replace(str(tmp_path), "COUNTY") for fault in raised.value.faults]

    return load
