from __future__ import annotations

import pytest

from atlas.survey.clean import Cleaned, clean_line


@pytest.mark.parametrize(
    ("raw", "text", "removed"),
    [
        ("plain", "plain", 0),
        ("  two \t words\r\n", "two words", 0),
        ("no\N{NO-BREAK SPACE}break\N{IDEOGRAPHIC SPACE}wide", "no break wide", 0),
        ("line\N{LINE SEPARATOR}two", "line two", 0),
        ("e\N{COMBINING ACUTE ACCENT}t\N{LATIN SMALL LETTER E WITH ACUTE}", "été", 0),
        ("a\x00b\x1b[1mc\x7f\x9b", "ab[1mc", 4),
        ("\N{RIGHT-TO-LEFT OVERRIDE}abc\N{ZERO WIDTH SPACE}", "abc", 2),
        ("soft\N{SOFT HYPHEN}hyphen", "softhyphen", 1),
        ("\ud83d", "", 1),
        (" \x07 ", "", 1),
        ("", "", 0),
    ],
)
def test_clean_line(raw, text, removed):
    assert clean_line(raw) == Cleaned(text, removed)
