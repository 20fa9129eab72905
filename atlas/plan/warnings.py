"""What the reader must know beside the verdicts: coded warnings with their printed texts."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from atlas.plan.cautions import tags_height_assumed, tags_on_scene, tags_rating_assumed
from atlas.plan.context import Context
from atlas.plan.grounds import geometry_of_ground
from atlas.plan.lines import throw_m
from atlas.plan.rig_results import Note, RigPlan
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.plan.track_rope import far_wraps_thin
from atlas.records import PostKind
from atlas.units import Figure, printed

__all__ = ["launcher_reach_m", "warnings_of"]

_STOOD_AT = frozenset(
    {
        PostKind.COMMAND,
        PostKind.STAGING,
        PostKind.MEDICAL,
        PostKind.UPSTREAM_SPOTTER,
        PostKind.DOWNSTREAM_SAFETY,
    }
)
"""Posts where people stay while the rig is loaded."""
THROWN = frozenset({"hand_bag", "slingshot", "pneumatic", "cartridge"})


def launcher_reach_m(context: Context) -> float | None:
    """Reach of the surveyed launch method [m]: as the agency tested it, else policy's; None if not thrown."""
    method = context.site.access.launch_method
    if method not in THROWN:
        return None
    tested = [launcher.reach_m for launcher in context.agency.launchers if launcher.kind == method]
    return max(tested) if tested else float(getattr(context.policy.launchers, method))


@dataclass(frozen=True, slots=True)
class _Teller:
    context: Context
    rig: RigPlan

    def note(self, code: str, **values: str) -> Note:
        return Note(code=code, text=self.context.words(f"warning.{code}", **values))

    def shown(self, figure: Figure, value: float) -> str:
        return printed(figure, value, self.context.units).first

    def about_window(self, rig: TrackLineRig) -> list[Note]:
        if rig.window is None:
            return [self.note("window_empty")]
        return [] if rig.haul.fits else [self.note("no_haul_fits")]

    def about_ropes(self) -> list[Note]:
        notes = []
        for line in self.rig.lines:
            name = self.context.words(f"line.{line.line}")
            if line.nearest is None and line.short_m > 0.0:
                notes.append(self.note("rope_none", line=name))
            elif line.nearest is not None:
                short = self.shown(Figure.SHORT_LENGTH, line.short_m)
                notes.append(
                    self.note(
                        "rope_short",
                        line=name,
                        short=short,
                        rope=line.nearest.rope,
                        agency=line.nearest.agency,
                    )
                )
        if isinstance(self.rig, TrackLineRig) and self.rig.rope.agency is None:
            notes.append(self.note("planning_rope"))
        return notes

    def about_far_wraps(self, rig: TrackLineRig) -> list[Note]:
        if not far_wraps_thin(self.context, rope_diameter_m=rig.rope.diameter_m):
            return []
        least = self.context.policy.lines.wrap_anchor_diameters_least
        return [self.note("wrap_anchor_thin", tag=self.context.frame.track_far_tag, least=f"{least:g}")]

    def about_capture(self, rig: TrackLineRig) -> list[Note]:
        if rig.capture != "progress_capture" or rig.capture_limit_n is None:
            return []
        limit = self.shown(Figure.STRENGTH_HELD, rig.capture_limit_n)
        return [self.note("capture_default", limit=limit)]

    def about_room(self, rig: TrackLineRig) -> list[Note]:
        notes = []
        run_m = self.context.site.access.near_run_m
        needed_m = rig.haul.travel_m + self.context.policy.haul.anchor_clear_run
        if run_m is not None and run_m < needed_m:
            notes.append(
                self.note(
                    "haul_run_short",
                    needed=self.shown(Figure.HAUL_TRAVEL, needed_m),
                    run=self.shown(Figure.NEAR_RUN, run_m),
                )
            )
        return notes

    def about_launch(self) -> list[Note]:
        reach_m, needed_m = launcher_reach_m(self.context), throw_m(self.context)
        if reach_m is None:
            return []
        windy_m = reach_m * self.context.policy.launchers.into_wind
        if windy_m >= needed_m:
            return []
        code, reached_m = ("launcher_short", reach_m) if reach_m < needed_m else ("launcher_wind", windy_m)
        needed, reach = Figure.NEEDED_LENGTH, Figure.LAUNCHER_REACH
        return [self.note(code, needed=self.shown(needed, needed_m), reach=self.shown(reach, reached_m))]

    def about_answers(self) -> list[Note]:
        """Ferry lines or their anchors too weak as a back-up; answers that cannot be told."""
        if self.rig.untold is not None:
            return [self.note("answers_untold", why=self.rig.untold)]
        answers = self.rig.track_answers if isinstance(self.rig, TrackLineRig) else None
        if answers is None:
            return []
        least = answers.track_parted.factor_needed
        weak = [back_up for back_up in answers.track_parted.lines if back_up.factor < least]
        loose = [
            back_up
            for back_up in answers.track_parted.lines
            if back_up.anchor_ratio is not None and back_up.anchor_ratio < 1.0
        ]
        notes = [
            self.note(
                "back_up_weak",
                line=self.context.words(f"line.{back_up.line}"),
                factor=self.shown(Figure.FACTOR, back_up.factor),
                least=self.shown(Figure.FACTOR_NEEDED, least),
            )
            for back_up in weak
        ]
        return notes + [
            self.note(
                "back_up_anchor",
                tag=back_up.anchor,
                load=self.shown(Figure.TENSION, back_up.sudden_n),
            )
            for back_up in loose
        ]

    def about_posts(self) -> list[Note]:
        """Posts where nobody may stand while lines are loaded."""
        answers = self.rig.answers
        if answers is None:
            return []
        ground = geometry_of_ground(answers.no_go.loaded)
        there = [
            self.context.words(f"sheet.post.{post.kind.value}")
            for post in self.context.frame.posts
            if post.kind in _STOOD_AT and ground.covers(shapely.Point(post.at))
        ]
        posts = ", ".join(dict.fromkeys(there))
        return [self.note("post_in_no_go", posts=posts)] if there else []

    def about_survey(self, *, overdue: bool) -> list[Note]:
        notes = [
            self.note(code, tags=", ".join(tags))
            for code, tags in (
                ("stations_on_scene", tags_on_scene(self.rig)),
                ("height_assumed", tags_height_assumed(self.context.site)),
                ("rating_assumed", tags_rating_assumed(self.rig)),
            )
            if tags
        ]
        notes += self.about_set_aside()
        assumed = dict.fromkeys(code for row in self.rig.stages for code in row.assumed)
        notes += [self.note(code) for code in assumed]
        gauged = self.context.river.gauged
        if gauged is not None and gauged.dropped:
            notes.append(self.note("gauge_rows_dropped", count=f"{gauged.dropped}"))
        if any(row.beyond_survey for row in self.rig.stages):
            notes.append(self.note("beyond_survey"))
        if overdue:
            months = f"{self.context.policy.limits.survey_valid_months:g}"
            notes.append(self.note("overdue", months=months))
        return notes

    def about_set_aside(self) -> list[Note]:
        """Usable anchors surveyed for a use that they cannot serve from where they stand."""
        if isinstance(self.rig, TetherRig):
            tags = {tag for station in self.rig.stations for tag in station.set_aside}
            code = "bow_station_set_aside"
        else:
            stations = self.context.stations
            placed = (stations.ferry_near, stations.ferry_far, stations.up_down)
            tags = {tag for station in placed for tag in station.set_aside}
            code = "station_set_aside"
        return [self.note(code, tags=", ".join(sorted(tags)))] if tags else []


def warnings_of(context: Context, rig: RigPlan, *, overdue: bool) -> tuple[Note, ...]:
    """Warnings, those that bear on the verdict first."""
    teller = _Teller(context, rig)
    verdict: list[Note] = []
    hardware: list[Note] = []
    if isinstance(rig, TrackLineRig):
        verdict = teller.about_window(rig)
        hardware = [*teller.about_capture(rig), *teller.about_far_wraps(rig), *teller.about_room(rig)]
    elif isinstance(rig, TetherRig) and rig.work_area_assumed:
        verdict = [teller.note("work_area_assumed")]
    return (
        *verdict,
        *teller.about_ropes(),
        *hardware,
        *teller.about_launch(),
        *teller.about_answers(),
        *teller.about_posts(),
        *teller.about_survey(overdue=overdue),
    )
