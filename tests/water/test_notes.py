import pytest

from atlas.faults import OutOfRange
from atlas.records import MeanKind
from atlas.water import StageSettings
from atlas.water.notes import seen_of

SETTINGS = StageSettings()


def seen(access, *notes, stage_m=1.2, **changed):
    return seen_of(access(*notes, stage_m=stage_m), width_m=34.0, settings=StageSettings(**changed))


def only(access, *notes, stage_m=1.2, **changed):
    _, (one,) = seen(access, *notes, stage_m=stage_m, **changed)
    return one


def test_a_surface_speed_is_taken_as_noted(access, note):
    one = only(access, note(1.8, 2.1, width_m=36.0, discharge_m3_s=60.0, depth_m=1.4))
    assert one.surface_speed_m_s == 2.1
    assert (one.width_m, one.discharge_m3_s, one.depth_m) == (36.0, 60.0, 1.4)
    assert one.rise_m == pytest.approx(0.6)
    assert one.assumed == ()


@pytest.mark.parametrize(
    ("kind", "speed_m_s", "code"),
    [
        (MeanKind.SECTION, 1.3 / 0.65, "speed_from_section_mean"),
        (MeanKind.VERTICAL, 1.3 / 0.85, "speed_from_vertical_mean"),
        # a mean of nothing said is read the more careful way
        (None, 1.3 / 0.65, "speed_from_section_mean"),
    ],
)
def test_a_mean_is_turned_into_the_fastest_thread(access, note, kind, speed_m_s, code):
    one = only(access, note(1.8, mean_speed_m_s=1.3, mean_kind=kind))
    assert one.surface_speed_m_s == pytest.approx(speed_m_s)
    assert one.assumed == (code,)


def test_policy_sets_the_ratio(access, note):
    one = only(access, note(1.8, mean_speed_m_s=1.3, mean_kind=MeanKind.SECTION), section_ratio=0.5)
    assert one.surface_speed_m_s == pytest.approx(2.6)


@pytest.mark.parametrize(
    ("surface", "ratio", "codes"),
    [
        # 1.1 / 2.0 = 0.55 at this section: lower than policy's 0.65, so a mean tells of faster water
        (2.0, 0.55, ("speed_from_section_mean", "note_ratio")),
        # 1.1 / 1.25 = 0.88: policy's stays
        (1.25, 0.65, ("speed_from_section_mean",)),
        # 1.1 / 11 = 0.1 is a slip of the pen: no lower than 0.40
        (11.0, 0.40, ("speed_from_section_mean", "note_ratio")),
    ],
)
def test_a_lower_ratio_of_the_sites_own_counts(access, note, surface, ratio, codes):
    both = note(1.2, surface, mean_speed_m_s=1.1, mean_kind=MeanKind.SECTION)
    mean_only = note(1.8, mean_speed_m_s=1.4, mean_kind=MeanKind.SECTION)
    _, (lower, upper) = seen(access, both, mean_only)
    assert lower.surface_speed_m_s == surface
    assert lower.assumed == ()
    assert upper.surface_speed_m_s == pytest.approx(1.4 / ratio)
    assert upper.assumed == codes


def test_no_mean_is_faster_than_the_fastest_thread(access, note):
    one = only(access, note(1.8, 1.5, mean_speed_m_s=1.9, mean_kind=MeanKind.SECTION))
    assert (one.surface_speed_m_s, one.assumed) == (1.9, ("surface_below_mean",))


def test_a_mean_as_fast_as_the_surface_is_no_contradiction(access, note):
    one = only(access, note(1.8, 1.5, mean_speed_m_s=1.5, mean_kind=MeanKind.VERTICAL))
    assert (one.surface_speed_m_s, one.assumed) == (1.5, ())


def test_notes_of_one_stage_become_the_fastest(access, note):
    _, kept = seen(
        access,
        note(1.8, 2.0, width_m=36.0, discharge_m3_s=60.0),
        note(1.803, 2.4, discharge_m3_s=63.0),
        note(1.81, 2.2, width_m=35.0),
    )
    assert [(one.stage_m, one.surface_speed_m_s) for one in kept] == [(1.803, 2.4), (1.81, 2.2)]
    assert (kept[0].width_m, kept[0].discharge_m3_s) == (36.0, 63.0)


def test_order_is_by_rising_water(access, note):
    datum, kept = seen(access, note(2.4, 2.5), note(1.0, 0.9), note(1.8, 2.0))
    assert datum == 1.2
    assert [one.rise_m for one in kept] == pytest.approx([-0.2, 0.6, 1.2])


def test_a_note_at_the_survey_days_stage_is_marked(access, note):
    assert only(access, note(1.2, 1.4, stage_assumed=True)).assumed == ("stage_assumed",)


def test_nothing_but_a_speed(access, note):
    datum, (one,) = seen(access, note(None, 1.4, stage_assumed=True), stage_m=None)
    assert datum is None
    assert (one.stage_m, one.rise_m, one.assumed) == (None, 0.0, ("stage_assumed",))


def test_without_a_stage_of_the_survey_day_heights_count_from_low_water(access, note):
    datum, kept = seen(access, note(2.0, 1.4), note(1.1, 0.9), stage_m=None)
    assert datum == 1.1
    assert [one.rise_m for one in kept] == pytest.approx([0.0, 0.9])
    assert {one.assumed for one in kept} == {("datum_assumed",)}


def test_discharge_alone_gives_a_stage_from_the_nearest_note(access, note):
    _, kept = seen(
        access,
        note(1.0, 0.9, discharge_m3_s=10.0, depth_m=0.7),
        note(1.8, 2.0, discharge_m3_s=60.0, depth_m=1.5),
        note(None, 2.4, discharge_m3_s=120.0),
    )
    # doubled discharge is 2^0.40 times the depth: 1.5 m and 0.479 m more
    assert kept[-1].stage_m == pytest.approx(1.8 + 1.5 * (2.0**0.40 - 1.0))
    assert kept[-1].assumed == ("stage_from_discharge",)


@pytest.mark.parametrize(("width_m", "depth_m"), [(40.0, 2.0), (None, 1.7)])
def test_discharge_alone_beside_a_note_without_a_depth(access, note, width_m, depth_m):
    reference = note(1.8, 2.0, discharge_m3_s=60.0, width_m=width_m)
    _, kept = seen(access, reference, note(None, 2.4, discharge_m3_s=120.0))
    # a twentieth of the note's width, else of the survey day's
    assert kept[-1].stage_m == pytest.approx(1.8 + depth_m * (2.0**0.40 - 1.0))


def test_discharge_alone_without_a_note_to_compare(access, note):
    one = only(access, note(None, 2.4, discharge_m3_s=120.0))
    assert (one.stage_m, one.rise_m, one.assumed) == (None, 0.0, ("stage_unknown",))


def test_an_unknown_stage_is_not_the_survey_days(access, note):
    _, kept = seen(access, note(1.2, 1.0), note(None, 2.4, discharge_m3_s=120.0))
    assert [(one.stage_m, one.surface_speed_m_s) for one in kept] == [(None, 2.4), (1.2, 1.0)]


@pytest.mark.parametrize(
    ("said", "text"),
    [
        ({}, "flow note without a speed; needed: surface_speed or mean_speed"),
        ({"surface_speed_m_s": -1.0}, "flow note: speed -1 m/s; needed: finite and not negative"),
        ({"mean_speed_m_s": float("nan")}, "flow note: speed nan m/s; needed: finite and not negative"),
    ],
)
def test_a_note_without_a_usable_speed(access, note, said, text):
    with pytest.raises(OutOfRange) as raised:
        seen(access, note(1.8, **said) if "surface_speed_m_s" not in said else note(1.8, -1.0))
    assert str(raised.value) == text


def test_no_note_at_all(access):
    with pytest.raises(OutOfRange) as raised:
        seen(access)
    assert str(raised.value) == "no flow note; needed: at least one with a speed"
