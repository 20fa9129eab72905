"""What is warned of where the crews' questions have bad answers, or none."""

from dataclasses import replace
from math import hypot


def told(plan):
    return {note.code: note.text for note in plan.warnings}


def test_ferry_lines_too_weak_as_a_back_up_are_told(demo):
    """WEN-05, fast and wide: the far ferry line would hold under 4; at OT-01 both hold more."""
    (near, far) = demo.plans["WEN-05"].chosen.track_answers.track_parted.lines
    assert max(near.factor, far.factor) < 4.0
    found = [note.text for note in demo.plans["WEN-05"].warnings if note.code == "back_up_weak"]
    assert found == [
        f"If the track line parts: {name} holds with a factor of {int(line.factor * 10) / 10:.1f}, under 4.0"
        for name, line in (("Near ferry line", near), ("Far ferry line", far))
    ]
    quiet = demo.plans["OT-01"]
    assert min(line.factor for line in quiet.chosen.track_answers.track_parted.lines) >= 4.0
    assert "back_up_weak" not in told(quiet)


def test_a_ferry_anchor_that_would_be_pulled_out_is_told(demo):
    """PC-02: the far ferry line would pull with some 4 kN; an anchor of 3 kN does not hold that."""
    plan = demo.brief("PC-02")
    (_, far) = plan.chosen.track_answers.track_parted.lines
    assert 3000.0 < far.sudden_n < 6000.0
    assert "back_up_anchor" not in told(plan)
    anchors = tuple(
        replace(anchor, rating_n=3000.0) if anchor.tag == far.anchor else anchor
        for anchor in demo.sites["PC-02"].anchors
    )
    weak = told(demo.brief(replace(demo.sites["PC-02"], anchors=anchors)))["back_up_anchor"]
    pounds = -int(-far.sudden_n / 4.4482216152605 // 10) * 10
    assert weak == (
        f"If the track line parts: {far.anchor} is pulled with {pounds} lbf, more than it is rated to hold"
    )


def test_a_site_outside_what_the_answers_were_shown_for_still_is_planned(demo):
    """A boat 260 m below its carriage: no answers, and the plan says why."""
    far_down = replace(
        demo.sites["PC-02"], work_areas=(), access=replace(demo.sites["PC-02"].access, reach_down_m=260.0)
    )
    plan = demo.brief(far_down)
    assert plan.chosen.answers is None
    assert plan.chosen.track_answers is None
    assert told(plan)["answers_untold"].startswith(
        "Crews' questions are not answered here: strand_m: outside the range in which the answer was shown"
    )


def test_a_post_behind_a_loaded_anchor_is_told(demo):
    """PC-02: command stands within 10 m and a metre of N2, on the side that its line pulls away from."""
    plan = demo.plans["PC-02"]
    (command,) = [post for post in plan.frame.posts if post.kind.value == "command"]
    (anchor,) = [anchor for anchor in plan.frame.anchors if anchor.tag == "N2"]
    assert hypot(command.at[0] - anchor.at[0], command.at[1] - anchor.at[1]) < 11.0
    assert command.at[0] < anchor.at[0]
    assert command.at[1] < anchor.at[1]
    assert told(plan)["post_in_no_go"] == "On ground where nobody stands while lines are loaded: Command"
    assert "post_in_no_go" not in told(demo.plans["OT-01"])
