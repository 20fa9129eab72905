"""The county and its agencies' caches: county.toml and caches.toml to checked records."""

from atlas.caches.agencies import LAUNCHER_KINDS
from atlas.caches.read import CountyRead, read_county
from atlas.caches.ropes import ELONGATION_BASES, FIBRES, KINDS
from atlas.caches.survey_files import SURVEY_ENDINGS

__all__ = [
    "ELONGATION_BASES",
    "FIBRES",
    "KINDS",
    "LAUNCHER_KINDS",
    "SURVEY_ENDINGS",
    "CountyRead",
    "read_county",
]
