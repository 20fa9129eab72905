"""The river at any stage: speed and width carried from the stages at which it was seen to others.

Everything runs on flow depth, depth = rise over the survey day's water + depth of that day. With three
noted stages or more a power law of depth is fitted to them; with fewer the highest note is scaled by
the at-a-station exponents of Leopold and Maddock (USGS PP 252, 1953): width Q^0.26, depth Q^0.40,
velocity Q^0.34, so that velocity goes as depth^0.85 and width as depth^0.65.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.records import Access
from atlas.water.gauged import GaugedRiver, gauged_river
from atlas.water.line_fit import LineFit, fit_line
from atlas.water.notes import DEPTH_EXPONENT, SAME_STAGE_M, Seen, StageSettings, seen_of

__all__ = ["RiverModel", "RiverState", "river_model", "river_state"]

SPEED_OVER_DEPTH = 0.34 / DEPTH_EXPONENT
WIDTH_OVER_DEPTH = 0.26 / DEPTH_EXPONENT
STAGES_TO_FIT = 3
DEPTHS_APART_LEAST = 1.1
"""Greatest over least depth of the points of a fit: closer, and its slope is the scatter's."""
DEPTH_LEAST_SHARE = 0.05
"""Water shallower than this share of the reference depth is taken as this deep: the laws end there."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A quantity against depth: fitted where `line` is there, else scaled from one value.

    Attributes
    ----------
    line : logarithm of the quantity against logarithm of depth, or None
    depth_m, value : the reference of the scaled curve
    exponent : of depth, scaled
    margin : surplus of the upper end, scaled [1]
    level : of the interval whose upper end is taken, fitted [1]
    """

    line: LineFit | None
    depth_m: float
    value: float
    exponent: float
    margin: float
    level: float

    def middle(self, depth_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """The most likely value."""
        if self.line is None:
            return self.value * (depth_m / self.depth_m) ** self.exponent
        return np.exp(self.line.at(np.log(depth_m)))

    def upper(self, depth_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """The upper end of the interval, or the middle with its margin."""
        if self.line is None:
            return self.middle(depth_m) * (1.0 + self.margin)
        x = np.log(depth_m)
        return np.exp(self.line.at(x) + self.line.half_width(x, level=self.level))


@dataclass(frozen=True, slots=True)
class Floor:
    """What was seen, which no modelled value goes below.

    Linear between what was seen and level above it. Level below it too: that lower water is slower was
    not seen, and a depth assumed from a width would make it slower than it is.

    Attributes
    ----------
    rise_m, value : by rising water; `value` is the greatest seen up to there
    """

    rise_m: tuple[float, ...]
    value: tuple[float, ...]

    def at(self, rise_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """The floor at any rise."""
        return np.interp(rise_m, self.rise_m, self.value)


@dataclass(frozen=True, slots=True)
class RiverModel:
    """The river at one site at any water.

    Attributes
    ----------
    datum_stage_m : stage of the survey day's water, None where no stage is known [m]
    datum_depth_m : flow depth of that day [m]
    depth_least_m : depths are not taken below this [m]
    lowest_rise_m, highest_rise_m : between these the river was seen [m]
    gauged : where it is there, speed and width at a stage are its, and not those of the curves of depth
    assumed : codes that hold for every modelled row
    """

    datum_stage_m: float | None
    datum_depth_m: float
    depth_least_m: float
    speed: Curve
    width: Curve
    speed_floor: Floor
    width_floor: Floor
    lowest_rise_m: float
    highest_rise_m: float
    seen: tuple[Seen, ...]
    assumed: tuple[str, ...]
    gauged: GaugedRiver | None = None


@dataclass(frozen=True, slots=True)
class RiverState:
    """Modelled speed and width, arrays of one shape.

    Attributes
    ----------
    surface_speed_m_s : most likely fastest surface thread [m/s]
    design_speed_m_s : upper end of its interval, or with its margin; never below what was seen at this
        or lower water, nor below the lowest note [m/s]
    width_m : [m]
    beyond_survey : above the highest or below the lowest noted stage; with a gauge, past the measured flows
    raised : the design speed was raised to what was seen
    discharge_m3_s : median; None without a gauge
    """

    surface_speed_m_s: NDArray[np.float64]
    design_speed_m_s: NDArray[np.float64]
    width_m: NDArray[np.float64]
    beyond_survey: NDArray[np.bool_]
    raised: NDArray[np.bool_]
    discharge_m3_s: NDArray[np.float64] | None = None


def river_model(access: Access, *, width_m: float, settings: StageSettings) -> RiverModel:
    """The river of a site from its flow notes.

    Parameters
    ----------
    access : the site's access feature; stage and flow_notes are read
    width_m : of the survey day, along the track line [m]
    settings : policy

    Raises
    ------
    OutOfRange
        No flow note, or a note without a usable speed.

    Notes
    -----
    A power law is fitted where the notes have three stages or more, depths that differ by a tenth, and
    speeds that rise with them by more than their scatter at the interval's level; else the highest
    note is scaled, because a fit that cannot tell a rise from none says nothing of higher water.
    Where a gauge is kept, and it is known how the site lies to it, field measurements and notes together
    give speed and width at a stage, see `atlas.water.gauged`.
    """
    datum_m, seen = seen_of(access, width_m=width_m, settings=settings)
    usable = tuple(one for one in seen if one.stage_m is not None) or seen
    depth_m, depth_codes = _datum_depth(usable, width_m=width_m, settings=settings)
    speeds = [(one.rise_m, one.surface_speed_m_s) for one in usable]
    widths = _widths(usable, width_m=width_m)
    # a highest note without a width is at least as wide as the widest water seen below it
    widest = (max(usable[-1].rise_m, widths[-1][0]), max(value for _, value in widths))
    line = _surely_rising(_line_through(speeds, depth_m), level=settings.level)
    speed = _curve(line, speeds[-1], depth_m, exponent=SPEED_OVER_DEPTH, settings=settings)
    width = _curve(
        _line_through(widths, depth_m), widest, depth_m, exponent=WIDTH_OVER_DEPTH, settings=settings
    )
    gauged = gauged_river(access, settings) if datum_m is not None else None
    return RiverModel(
        datum_stage_m=datum_m,
        datum_depth_m=depth_m,
        depth_least_m=DEPTH_LEAST_SHARE * speed.depth_m,
        speed=speed,
        width=width,
        speed_floor=_floor(speeds),
        width_floor=_floor(widths),
        lowest_rise_m=usable[0].rise_m,
        highest_rise_m=usable[-1].rise_m,
        seen=seen,
        assumed=_how_gauged(gauged)
        if isinstance(gauged, GaugedRiver)
        else _how(speed, len(usable)) + depth_codes + ((gauged,) if gauged is not None else ()),
        gauged=gauged if isinstance(gauged, GaugedRiver) else None,
    )


def river_state(model: RiverModel, *, rise_m: ArrayLike) -> RiverState:
    """Modelled speed and width at any rise over the survey day's water; broadcasts.

    Parameters
    ----------
    model : of the site
    rise_m : stage less `model.datum_stage_m`, any shape [m]

    Notes
    -----
    Also at a noted stage this is the model's answer, with its margin; what was noted there stands in
    `model.seen`.
    """
    rise = np.asarray(rise_m, dtype=np.float64)
    if model.gauged is not None and model.datum_stage_m is not None:
        return _gauged_state(model, model.gauged, rise, stage_m=model.datum_stage_m + rise)
    depth = np.maximum(rise + model.datum_depth_m, model.depth_least_m)
    modelled = model.speed.upper(depth)
    floor = model.speed_floor.at(rise)
    width = np.maximum(model.width.middle(depth), model.width_floor.at(rise))
    beyond = (rise > model.highest_rise_m + SAME_STAGE_M) | (rise < model.lowest_rise_m - SAME_STAGE_M)
    return RiverState(
        surface_speed_m_s=model.speed.middle(depth),
        design_speed_m_s=np.maximum(modelled, floor),
        width_m=width,
        beyond_survey=beyond,
        raised=floor > modelled,
    )


def _gauged_state(
    model: RiverModel, gauged: GaugedRiver, rise: NDArray[np.float64], *, stage_m: NDArray[np.float64]
) -> RiverState:
    """As the gauge has it; no slower and no narrower than what was seen at this or lower water."""
    state = gauged.at(stage_m)
    middle, _, upper = state.speed_m_s
    width, _, widest = state.width_m
    floor = model.speed_floor.at(rise)
    return RiverState(
        surface_speed_m_s=middle,
        design_speed_m_s=np.maximum(upper, floor),
        width_m=np.maximum(np.where(state.beyond, widest, width), model.width_floor.at(rise)),
        beyond_survey=state.beyond,
        raised=floor > upper,
        discharge_m3_s=state.discharge_m3_s,
    )


def _how_gauged(gauged: GaugedRiver) -> tuple[str, ...]:
    """That the rows are the gauge's, and what was assumed of it, in codes."""
    return ("from_gauge",) if gauged.same_section else ("from_gauge", "gauge_upstream")


def _how(speed: Curve, stages: int) -> tuple[str, ...]:
    """How the speed is modelled, in codes."""
    if speed.line is not None:
        return ()
    scattered = ("notes_scattered",) if stages >= STAGES_TO_FIT else ()
    return ("scaled_from_highest_note", *scattered)


def _datum_depth(
    seen: Sequence[Seen], *, width_m: float, settings: StageSettings
) -> tuple[float, tuple[str, ...]]:
    """Flow depth of the survey day [m], from the highest note with a depth, else from a width.

    Without any depth it is the highest note's width that tells, if that note is to be scaled; if a
    curve is to be drawn through several notes, or a noted depth would leave the lowest of them dry, the
    lowest note's.
    """
    lowest, highest = seen[0], seen[-1]
    noted = [one.depth_m - one.rise_m for one in seen if one.depth_m is not None]
    if noted and lowest.rise_m + noted[-1] > DEPTH_LEAST_SHARE * (highest.rise_m + noted[-1]):
        return noted[-1], ()
    basis = lowest if noted or len(seen) >= STAGES_TO_FIT else highest
    return (basis.width_m or width_m) / settings.width_to_depth - basis.rise_m, ("depth_assumed",)


def _widths(seen: Sequence[Seen], *, width_m: float) -> list[tuple[float, float]]:
    """Rise and width by rising water: those noted, and that of the survey day."""
    widths = [(one.rise_m, one.width_m) for one in seen if one.width_m is not None]
    if not any(abs(rise_m) < SAME_STAGE_M for rise_m, _ in widths):
        widths.append((0.0, width_m))
    return sorted(widths)


def _curve(
    line: LineFit | None,
    highest: tuple[float, float],
    datum_depth_m: float,
    *,
    exponent: float,
    settings: StageSettings,
) -> Curve:
    """The fit, where there is one, else the highest point scaled."""
    rise_m, value = highest
    return Curve(line, rise_m + datum_depth_m, value, exponent, settings.margin, settings.level)


def _line_through(points: Sequence[tuple[float, float]], datum_depth_m: float) -> LineFit | None:
    """Logarithm of value against that of depth, or None where the points cannot carry a curve."""
    rise, value = np.array(points).T
    depth = rise + datum_depth_m
    deepest = float(depth.max())
    if len(points) < STAGES_TO_FIT or np.any(value <= 0.0) or np.any(depth < DEPTH_LEAST_SHARE * deepest):
        return None
    if deepest < DEPTHS_APART_LEAST * float(depth.min()):
        return None
    line = fit_line(np.log(depth), np.log(value))
    return line if line.slope > 0.0 else None


def _surely_rising(line: LineFit | None, *, level: float) -> LineFit | None:
    """The line, if its slope is above nothing by more than its own uncertainty at this level."""
    if line is None or line.slope <= line.reach(level) / np.sqrt(line.spread_x):
        return None
    return line


def _floor(points: Sequence[tuple[float, float]]) -> Floor:
    rises, values = zip(*points, strict=True)
    return Floor(rises, tuple(np.maximum.accumulate(values).tolist()))
