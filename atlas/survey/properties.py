"""What each role of feature may say: one line a property. The shipped JSON Schema says the same."""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from atlas.records import AnchorUse, Bank, NearBank, PostKind
from atlas.survey import limits
from atlas.survey.nested import Dam, FlowNoteList
from atlas.survey.table import Property, PropertyTable
from atlas.survey.values import Choice, ChoiceSet, IsoDate, Text, TextList

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "COMMON",
    "TABLES",
    "AccessProperties",
    "AnchorProperties",
    "Condition",
    "DangerProperties",
    "EdgeProperties",
    "LaunchMethod",
    "LockOff",
    "PostProperties",
    "RigName",
    "Role",
    "Water",
    "WorkAreaProperties",
]

COMMON: Final = ("site", "role")
"""Properties of every feature, read before its role is known."""


class Role(StrEnum):
    """What a feature is."""

    ACCESS = "access"
    ANCHOR = "anchor"
    EDGE = "edge"
    WORK_AREA = "work_area"
    DANGER = "danger"
    POST = "post"


class LockOff(StrEnum):
    """What holds the tensioned track line at the near anchor."""

    DEVICE = "device"
    TIED_OFF = "tied_off"


class LaunchMethod(StrEnum):
    """How the first line goes over."""

    HAND_BAG = "hand_bag"
    SLINGSHOT = "slingshot"
    PNEUMATIC = "pneumatic"
    CARTRIDGE = "cartridge"
    BOAT = "boat"
    SWIMMER = "swimmer"


class RigName(StrEnum):
    """The rigs a survey may ask for."""

    MOVABLE_CONTROL_POINT = "movable-control-point"
    FOUR_LINE_TETHER = "four-line-tether"
    TWO_LINE_TETHER = "two-line-tether"


class Water(StrEnum):
    """How cold the water is while rescues are likely, as the surveyor judges."""

    COLD = "cold"
    MILD = "mild"


class Condition(StrEnum):
    """State of an anchor as surveyed."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    DO_NOT_USE = "do_not_use"


class AccessProperties(PropertyTable):
    """The site as a whole."""

    name = Property(Text(80), required=True)
    reach = Property(Text(20), required=True)
    agency = Property(Text(20), required=True)
    surveyed = Property(IsoDate(), required=True)
    river = Property(Text(80))
    near_bank = Property(Choice(NearBank))
    flow_toward = Property(limits.BEARING)
    width = Property(limits.ACROSS)
    reach_down = Property(limits.ACROSS)
    stage = Property(limits.STAGE)
    planning_stage = Property(limits.STAGE)
    gauge = Property(Text(80))
    rig = Property(Choice(RigName))
    lock_off = Property(Choice(LockOff))
    road = Property(Text())
    far_access = Property(Text())
    far_minutes = Property(limits.MINUTES)
    near_run = Property(limits.RUN)
    launch_method = Property(Choice(LaunchMethod))
    dam = Property(Dam())
    radio = Property(Text())
    medical = Property(Text())
    permission = Property(Text())
    dangers = Property(TextList())
    water = Property(Choice(Water))
    notes = Property(Text())
    flow_notes = Property(FlowNoteList())


class AnchorProperties(PropertyTable):
    """A tie point."""

    bank = Property(Choice(Bank), required=True)
    use = Property(ChoiceSet(AnchorUse), required=True)
    tag = Property(Text(12))
    kind = Property(Text(40))
    diameter = Property(limits.ANCHOR_SIZE)
    girth = Property(limits.ANCHOR_GIRTH)
    height = Property(limits.HEIGHT)
    rating = Property(limits.RATING)
    condition = Property(Choice(Condition))
    note = Property(Text())


class EdgeProperties(PropertyTable):
    """A water's edge on the survey day."""

    bank = Property(Choice(Bank), required=True)


class WorkAreaProperties(PropertyTable):
    """Where the boat must reach: its geometry says all."""


class DangerProperties(PropertyTable):
    """Something that can hurt."""

    kind = Property(Text(40), required=True)
    note = Property(Text())


class PostProperties(PropertyTable):
    """A place for people or things."""

    post = Property(Choice(PostKind), required=True)
    note = Property(Text())


TABLES: Final[Mapping[Role, type[PropertyTable]]] = MappingProxyType(
    {
        Role.ACCESS: AccessProperties,
        Role.ANCHOR: AnchorProperties,
        Role.EDGE: EdgeProperties,
        Role.WORK_AREA: WorkAreaProperties,
        Role.DANGER: DangerProperties,
        Role.POST: PostProperties,
    }
)
