"""One site's numbers: as the JSON object that others read, and step by step for people."""

from atlas.workings.derivation import Section, derivation
from atlas.workings.site_object import workings_json, workings_object

__all__ = ["Section", "derivation", "workings_json", "workings_object"]
