import re
from pathlib import Path

import atlas


def _source():
    folder = Path(atlas.__file__).parent
    return "".join(path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.py")))


def test_every_word_of_the_sheet_is_asked_for_somewhere(words):
    source = _source()
    whole = set(re.findall(r'"(sheet\.[\w.\-]+)"', source))
    begun = tuple(re.findall(r'f"(sheet\.[\w.\-]+?)\{', source))
    unused = [
        key
        for key in words.texts
        if key.startswith("sheet.") and key not in whole and not key.startswith(begun)
    ]
    assert unused == []


def test_every_word_asked_for_whole_is_there(words):
    asked = set(re.findall(r'"(sheet\.[\w.\-]+)"', _source()))
    sections = {key.rpartition(".")[0] for key in words.texts}
    assert {key for key in asked if not words.has(key) and key not in sections} == set()
