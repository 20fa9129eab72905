"""Survey files to checked sites: GeoJSON, GeoPackage, KML."""

from atlas.survey.raw import RawFeature, RawSurvey
from atlas.survey.read_sites import BrokenSite, SurveyResult, read_sites, read_survey

__all__ = ["BrokenSite", "RawFeature", "RawSurvey", "SurveyResult", "read_sites", "read_survey"]
