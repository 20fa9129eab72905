"""The access feature: what a survey says of the site as a whole."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from atlas.records import Access, FlowNote, LonLat
from atlas.survey.geometry import read_shapes
from atlas.survey.known import Known
from atlas.survey.properties import COMMON, AccessProperties, LockOff, Water
from atlas.survey.raw import RawFeature
from atlas.survey.report import Report
from atlas.survey.table import Values, read_values
from atlas.units import shown_raw

__all__ = ["SurveyedAccess", "read_access"]

_T: Final = AccessProperties
_NOT_READ: Final = date.min
"""Stands for a survey date that could not be read, in a site that is never handed on."""


@dataclass(frozen=True, slots=True)
class SurveyedAccess:
    """An access feature as far as it could be read.

    Attributes
    ----------
    number : of the feature in its file
    name : the site's, where it could be read
    record : None where it has no place; where something else is faulty, it is left out of the record,
        which then serves for finding more faults and nothing else
    framed : what the site's geometry is computed from could be read
    """

    number: int
    name: str | None
    record: Access | None
    framed: bool


def read_access(feature: RawFeature, report: Report, known: Known, *, placed: bool) -> SurveyedAccess:
    """Read and check one access feature.

    Parameters
    ----------
    feature : with the role `access`
    report : at the feature, with its site
    known : reaches and agencies
    placed : its coordinates are worth looking at
    """
    values = read_values(_T, feature.properties, report, also=COMMON)
    _check_reach(values, report, known)
    _check_agency(values, report, known)
    if values.get(_T.flow_notes) is None and not values.is_faulty(_T.flow_notes):
        report.at(field=_T.flow_notes.name).warn(
            "no_flow_notes",
            "no flow note: no speed of the water is known",
            todo="measure a speed with the stage it belongs to",
        )
    shapes = read_shapes(feature.geometry, report, kinds=("point",), single=True) if placed else None
    place = shapes[0].parts[0][0] if shapes else None
    framed = not values.is_faulty(_T.near_bank, _T.flow_toward, _T.width, _T.reach_down)
    record = None if place is None else _record(values, place, known)
    return SurveyedAccess(feature.number, values.get(_T.name), record, framed)


def _check_reach(values: Values, report: Report, known: Known) -> None:
    code = values.get(_T.reach)
    if code is None:
        return
    here = report.at(field=_T.reach.name)
    if known.reach(code) is None:
        here.error(
            "reach_unknown",
            "the county has no such reach",
            got=shown_raw(code),
            allowed=", ".join(reach.code for reach in known.county.reaches),
            todo="correct it, or add the reach to county.toml",
        )
    elif report.site is not None and report.site.partition("-")[0] != code:
        here.error(
            "site_not_in_reach",
            "the site's code does not begin with its reach",
            got=f"site {report.site}, reach {code}",
            allowed=f"a site code like {code}-01",
            todo="correct the site's code or its reach",
        )


def _check_agency(values: Values, report: Report, known: Known) -> None:
    code = values.get(_T.agency)
    if code is None or known.agency_codes is None or code in known.agency_codes:
        return
    report.at(field=_T.agency.name).error(
        "agency_unknown",
        "no cache names such an agency",
        got=shown_raw(code),
        allowed=", ".join(sorted(known.agency_codes)),
        todo="correct it, or add the agency to caches.toml",
    )


def _settled(note: FlowNote, stage_m: float | None) -> FlowNote:
    """A note without stage and discharge was taken at the survey day's stage, as far as anyone knows."""
    if note.stage_m is not None or note.discharge_m3_s is not None:
        return note
    return replace(note, stage_m=stage_m, stage_assumed=True)


def _record(values: Values, place: LonLat, known: Known) -> Access:
    stage_m = values.get(_T.stage)
    reach = known.reach(values.get(_T.reach))
    return Access(
        place=place,
        name=values.get(_T.name) or "",
        reach=values.get(_T.reach) or "",
        agency=values.get(_T.agency) or "",
        surveyed=values.get(_T.surveyed) or _NOT_READ,
        river=values.get(_T.river) or (reach.river if reach else ""),
        near_bank=values.get(_T.near_bank),
        flow_toward_deg=values.get(_T.flow_toward),
        width_m=values.get(_T.width),
        reach_down_m=values.get(_T.reach_down),
        stage_m=stage_m,
        planning_stage_m=values.get(_T.planning_stage),
        gauge=values.get(_T.gauge),
        rig=values.get(_T.rig),
        tied_off=values.get(_T.lock_off) is LockOff.TIED_OFF,
        road=values.get(_T.road),
        far_access=values.get(_T.far_access),
        far_minutes=values.get(_T.far_minutes),
        near_run_m=values.get(_T.near_run),
        launch_method=values.get(_T.launch_method),
        dam=values.get(_T.dam),
        radio=values.get(_T.radio),
        medical=values.get(_T.medical),
        permission=values.get(_T.permission),
        dangers=values.get(_T.dangers) or (),
        cold_water=values.get(_T.water) is Water.COLD,
        notes=values.get(_T.notes),
        flow_notes=tuple(_settled(note, stage_m) for note in values.get(_T.flow_notes) or ()),
    )
