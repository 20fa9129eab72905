"""Measurements of visits, with the stage joined by the visit."""

from datetime import date

import pytest

from atlas.gauges.measurements import own_properties, read_measurements
from atlas.gauges.numbers import LeftOut
from atlas.records import FieldMeasurement

FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)


def channel(visit="v1", **changes):
    return {
        "monitoring_location_id": "XYZ-1",
        "field_visit_id": visit,
        "time": "2015-08-06T18:20:30+00:00",
        "channel_flow": "1150", "channel_flow_unit": "ft^3/s",
        "channel_width": "102", "channel_width_unit": "ft",
        "channel_area": "350", "channel_area_unit": "ft^2",
        "channel_velocity": "3.29", "channel_velocity_unit": "ft/s",
    } | changes  # fmt: skip


def stage(visit="v1", value="4.10", **changes):
    return {
        "monitoring_location_id": "XYZ-1", "field_visit_id": visit, "parameter_code": "00065",
        "value": value, "unit_of_measure": "ft", "control_condition": None,
    } | changes  # fmt: skip


def read(channels, field):
    left_out = LeftOut()
    return read_measurements(channels, field, left_out), left_out.told()


def test_a_visit_with_its_stage():
    (one,), told = read([channel()], [stage(), stage("v2", "9.9")])
    assert told == ()
    assert one.day == date(2015, 8, 6)
    assert (one.discharge_m3_s, one.width_m) == pytest.approx((1150 * CFS, 102 * FT), rel=1e-14)
    assert (one.area_m2, one.mean_speed_m_s) == pytest.approx((350 * FT * FT, 3.29 * FT), rel=1e-14)
    assert one.stage_m == pytest.approx(4.10 * FT, rel=1e-14)
    assert one.depth_m == pytest.approx(350 / 102 * FT, rel=1e-14)


def test_readings_of_a_visit_that_agree_give_their_mean_and_others_none():
    (one,), told = read([channel()], [stage(value="4.10"), stage(value="4.20")])
    assert (one.stage_m, told) == (pytest.approx(4.15 * FT, rel=1e-14), ())
    (one,), told = read([channel()], [stage(value="4.1"), stage(value="4.9")])
    assert (one.stage_m, told) == (None, ("1 left out: stage: several on one visit",))


def test_discharge_of_a_field_measurement_is_no_stage():
    (one,), told = read([channel()], [stage(parameter_code="00060", unit_of_measure="ft^3/s", value="1150")])
    assert (one.stage_m, told) == (None, ())


@pytest.mark.parametrize(
    ("channels", "field", "told"),
    [
        ([channel(), channel(channel_flow="300")], [stage()], "a visit with several channels"),
        ([channel()], [stage(control_condition="Complete ice cover")], "a visit under ice"),
        ([channel(channel_width="")], [stage()], "a measurement without width"),
        ([channel(channel_width="", channel_area=None)], [stage()], "a measurement without width, area"),
        ([channel(time=None)], [stage()], "a measurement without a day"),
        ([channel(visit=None)], [stage()], "a measurement without a visit"),
    ],
)
def test_a_visit_that_is_left_out(channels, field, told):
    found, lines = read(channels, field)
    assert found == ()
    assert lines == (f"1 left out: {told}",)


def test_a_number_that_cannot_be_trusted_takes_its_row_with_it():
    found, told = read([channel(channel_velocity="fast")], [])
    assert found == ()
    assert told == (
        "1 left out: velocity: text where a number belongs (fast ft/s)",
        "1 left out: a measurement without velocity",
    )


def test_a_channel_that_stands_there_twice_counts_once():
    found, told = read([channel(), channel()], [stage()])
    assert (len(found), told) == (1, ())


def test_features_of_other_stations_are_not_believed():
    left_out = LeftOut()
    features = [
        {"properties": channel()},
        {"properties": channel(monitoring_location_id="XYZ-2")},
        {"properties": None},
        "no feature",
    ]
    assert own_properties(features, "XYZ-1", left_out) == [channel()]
    assert left_out.told() == (
        "1 left out: of another station (XYZ-2)",
        "2 left out: a feature without properties",
    )


def test_the_real_features(real):
    # U.S. Geological Survey, station 05427718 (public domain): 10.6 and 21.3 ft3/s, 12.5 and 17.6 ft wide
    found, told = read(real["channel-measurements"], real["field-measurements"])
    assert told == ()
    assert found == (
        FieldMeasurement(
            date(1994, 7, 18), None, pytest.approx(21.3 * CFS), pytest.approx(17.6 * FT),
            pytest.approx(17.6 * FT * FT), pytest.approx(1.21 * FT),
        ),
        FieldMeasurement(
            date(2015, 8, 6), None, pytest.approx(10.6 * CFS), pytest.approx(12.5 * FT),
            pytest.approx(9.53 * FT * FT), pytest.approx(1.12 * FT),
        ),
    )  # fmt: skip


def test_a_real_stage_joined_to_a_real_channel_by_its_visit(real):
    # the two real features are of different visits; the channel is given the visit of the stage, 3.14 ft
    (height,) = [one for one in real["field-measurements"] if one["parameter_code"] == "00065"]
    moved = real["channel-measurements"][0] | {"field_visit_id": height["field_visit_id"]}
    (one,), told = read([moved], real["field-measurements"])
    assert (one.stage_m, told) == (pytest.approx(3.14 * FT), ())
