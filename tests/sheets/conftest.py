"""Sheets laid out once for all tests of the room. Every place in them is invented."""

import pytest

from atlas.faults import InputFaults
from atlas.paper import Text
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout
from atlas.sheets.desk import desk_for

PAPERS = ("letter", "a4")


@pytest.fixture(scope="session")
def settings():
    return load_settings()


@pytest.fixture(scope="session")
def words(settings):
    return settings.words


@pytest.fixture(scope="session")
def templates(settings):
    """Paper -> its page template."""
    return {paper: read_page_template(settings.template_path(f"sheet-{paper}.toml")) for paper in PAPERS}


@pytest.fixture(scope="session")
def letter(templates):
    return templates["letter"]


@pytest.fixture(scope="session")
def punched_right(letter):
    page = letter.page.model_copy(update={"punch_edge": "right"})
    return letter.model_copy(update={"page": page})


@pytest.fixture(scope="session")
def plans(hand_made, words):
    """Name -> plan: the kinds of place a county has."""
    make, frame = hand_made.make_plan, hand_made.make_frame
    left = hand_made.NearBank.LEFT
    return {
        "plain": make(words),
        "outside": hand_made.outside_plan(words),
        "crowded": hand_made.crowded(words),
        "near bank left": make(words, frame=frame(near_bank=left)),
        "si": make(words, units="si"),
        "creek": make(words, frame=frame(span_m=14.0, reach_down_m=9.0)),
        "river": make(words, frame=frame(span_m=104.0, reach_down_m=30.0, skew_deg=-18.0)),
    }


@pytest.fixture(scope="session")
def pages(plans, letter, words):
    """Name of a plan -> its page on Letter."""
    return {name: layout(plan, letter, words) for name, plan in plans.items()}


@pytest.fixture(scope="session")
def desk_of(letter, words):
    """Makes the desk of a plan."""
    return lambda plan: desk_for(plan, letter, words)


@pytest.fixture(scope="session")
def texts_of():
    """Texts of one block of a page, in the order drawn."""
    return lambda page, block: [
        item.text for item in page.items if isinstance(item, Text) and item.block == block
    ]


@pytest.fixture(scope="session")
def edited(settings, tmp_path_factory):
    """Writes a copy of a shipped template with pieces of its text replaced; gives its path."""

    def edit(*changes, paper="letter"):
        text = settings.template_path(f"sheet-{paper}.toml").read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        path = tmp_path_factory.mktemp("page") / "sheet-letter.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return edit


@pytest.fixture(scope="session")
def faults_of():
    """Texts of all faults of a template, without the file's name."""

    def read(path):
        with pytest.raises(InputFaults) as caught:
            read_page_template(path)
        return [str(fault).removeprefix(f"{path}") for fault in caught.value.faults]

    return read
