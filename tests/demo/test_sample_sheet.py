"""The one picture in git: a finished sheet, as README shows it. README's command makes it again."""

import re
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
PICTURE = "output/sample-sheet.png"


def test_readme_shows_it_and_says_how_it_is_made():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert re.findall(r"!\[[^\]]+\]\(([^)]+)\)", readme) == [PICTURE]
    assert ".venv/bin/python tests/demo/golden_pages.py --write" in readme


def test_it_is_a_letter_page_and_small_enough_for_git():
    path = ROOT / PICTURE
    assert path.stat().st_size < 300_000
    with Image.open(path) as picture:
        assert picture.size == pytest.approx((1275, 1650), abs=1)  # 8.5 x 11 inches at 150 dots
