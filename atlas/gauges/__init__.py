"""Gauges: what services say of them, and what is kept of it. The only room that opens a connection."""

from atlas.gauges.county_file import read_records, write_record
from atlas.gauges.joined import asked_gauges, join_gauges, relation_faults
from atlas.gauges.reading_file import cache_folder, read_reading, write_reading

__all__ = [
    "asked_gauges",
    "cache_folder",
    "join_gauges",
    "read_reading",
    "read_records",
    "relation_faults",
    "write_reading",
    "write_record",
]
