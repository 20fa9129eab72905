"""Features of one invented station, in the form of the water data service."""

import tomllib
from pathlib import Path

RIVER = tomllib.loads(Path(__file__).with_name("river.toml").read_text(encoding="utf-8"))
LOCATION = RIVER["location"]


def feature(identifier, **properties):
    return {
        "type": "Feature",
        "id": identifier,
        "geometry": None,
        "properties": {"id": identifier, **properties},
    }


def channel(visit, day, _, flow, width, area, velocity, location=LOCATION):
    return feature(
        f"c-{location}-{visit}", monitoring_location_id=location, field_visit_id=visit,
        time=f"{day}T15:00:00+00:00",
        channel_flow=flow, channel_flow_unit="ft^3/s", channel_width=width, channel_width_unit="ft",
        channel_area=area, channel_area_unit="ft^2", channel_velocity=velocity, channel_velocity_unit="ft/s",
    )  # fmt: skip


def height(visit, day, stage, *_, location=LOCATION):
    return feature(
        f"f-{location}-{visit}", monitoring_location_id=location, field_visit_id=visit, time=day,
        parameter_code="00065", value=stage, unit_of_measure="ft", control_condition=None,
    )  # fmt: skip


def observed(code, value, at, location=LOCATION, status="Provisional"):
    unit = "ft" if code == "00065" else "ft^3/s"
    return feature(
        f"o-{location}-{code}-{at}", monitoring_location_id=location, parameter_code=code, value=value,
        unit_of_measure=unit, time=at, qualifier=None, approval_status=status,
    )  # fmt: skip


def daily(day, value, location=LOCATION):
    return feature(
        f"d-{location}-{day}", monitoring_location_id=location, parameter_code="00060", statistic_id="00003",
        value=value, unit_of_measure="ft^3/s", time=day, qualifier=None, approval_status="Approved",
    )  # fmt: skip


def collections():
    """Every collection, each with rows of another station among its own."""
    other = {"location": "XYZ-02"}
    hours = [f"2026-11-25T{hour:02}:00:00+00:00" for hour in range(6, 16)]
    return {
        "monitoring-locations": [
            feature(name, monitoring_location_name=title, vertical_datum="NAVD88",
                    vertical_datum_name="North American Vertical Datum of 1988")
            for name, title in ((LOCATION, RIVER["name"]), ("XYZ-02", "ANOTHER"))
        ],
        "channel-measurements": [channel(*visit) for visit in RIVER["visits"]]
        + [channel(*RIVER["visits"][0], **other)],
        "field-measurements": [height(*visit) for visit in RIVER["visits"]]
        + [height(*RIVER["visits"][0], **other)],
        "latest-continuous": [
            observed("00065", "3.90", "2026-11-25T15:15:00+00:00"),
            observed("00060", "196", "2026-11-25T15:15:00+00:00"),
            observed("00065", "9.90", "2026-11-25T15:15:00+00:00", **other),
        ],
        "continuous": [observed("00065", f"{3 + number / 10:.2f}", at) for number, at in enumerate(hours)],
        "daily": [daily(f"2026-11-{number:02}", str(100 + number)) for number in range(1, 25)],
    }  # fmt: skip
