"""Width, speed and drag of the river at any stage."""

from atlas.water.asked_row import ASKED, AskedWater, asked_row
from atlas.water.drag import drag_n, water_density_kg_m3
from atlas.water.flood import FloodPlace, flood_place
from atlas.water.gauged import GaugedRiver, GaugedState
from atlas.water.limit_stages import StagesAtSpeed, stages_at_speed
from atlas.water.notes import StageSettings
from atlas.water.power_fit import PowerFit, fit_power
from atlas.water.rating import RatingFit, fit_rating, interpolate_rating
from atlas.water.river_model import RiverModel, RiverState, river_model, river_state
from atlas.water.seasons import Seasons, days_outside
from atlas.water.speeds import surface_from_section_mean_m_s, surface_from_vertical_mean_m_s
from atlas.water.stages import StageRow, stage_rows
from atlas.water.trend import rise_rate_m_s

__all__ = [
    "ASKED",
    "AskedWater",
    "FloodPlace",
    "GaugedRiver",
    "GaugedState",
    "PowerFit",
    "RatingFit",
    "RiverModel",
    "RiverState",
    "Seasons",
    "StageRow",
    "StageSettings",
    "StagesAtSpeed",
    "asked_row",
    "days_outside",
    "drag_n",
    "fit_power",
    "fit_rating",
    "flood_place",
    "interpolate_rating",
    "rise_rate_m_s",
    "river_model",
    "river_state",
    "stage_rows",
    "stages_at_speed",
    "surface_from_section_mean_m_s",
    "surface_from_vertical_mean_m_s",
    "water_density_kg_m3",
]
