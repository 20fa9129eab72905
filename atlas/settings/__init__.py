"""Policy, rigs, cautions, gear, page templates and wording: loaded and validated."""

from atlas.settings.lists import CautionList, CautionRule, GearItem, GearList
from atlas.settings.load import Settings, load_settings
from atlas.settings.policy import Policy, Provenance
from atlas.settings.policy_values import LoadCase, PolicyValues
from atlas.settings.rigs import CrewRule, GearRule, LineRule, PartRule, Rig, RopeRule
from atlas.settings.shipped import demo_county_folder, shipped_folder
from atlas.settings.toml_file import Strict, Table, model_faults, read_table
from atlas.settings.words import Words, read_words

__all__ = [
    "CautionList",
    "CautionRule",
    "CrewRule",
    "GearItem",
    "GearList",
    "GearRule",
    "LineRule",
    "LoadCase",
    "PartRule",
    "Policy",
    "PolicyValues",
    "Provenance",
    "Rig",
    "RopeRule",
    "Settings",
    "Strict",
    "Table",
    "Words",
    "demo_county_folder",
    "load_settings",
    "model_faults",
    "read_table",
    "read_words",
    "shipped_folder",
]
