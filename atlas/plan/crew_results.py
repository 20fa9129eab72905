"""What crews ask on the bank and nobody prints: the answers of one rig at one site, SI and unrounded.

Places and grounds are in the site's frame. Heights are over the water of the survey day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from atlas.frame import Point

Ring: TypeAlias = tuple[Point, ...]
Ground: TypeAlias = tuple[tuple[Ring, ...], ...]
"""Polygons, each its shell and then its holes [m]; none where there is no such ground."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerBelow:
    """A danger that what floats free comes to.

    Attributes
    ----------
    kind, kind_text : as surveyed
    seconds_s : least time from where the boat may be to the first of it [s]
    along_m : way down the flow until then [m]
    aside_m : how far it lies beside the straight way; 0 where the way leads into it [m]
    downstream_m : the first of it below the track line, square to the chord [m]
    last_catch_m : below the track line, where a throw must begin to end above it; negative above [m]
    last_catch_along_m : the same along the flow from the near tie point [m]
    catch_in_time : whether the last place to throw from lies below where the boat works farthest down
    """

    kind: str
    kind_text: str
    note: str | None
    seconds_s: float
    along_m: float
    aside_m: float
    downstream_m: float
    last_catch_m: float
    last_catch_along_m: float
    catch_in_time: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """What a line pulls that touches the water from bank to bank while it is brought over.

    Attributes
    ----------
    tight_n, slack_n : pull at its end, kept tight and slack [N]
    tight_people, slack_people : who hold that by hand
    """

    line: str
    diameter_m: float
    drag_n_m: float
    tight_n: float
    slack_n: float
    tight_people: int
    slack_people: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Thrower:
    """A surveyed post below the rig, from which bags are thrown.

    Attributes
    ----------
    at : the post
    bank : near or far, as the post lies from the middle of the water carried on along the flow
    seconds_s : longest a swimmer is within its reach, over the ways a swimmer may go [s]
    ways_share : share of those ways on which that is long enough for a throw
    """

    at: Point
    bank: str
    seconds_s: float
    ways_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PostsInTime:
    """Whether the posts are where time asks for them.

    Attributes
    ----------
    spotter_needed_m : least way of the upstream spotter above the rig, along the flow [m]
    spotter_m : that of the surveyed post that is farthest up; None where none is surveyed [m]
    throwers : surveyed posts below
    in_time_least, in_time_most : throwers with a long enough window, on the worst way and the best
    covered_share : share of the ways on which at least one has it
    """

    spotter_needed_m: float
    spotter_m: float | None
    throwers: tuple[Thrower, ...]
    in_time_least: int
    in_time_most: int
    covered_share: float

    @property
    def spotter_in_time(self) -> bool | None:
        """Whether the surveyed spotter stands far enough up; None where none is surveyed."""
        return None if self.spotter_m is None else self.spotter_m >= self.spotter_needed_m


@dataclass(frozen=True, slots=True)
class ReachedWater:
    """The part of the work area in which the boat can be held; `share` of it, 0 to 1."""

    share: float
    ground: Ground


@dataclass(frozen=True, slots=True)
class DecisionNumber:
    """A number that decides: its name in the data schema, and its value in SI."""

    name: str
    value: float


@dataclass(frozen=True, slots=True)
class Decision:
    """A decision point with its numbers; codes in the order of the work."""

    code: str
    numbers: tuple[DecisionNumber, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoGo:
    """Ground on which nobody stands while lines are loaded.

    Attributes
    ----------
    parts : by what makes it: ``bight``, ``behind <anchor>``, ``far_ferry_lost`` and so on
    loaded : in the bight of loaded lines and behind loaded anchors, with the margin about it
    whole : that, and what a lost line would sweep
    """

    parts: tuple[tuple[str, Ground], ...]
    loaded: Ground
    whole: Ground


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewAnswers:
    """What every rig answers.

    Attributes
    ----------
    dangers : those the boat comes to when it is let go, the soonest first
    hand_overs : of the lines that are brought over through the water
    reached : None where no work area was drawn
    release_order : lines, the first to be let go first
    knives : the two stations at which a knife is carried
    """

    dangers: tuple[DangerBelow, ...]
    hand_overs: tuple[HandOver, ...]
    posts: PostsInTime
    reached: ReachedWater | None
    no_go: NoGo
    decisions: tuple[Decision, ...]
    release_order: tuple[str, ...]
    knives: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseCheck:
    """Seconds in which a pulse struck into the set line comes back so often, the carriage off the line.

    Attributes
    ----------
    dry_s, wet_s : from the quickest to the slowest that the window allows a dry, a wet rope
    from_s, to_s : between which it is inside the window whatever water it holds; None where no time shows it
    """

    returns: int
    dry_s: tuple[float, float]
    wet_s: tuple[float, float]
    from_s: float | None
    to_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BackUp:
    """One line that holds ring and boat after the track line has parted, and its anchor.

    Attributes
    ----------
    load_n : greatest tension at rest, over the carriage's travel [N]
    sudden_n : that, come on suddenly, by policy [N]
    factor : strength, wet and with its end, over `sudden_n`
    anchor : tag of its station
    anchor_hold_n : as rated; None where it is not [N]
    anchor_ratio : that over `sudden_n`
    """

    line: str
    load_n: float
    sudden_n: float
    factor: float
    anchor: str
    anchor_hold_n: float | None
    anchor_ratio: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackParted:
    """The track line parts: ring and boat hang on the ferry lines.

    Attributes
    ----------
    drift_m : how far the bow moves until it is at rest, at most [m]
    factor_needed : of the lines as a back-up
    """

    drift_m: float
    lines: tuple[BackUp, ...]
    factor_needed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FarFerryLost:
    """The far ferry line is lost with the carriage at the far end of its travel.

    Attributes
    ----------
    from_m : x of the carriage when it is lost [m]
    rest_m : x where it comes to rest, or the end of the line it runs to, where `at_end` [m]
    swept_from_m, swept_to_m : x between which it may run [m]
    boat_at : the bow, when the carriage has come to rest
    ground : that ring, boat and the lines left to them may sweep
    """

    from_m: float
    rest_m: float
    at_end: bool
    swept_from_m: float
    swept_to_m: float
    boat_at: Point
    ground: Ground


@dataclass(frozen=True, slots=True)
class SlackAllowed:
    """Slack in the up-down line that keeps the snatch inside plan [m].

    None where no slack within the line's own length passes the limit.
    """

    case: str
    slack_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackAnswers:
    """What a rig with a track line answers besides.

    Attributes
    ----------
    pulse : None without a window
    slack : by case, the held boat first
    """

    pulse: PulseCheck | None
    track_parted: TrackParted
    far_ferry_lost: FarFerryLost
    slack: tuple[SlackAllowed, ...]
