"""An access feature with flow notes, as short as a test can say it."""

import pytest

from atlas.records import Access, FlowNote


def make_note(stage_m=None, surface=None, **said):
    said = {"stage_assumed": False, **said}
    fields = dict.fromkeys(FlowNote.__dataclass_fields__)
    return FlowNote(**fields | {"stage_m": stage_m, "surface_speed_m_s": surface} | said)


def make_access(*notes, stage_m=None, planning_stage_m=None):
    fields = dict.fromkeys(Access.__dataclass_fields__)
    return Access(**fields | {"flow_notes": notes, "stage_m": stage_m, "planning_stage_m": planning_stage_m})


@pytest.fixture(scope="session")
def note():
    return make_note


@pytest.fixture(scope="session")
def access():
    return make_access
