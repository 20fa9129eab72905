"""The workings of one site as data: the JSON object of schema 1, in SI and unrounded.

`atlas/schema/workings.schema.json` describes it. Keys may be added; those that are there keep
their meaning.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from atlas.faults import OutOfRange
from atlas.plan import SitePlan
from atlas.workings.gauge_facts import gauge_object
from atlas.workings.json_text import indented
from atlas.workings.rig_object import rig_object

__all__ = ["SCHEMA", "workings_json", "workings_object"]

SCHEMA = 1


def _survey(plan: SitePlan) -> dict[str, object]:
    access = plan.site.access
    return {
        "surveyed": access.surveyed.isoformat(),
        "valid_until": plan.valid_until.isoformat(),
        "overdue": plan.overdue,
        "river": access.river,
        "near_bank": plan.frame.near_bank.value,
        "county": plan.county.name,
        "invented": plan.county.invented,
        "agency": plan.agency.code,
        "without": list(plan.without),
        "places": {
            "access": list(plan.access_place),
            "near_tie": list(plan.near_tie_place),
            "far_tie": list(plan.far_tie_place),
        },
        "skew_deg": plan.frame.skew_deg,
    }


def _posts(plan: SitePlan) -> list[dict[str, object]]:
    return [
        {"post": post.kind.value, "place": list(post.place), "downstream_m": post.downstream_m}
        for post in plan.posts
    ]


def _said(plan: SitePlan) -> dict[str, object]:
    return {
        "cautions": [
            {"signal": caution.signal, "text": caution.text, "code": caution.code}
            for caution in plan.cautions
        ],
        "warnings": [{"code": warning.code, "text": warning.text} for warning in plan.warnings],
        "assumed": [
            {"what": value.code, "value": value.value, "unit": value.unit, "source": value.source}
            for value in plan.assumed
        ],
        "limits_used": [
            {"key": limit.key, "value": limit.value, "unit": limit.unit, "source": limit.source}
            for limit in plan.limits_used
        ],
    }


def _leaves(value: object, at: str) -> Iterator[tuple[str, float]]:
    """Every number within an object, with where it stands."""
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from _leaves(item, f"{at}.{key}")
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for number, item in enumerate(value):
            yield from _leaves(item, f"{at}[{number}]")
    elif isinstance(value, float):
        yield at, value


def _is_finite(value: object) -> bool:
    """Whether every number within an object is: asked of every site, so without telling where."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, dict):
        return all(map(_is_finite, value.values()))
    return not isinstance(value, list | tuple) or all(map(_is_finite, value))


def workings_object(plan: SitePlan) -> dict[str, object]:
    """Everything computed of one site, as the JSON object of schema 1.

    Parameters
    ----------
    plan : the site's plan

    Returns
    -------
    dict
        SI and unrounded; what is unknown is None. Keys in the order of the contract, added ones after.

    Raises
    ------
    OutOfRange
        A number is not finite; names it.
    """
    frame = plan.frame
    found: dict[str, object] = {
        "schema": SCHEMA,
        "site": plan.site.code,
        "name": plan.site.access.name,
        "reach": plan.reach.code,
        "edition": plan.edition,
        "as_of": plan.as_of.isoformat(),
        "span_m": frame.span_m,
        "chord_m": frame.chord_m,
        "rise_m": frame.rise_m,
        "width_m": frame.width_m,
        "setback_near_m": frame.setback_near_m,
        "setback_far_m": frame.setback_far_m,
        "reach_down_m": frame.reach_down_m,
        "rigs": [rig_object(rig) for rig in plan.rigs],
        **_said(plan),
        "survey": _survey(plan),
        "posts": _posts(plan),
        "gauge": gauge_object(plan),
    }
    if not _is_finite(found):
        leaves = _leaves(found, plan.site.code)
        endless = [at for at, number in leaves if not math.isfinite(number)]
        raise OutOfRange(f"the workings hold numbers that are not finite: {', '.join(endless)}")
    return found


def workings_json(plan: SitePlan) -> bytes:
    """`workings_object` as UTF-8 JSON, two spaces a level, a line feed at the end. Same plan, same bytes."""
    return f"{indented(workings_object(plan))}\n".encode()
