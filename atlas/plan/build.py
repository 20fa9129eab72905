"""One site, computed: survey and settings in, one frozen `SitePlan` out."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from types import MappingProxyType

from atlas.faults import AtlasError, EngineeringError, NoSolution
from atlas.frame import FrameProblem, SiteFrame, Stations, site_frame, stations
from atlas.plan.caches import Caches
from atlas.plan.called import agencies_used
from atlas.plan.cautions import cautions_of, facts_of
from atlas.plan.choice import Computed, chosen_rig
from atlas.plan.comers import comers_of
from atlas.plan.context import Context
from atlas.plan.places import lonlat_of
from atlas.plan.provenance import assumed_values, limits_used
from atlas.plan.results import PostPlan, SitePlan
from atlas.plan.rig_results import RigPlan
from atlas.plan.rigs import rigs_of
from atlas.plan.warnings import warnings_of
from atlas.records import Agency, County, Reach, Site
from atlas.settings import PolicyValues, Settings
from atlas.units import UnitSystem
from atlas.water import AskedWater, StageRow, StageSettings, asked_row, river_model, stage_rows

__all__ = ["months_after", "plan_site", "plan_sites", "stage_settings"]

NO_WATERS: Mapping[str, AskedWater] = MappingProxyType({})
"""Nothing is asked about today's water."""
_BATCH = 64
"""Sites computed together: more are not quicker, and a site that cannot be computed spoils fewer."""


def months_after(day: date, months: int) -> date:
    """The same day of the month so many months on; the month's last day where it is shorter."""
    index = day.month - 1 + months
    year, month = day.year + index // 12, index % 12 + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _frame(site: Site) -> SiteFrame:
    frame = site_frame(site)
    if isinstance(frame, SiteFrame):
        return frame
    problems: tuple[FrameProblem, ...] = frame
    raise NoSolution("; ".join(f"{problem.what} (got {problem.got}): {problem.todo}" for problem in problems))


def stage_settings(policy: PolicyValues) -> StageSettings:
    """What policy says of the rows of the level table."""
    loads, rules = policy.loads, policy.stages
    return StageSettings(
        vertical_ratio=loads.surface_from_vertical,
        section_ratio=loads.surface_from_section,
        margin=loads.one_note_margin,
        level=loads.interval_level,
        width_to_depth=loads.width_to_depth,
        rows_above=int(rules.rows_above),
        row_step_m=rules.row_step,
    )


def _rows(
    site: Site, frame: SiteFrame, policy: PolicyValues, water: AskedWater | None
) -> tuple[StageRow, ...]:
    """The level table, lowest first; with the water asked about after a row as high."""
    settings = stage_settings(policy)
    rows = stage_rows(site.access, width_m=frame.width_m, settings=settings)
    if water is None:
        return rows
    asked = asked_row(site.access, rows, water, width_m=frame.width_m, settings=settings)
    return tuple(sorted((*rows, asked), key=lambda row: row.rise_m))


def _stations(frame: SiteFrame, policy: PolicyValues, *, rise_m: float) -> Stations:
    """Stations on anchors that the planning stage does not drown."""
    dry = tuple(anchor for anchor in frame.anchors if anchor.height_m > rise_m)
    return stations(
        replace(frame, anchors=dry),
        ferry_upriver_most_m=policy.stations.ferry_upriver_most,
        ferry_upriver_of_span=policy.stations.ferry_upriver_of_span,
        up_down_downriver_m=policy.stations.up_down_downriver,
    )


@dataclass(frozen=True, slots=True)
class _Agencies:
    """Everybody with their caches, and those who are committed elsewhere."""

    everybody: tuple[Agency, ...]
    caches: Caches
    away: frozenset[str] = frozenset()

    @classmethod
    def of(cls, agencies: Sequence[Agency]) -> _Agencies:
        """Nobody committed elsewhere."""
        return cls(tuple(agencies), Caches.of(agencies))

    @property
    def there(self) -> tuple[Agency, ...]:
        """Those who can come."""
        return tuple(agency for agency in self.everybody if agency.code not in self.away)


def _context(
    site: Site, agencies: _Agencies, settings: Settings, units: UnitSystem, water: AskedWater | None
) -> Context:
    policy = settings.policy.values
    frame = _frame(site)
    rows = _rows(site, frame, policy, water)
    planning = next(row for row in rows if row.planning)
    return Context(
        site=site,
        frame=frame,
        comers=comers_of(site, agencies.there, policy),
        caches=agencies.caches,
        policy=policy,
        rig=next((rig for rig in settings.rigs if rig.name == site.access.rig), settings.rigs[0]),
        gear=settings.gear,
        words=settings.words,
        units=units,
        stations=_stations(frame, policy, rise_m=planning.rise_m),
        river=river_model(site.access, width_m=frame.width_m, settings=stage_settings(policy)),
        rows=rows,
    )


def _posts(site: Site, frame: SiteFrame) -> tuple[PostPlan, ...]:
    return tuple(
        PostPlan(
            kind=post.kind,
            place=post.place,
            at=placed.at,
            downstream_m=placed.at[1],
            note=post.note,
        )
        for post, placed in zip(site.posts, frame.posts, strict=True)
    )


def _require_agency(site: Site, agencies: Sequence[Agency]) -> None:
    if all(agency.code != site.access.agency for agency in agencies):
        raise NoSolution(f"its agency {site.access.agency} has no cache: add it to caches.toml")


def _reach(site: Site, county: County) -> Reach:
    for reach in county.reaches:
        if reach.code == site.access.reach:
            return reach
    raise NoSolution(f"its reach {site.access.reach} is not the county's: add it to county.toml")


@dataclass(frozen=True, slots=True)
class _Asked:
    """One site to be planned, with all that is given of it."""

    site: Site
    reach: Reach
    context: Context
    away: frozenset[str]


def _asked(
    site: Site,
    *,
    county: County,
    agencies: _Agencies,
    settings: Settings,
    water: AskedWater | None,
) -> _Asked:
    _require_agency(site, agencies.everybody)
    context = _context(site, agencies, settings, UnitSystem(county.units), water)
    return _Asked(site, _reach(site, county), context, agencies.away)


def _site_plan(
    one: _Asked, rigs: Sequence[RigPlan], *, county: County, settings: Settings, as_of: date
) -> SitePlan:
    site, context, frame = one.site, one.context, one.context.frame
    valid_until = months_after(site.access.surveyed, int(context.policy.limits.survey_valid_months))
    overdue = as_of > valid_until
    rig = rigs[0]
    context = replace(context, rig=settings.rig(rig.rig))
    return SitePlan(
        site=site,
        county=county,
        reach=one.reach,
        agency=context.agency,
        as_of=as_of,
        edition=county.edition,
        valid_until=valid_until,
        overdue=overdue,
        frame=frame,
        access_place=site.access.place,
        near_tie_place=lonlat_of(frame, (0.0, 0.0)),
        far_tie_place=lonlat_of(frame, (frame.span_m, 0.0)),
        rigs=tuple(rigs),
        posts=_posts(site, frame),
        cautions=cautions_of(context, settings.cautions, facts_of(context, rig, overdue=overdue)),
        warnings=warnings_of(context, rig, overdue=overdue),
        assumed=assumed_values(context, settings.policy, rig),
        limits_used=limits_used(context, settings.policy, rig),
        comers=context.comers,
        without=tuple(sorted(one.away)),
        river=context.river,
    )


def _named(site: Site, cause: EngineeringError) -> EngineeringError:
    """The same error with the site's code before its text."""
    named = type(cause)(f"site {site.code}: {cause}")
    named.__cause__ = cause
    return named


def _chosen_first(one: _Asked, computed: Sequence[Computed]) -> tuple[RigPlan, ...] | AtlasError:
    """The rigs of a site, the one that is printed in full first and marked; or why none can be printed."""
    try:
        name = chosen_rig(one.site.access.rig, computed, one.context.policy.choice)
    except EngineeringError as error:
        return _named(one.site, error)
    rigs = [replace(rig, chosen=rig.rig == name) for rig, _ in computed]
    return tuple(sorted(rigs, key=lambda rig: not rig.chosen))


def _rigs(asked: Sequence[_Asked], settings: Settings) -> list[tuple[RigPlan, ...] | AtlasError]:
    """Every rig at every site of a batch."""
    computed = rigs_of([one.context for one in asked], settings.rigs)
    return [_chosen_first(one, rigs) for one, rigs in zip(asked, computed, strict=True)]


def _planned(
    sites: Sequence[Site],
    *,
    county: County,
    agencies: _Agencies,
    settings: Settings,
    as_of: date,
    waters: Mapping[str, AskedWater],
) -> list[SitePlan | AtlasError]:
    """Plans of sites with the agencies that can come."""
    asked: list[_Asked | AtlasError] = []
    for site in sites:
        try:
            asked.append(
                _asked(site, county=county, agencies=agencies, settings=settings, water=waters.get(site.code))
            )
        except EngineeringError as error:
            asked.append(_named(site, error))
    sound = [one for one in asked if isinstance(one, _Asked)]
    rigs = iter(
        [
            found
            for begin in range(0, len(sound), _BATCH)
            for found in _rigs(sound[begin : begin + _BATCH], settings)
        ]
    )
    plans: list[SitePlan | AtlasError] = []
    for one in asked:
        if not isinstance(one, _Asked):
            plans.append(one)
            continue
        found = next(rigs)
        if isinstance(found, AtlasError):
            plans.append(found)
        else:
            plans.append(_site_plan(one, found, county=county, settings=settings, as_of=as_of))
    return plans


def plan_sites(
    sites: Sequence[Site],
    *,
    county: County,
    agencies: Sequence[Agency],
    settings: Settings,
    as_of: date,
    waters: Mapping[str, AskedWater] = NO_WATERS,
    without: Collection[str] = (),
) -> tuple[SitePlan | AtlasError, ...]:
    """Compute everything of many sites, their statics together.

    Parameters
    ----------
    sites : checked surveys
    agencies : with their caches; a site's own agency is first due
    as_of : today, as the caller was told it
    waters : today's water by site, which gets a row of its own named ``asked``
    without : codes of agencies taken to be committed elsewhere. Sites are planned with them first; only
        those that used one are planned again, and the others stand, since an agency that is not among
        those needed changes nothing by its absence

    Returns
    -------
    for each site its plan, or the error for which it cannot be computed; no site spoils another
    """
    everybody = _Agencies.of(agencies)
    planned = partial(_planned, county=county, settings=settings, as_of=as_of, waters=waters)
    plans = planned(sites, agencies=everybody)
    if not without:
        return tuple(plans)
    away = frozenset(without)
    again = [number for number, plan in enumerate(plans) if not _stands(plan, away)]
    rest = planned([sites[number] for number in again], agencies=replace(everybody, away=away))
    for number, plan in zip(again, rest, strict=True):
        plans[number] = plan
    told = tuple(sorted(away))
    return tuple(
        replace(
            plan,
            without=told,
            comers=tuple(comer for comer in plan.comers if comer.agency.code not in away),
        )
        if isinstance(plan, SitePlan)
        else plan
        for plan in plans
    )


def _stands(plan: SitePlan | AtlasError, away: frozenset[str]) -> bool:
    """Whether a plan made with everybody used none of those who are away."""
    return isinstance(plan, SitePlan) and not any(agencies_used(rig) & away for rig in plan.rigs)


def plan_site(
    site: Site,
    *,
    county: County,
    agencies: Sequence[Agency],
    settings: Settings,
    as_of: date,
    without: Collection[str] = (),
) -> SitePlan:
    """Compute everything of one site: `plan_sites` of one.

    Raises
    ------
    OutOfRange, NoSolution
        The site cannot be computed; the text names it and says why.
    """
    (plan,) = plan_sites(
        [site], county=county, agencies=agencies, settings=settings, as_of=as_of, without=without
    )
    if isinstance(plan, AtlasError):
        raise plan
    return plan
