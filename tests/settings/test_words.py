"""The wording: flattening, filling, and a county's own wording against the shipped one."""

import re
from pathlib import Path
from string import Formatter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import InputFaults
from atlas.settings import load_settings, read_words

FILE = Path("words/en.toml")


def read(table):
    return read_words(table, FILE)


def fault_of(call):
    with pytest.raises(InputFaults) as raised:
        call()
    return str(raised.value)


def test_keys_are_dotted_and_places_filled():
    words = read({"why": {"factor": "Factor {got}", "deep": {"er": "{{braces}} stay"}}})
    assert dict(words.texts) == {"why.factor": "Factor {got}", "why.deep.er": "{{braces}} stay"}
    assert words("why.factor", got="4.1") == "Factor 4.1"
    assert words("why.factor", got=4, more="unused") == "Factor 4"
    assert words("why.deep.er") == "{braces} stay"
    assert words.has("why.factor")
    assert not words.has("why")


def test_what_is_put_in_a_place_is_not_read_again():
    """A survey's text with braces of its own stays as it is."""
    assert read({"a": "{text}"})("a", text="{other} {0} {text.__class__}") == "{other} {0} {text.__class__}"


def test_texts_directly_under_a_folder_in_the_file_s_order():
    words = read({"line": {"track": "T", "ferry-near": "N", "deep": {"x": "X"}}, "lines": {"y": "Y"}})
    assert list(words.of("line").items()) == [("track", "T"), ("ferry-near", "N")]
    assert words.of("nothing") == {}


NOT_PLAIN = (
    "words/en.toml, a.b: the entry is no text, or its places are not plain names in braces; "
    'got {got}; allowed: "a text with {{name}} places"; mend the entry'
)


@pytest.mark.parametrize(
    "entry",
    [
        "{a.b}", "{a[0]}", "{0}", "{}", "{a!r}", "{a:>9}", "{a:{b}}", "{", "}", "{a", "a}", "{a-b}", "{a b}",
        "{ a }", 5, 1.5, True, ["text"],
    ],
)  # fmt: skip
def test_an_entry_that_is_no_text_or_has_other_than_plain_places(entry):
    assert fault_of(lambda: read({"a": {"b": entry}})) == NOT_PLAIN.format(got=repr(entry))


def test_every_bad_entry_is_told():
    with pytest.raises(InputFaults) as raised:
        read({"a": 5, "b": "fine", "c": {"d": "{0}"}})
    assert [fault.field for fault in raised.value.faults] == ["a", "c.d"]


def test_a_text_that_is_missing_and_a_place_that_is_not_filled():
    words = read({"a": "{tag}"})
    todo = "add the text, or compare with the wording that came with the program"
    what = "the wording lacks a text, or names a place that is not filled"
    assert fault_of(lambda: words("b")) == f"words/en.toml, b: {what}; got 'b'; {todo}"
    assert fault_of(lambda: words("a", name="x")) == f"words/en.toml, a: {what}; got 'tag'; {todo}"


@given(st.text(max_size=40))
def test_any_text_is_plain_or_refused(text):
    """What is let through is filled without any other fault than a place left open."""
    try:
        words = read({"a": text})
    except InputFaults:
        return
    names = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    assert isinstance(words("a", **dict.fromkeys(names, "x")), str)


# ---- a county's own wording


def test_a_county_may_reword(county):
    folder = county("words/en.toml", ('"Planning rope"', '"The rope we plan with"'))
    words = load_settings(county=folder).words
    assert words("rope.planning") == "The rope we plan with"
    assert words("why.anchor_drowned", tag="N1") == load_settings().words("why.anchor_drowned", tag="N1")


def test_a_county_may_add_texts_for_gear_of_its_own(county):
    county("gear.toml", ("[items.knife]", "[items.knife]\n[items.sword]"))
    folder = county("words/en.toml", ('knife = "Knives"', 'knife = "Knives"\nsword = "Swords"'))
    assert load_settings(county=folder).words("gear.sword") == "Swords"


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        (
            'planning = "Planning rope"\n',
            "",
            "rope.planning: the wording lacks this text; allowed: 'Planning rope'; add the text",
        ),
        (
            '"Anchor {tag} is under water at this stage"',
            '"Anchor is under water at this stage"',
            (
                "why.anchor_drowned: the text has other places than the one that came with the program; "
                "got 'Anchor is under water at this stage'; allowed: {tag}; mend its places"
            ),
        ),
        (
            '"Anchor {tag} is under water at this stage"',
            '"Anchor {anchor} is under water at this stage"',
            (
                "why.anchor_drowned: the text has other places than the one that came with the program; "
                "got 'Anchor {anchor} is under water at this stage'; allowed: {tag}; mend its places"
            ),
        ),
        (
            '"Lines up: tell aircraft."',
            '"Lines up at {place}: tell aircraft."',
            (
                "caution.lines_up_aircraft: the text has other places than the one that came with the "
                "program; "
                "got 'Lines up at {place}: tell aircraft.'; allowed: no places; mend its places"
            ),
        ),
    ],
)
def test_a_county_s_wording_that_would_fail_in_print_is_told_at_once(county, told, old, new, text):
    assert told(county("words/en.toml", (old, new))) == [f"COUNTY/templates/words/en.toml, {text}"]


def test_places_may_stand_in_another_order_and_twice(county):
    text = '"Track anchor {tag} is asked for {needed}, rated {rating}"'
    folder = county("words/en.toml", (text, '"{rating} held, {needed} asked of {tag}: {tag}!"'))
    words = load_settings(county=folder).words
    assert words("why.anchor_track", tag="N1", needed="2", rating="1") == "1 held, 2 asked of N1: N1!"


# ---- tone of the shipped wording


def test_the_tool_never_says_safe_or_go():
    """Inside plan and outside plan are its only verdicts; what is let go is a line."""
    for key, text in load_settings().words.texts.items():
        assert not re.search(
            r"\b(safe|safely|unsafe|safer|guaranteed?|go ahead|all clear)\b", text.lower()
        ), key
        assert text.lower().strip(" .!") not in {"go", "no go", "no-go", "ok"}, key


def test_a_verdict_is_said_in_these_words():
    words = load_settings().words
    assert (words("sheet.levels.inside"), words("sheet.levels.outside")) == ("inside", "OUTSIDE")
    assert words("sheet.levels.verdict") == "plan"
    assert words("sheet.stop.outside") == "OUTSIDE PLAN"
