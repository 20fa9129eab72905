"""Posts: who stands where, by the grid and the distance from the track line; and whether that is in time."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

from atlas.frame import usng
from atlas.paper import Align, Box, Column, Item, Row, Table, lay_table
from atlas.plan.results import PostPlan
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.figures import unbroken
from atlas.sheets.pieces import lay_runs, row_pad_mm, titled
from atlas.units import Figure

BLOCK = "posts"
_IN_TIME_MM, _IN_TIME_BASE_MM = 3.6, 0.9
"""Height of the line at the foot of the block, and its baseline over the edge."""
TEN_METRES = 4
"""Digits each way of a grid reference to 10 m."""
_ON_A_BANK = 0.5
"""Of half the river's width from its middle: a post nearer the middle than this stands where the river of
the track line would run on, so the river bends before it, and its bank is not told [common practice, no
source]."""


def post_name(desk: Desk, post: PostPlan) -> str:
    """What the post is."""
    return desk.words(f"sheet.post.{post.kind.value}")


def grid_text(post: PostPlan) -> str:
    """The last two groups of the grid reference: the square is that of the site."""
    return " ".join(usng(post.place, digits=TEN_METRES).split(" ")[-2:])


def grid_square(desk: Desk) -> str:
    """Zone and square of the grid in which the site lies."""
    return " ".join(usng(desk.plan.access_place, digits=TEN_METRES).split(" ")[:2])


def distance_text(desk: Desk, post: PostPlan) -> str:
    """How far up or down the river from the track line."""
    words = desk.words
    distance = desk.first(Figure.POST_DISTANCE, abs(post.downstream_m))
    key = "sheet.posts.downstream" if post.downstream_m >= 0 else "sheet.posts.upstream"
    return words(key, distance=distance)


def ordered_posts(desk: Desk) -> list[PostPlan]:
    """Posts from up the river to down."""
    return sorted(desk.plan.posts, key=lambda post: (post.downstream_m, post.kind.value))


def bank_of(desk: Desk, post: PostPlan) -> str | None:
    """Near or far as seen from the middle of the river, carried on along the flow; None where it bends."""
    frame = desk.plan.frame
    across_m, downstream_m = post.at
    middle_m = (frame.near_edge_x_m + frame.far_edge_x_m) / 2 + downstream_m * tan(radians(frame.skew_deg))
    beside = (across_m - middle_m) / (frame.width_m / 2)
    if abs(beside) < _ON_A_BANK:
        return None
    return "near" if beside < 0 else "far"


def post_row(desk: Desk, post: PostPlan) -> tuple[str, str, str]:
    """Post, with its bank where there are several of its kind; grid to 10 m; distance."""
    name = post_name(desk, post)
    bank = bank_of(desk, post)
    if bank is not None and sum(other.kind is post.kind for other in desk.plan.posts) > 1:
        name = desk.words("sheet.posts.of_bank", post=name, bank=desk.words(f"sheet.bank.{bank}"))
    return name, grid_text(post), distance_text(desk, post)


def in_time_text(desk: Desk) -> str:
    """How far up the spotter has to stand, and how many throwers have time for a throw."""
    answers = desk.plan.chosen.answers
    if answers is None:
        return ""
    words, posts = desk.words, answers.posts
    short = posts.spotter_in_time is False
    told = [
        words(
            "sheet.posts.spotter_short" if short else "sheet.posts.spotter",
            distance=unbroken(desk.first(Figure.SPOTTER_DISTANCE, posts.spotter_needed_m)),
        )
    ]
    if posts.throwers:
        least, most = (
            desk.first(Figure.PEOPLE_HELD, count) for count in (posts.in_time_least, posts.in_time_most)
        )
        counts = least if least == most else words("sheet.range", **{"from": least, "to": most})
        total = desk.first(Figure.COUNT, len(posts.throwers))
        told.append(words("sheet.posts.throwers", count=counts, total=total))
    return words("sheet.separator").join(told)


def _lay_in_time(desk: Desk, room: Box) -> tuple[list[Item], Box]:
    """The line that tells it, at the foot of the block, and the room left above."""
    text = in_time_text(desk)
    if not text:
        return [], room
    over_mm = room.height_mm - _IN_TIME_MM
    base_mm = room.bottom_mm - _IN_TIME_BASE_MM
    items = lay_runs(
        desk, [(text, "strong")], x_mm=room.left_mm, y_mm=base_mm, width_mm=room.width_mm, block=BLOCK
    )
    return items, replace(room, height_mm=over_mm)


def lay_posts(desk: Desk) -> list[Item]:
    """The block of posts."""
    box = desk.box(desk.template.block.posts)
    words = desk.words
    items, room = titled(
        desk,
        box,
        words("sheet.posts.title"),
        block=BLOCK,
        note=words("sheet.posts.note", square=grid_square(desk)),
    )
    told, room = _lay_in_time(desk, room)
    items += told
    style = desk.styles["table"]
    drop = desk.template.block.posts.drop
    rows = [
        Row(cells=post_row(desk, post), drop=drop_rank((post.kind.value,), drop))
        for post in ordered_posts(desk)
    ]
    table = Table(
        block=BLOCK,
        columns=(
            Column(style=style),
            Column(style=style, width_mm=15.5, align=Align.RIGHT),
            Column(style=style, width_mm=18.0, align=Align.RIGHT),
        ),
        rows=tuple(rows),
        more=words("sheet.more", count="{count}"),
        more_style=desk.styles["column"],
        gap_mm=1.0,
        pad_mm=row_pad_mm(desk, room, rows=len(rows)),
        rule=None,
    )
    return [*items, *lay_table(table, room, desk.fonts).items]
