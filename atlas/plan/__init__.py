"""Everything computed for one site: one frozen SitePlan."""

from atlas.plan.build import plan_site, plan_sites
from atlas.plan.results import Assumed, Caution, LimitUsed, PostPlan, SitePlan
from atlas.plan.rig_results import (
    AnchorPlan,
    AnchorPull,
    CaseResult,
    CrewPost,
    GearNeed,
    Limit,
    LinePlan,
    Note,
    Part,
    RigPlan,
    StageResult,
    Take,
)
from atlas.plan.track_results import (
    Haul,
    LoadPlace,
    Profile,
    TrackCase,
    TrackLineRig,
    TrackRope,
    TrackStage,
    Window,
)

__all__ = [
    "AnchorPlan",
    "AnchorPull",
    "Assumed",
    "CaseResult",
    "Caution",
    "CrewPost",
    "GearNeed",
    "Haul",
    "Limit",
    "LimitUsed",
    "LinePlan",
    "LoadPlace",
    "Note",
    "Part",
    "PostPlan",
    "Profile",
    "RigPlan",
    "SitePlan",
    "StageResult",
    "Take",
    "TrackCase",
    "TrackLineRig",
    "TrackRope",
    "TrackStage",
    "Window",
    "plan_site",
    "plan_sites",
]
