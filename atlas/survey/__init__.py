"""Survey files to checked sites: GeoJSON, GeoPackage, KML."""

from atlas.survey.raw import RawFeature, RawSurvey
from atlas.survey.read_sites import BrokenSite, SurveyResult, read_sites, read_survey
from atlas.survey.written import site_geojson

__all__ = [
    "BrokenSite",
    "RawFeature",
    "RawSurvey",
    "SurveyResult",
    "read_sites",
    "read_survey",
    "site_geojson",
]
