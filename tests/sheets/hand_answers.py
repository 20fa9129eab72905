"""What crews ask, answered by hand for the site plans made by hand; none of its figures is computed."""

from atlas.plan.crew_results import (
    BackUp,
    CrewAnswers,
    DangerBelow,
    Decision,
    DecisionNumber,
    FarFerryLost,
    HandOver,
    NoGo,
    PostsInTime,
    PulseCheck,
    ReachedWater,
    SlackAllowed,
    Thrower,
    TrackAnswers,
    TrackParted,
)


def square(x, y, size):
    return (((x, y), (x + size, y), (x + size, y + size), (x, y + size), (x, y)),)


def make_answers(frame, **changes):
    """Two dangers below, a spotter far enough up, one thrower in time at least."""
    middle_m, down_m = frame.span_m / 2, frame.reach_down_m
    bight = ((0.0, 0.0), (middle_m, 4.4), (frame.span_m, 0.0), (0.0, 0.0))
    values = {
        "dangers": (
            DangerBelow(
                kind="strainer", kind_text="strainer", note=None, seconds_s=14.6, along_m=9.5, aside_m=6.2,
                downstream_m=down_m + 7.0, last_catch_m=down_m + 1.4, last_catch_along_m=down_m + 2.0,
                catch_in_time=True,
            ),
            DangerBelow(
                kind="bridge_pier", kind_text="bridge_pier", note="middle pier", seconds_s=28.9, along_m=46.0,
                aside_m=0.0, downstream_m=64.0, last_catch_m=39.7, last_catch_along_m=40.1,
                catch_in_time=True,
            ),
        ),
        "hand_overs": (
            HandOver(line="messenger", diameter_m=0.008, drag_n_m=15.6, tight_n=1393.0, slack_n=437.0,
                     tight_people=7, slack_people=2),
            HandOver(line="track", diameter_m=0.0125, drag_n_m=24.3, tight_n=2170.0, slack_n=681.0,
                     tight_people=10, slack_people=4),
        ),
        "posts": PostsInTime(
            spotter_needed_m=126.4, spotter_m=150.0,
            throwers=(Thrower(at=(3.0, 55.0), bank="near", seconds_s=9.4, ways_share=0.5),),
            in_time_least=0, in_time_most=1, covered_share=0.5,
        ),
        "reached": ReachedWater(share=0.943, ground=(square(middle_m - 3.0, down_m - 6.0, 5.0),)),
        "no_go": NoGo(
            parts=(("bight", ((bight,),)), ("behind T1", (square(-10.0, -4.0, 8.0),))),
            loaded=((bight,), square(-10.0, -4.0, 8.0)),
            whole=((bight,), square(-10.0, -4.0, 8.0)),
        ),
        "decisions": (
            Decision("before_crossing", (DecisionNumber("float_seconds_s", 10.8),
                                         DecisionNumber("hand_over_people", 4.0))),
            Decision("before_loading_boat", (DecisionNumber("pulse_from_s", 6.04),
                                             DecisionNumber("pulse_to_s", 8.11))),
            Decision("every_interval", (DecisionNumber("interval_s", 900.0),
                                        DecisionNumber("rise_to_stop_m", 0.13))),
            Decision("stop_words", ()),
        ),
        "release_order": ("up-down", "track", "ferry-far", "ferry-near"),
        "knives": ("up_down", "far_bank"),
    }  # fmt: skip
    return CrewAnswers(**(values | changes))


def make_track_answers(frame, **changes):
    """The ferry lines hold the boat; without the far one the carriage runs to the near bank."""
    values = {
        "pulse": PulseCheck(returns=10, dry_s=(5.13, 8.14), wet_s=(6.03, 9.6), from_s=6.03, to_s=8.14),
        "track_parted": TrackParted(
            drift_m=1.83,
            lines=(
                BackUp(line="ferry-near", load_n=2140.0, sudden_n=4280.0, factor=4.44, anchor="F1",
                       anchor_hold_n=30e3, anchor_ratio=7.0),
                BackUp(line="ferry-far", load_n=2310.0, sudden_n=4620.0, factor=4.12, anchor="S1",
                       anchor_hold_n=None, anchor_ratio=None),
            ),
            factor_needed=4.0,
        ),
        "far_ferry_lost": FarFerryLost(
            from_m=0.85 * frame.span_m, rest_m=5.6, at_end=False, swept_from_m=1.2,
            swept_to_m=0.85 * frame.span_m, boat_at=(6.0, frame.reach_down_m),
            ground=(square(1.0, 0.0, 9.0),),
        ),
        "slack": (SlackAllowed("boat-held", 1.42), SlackAllowed("boat-swamped", 0.0)),
    }  # fmt: skip
    return TrackAnswers(**(values | changes))
