"""Posts: who stands where, by the grid and by the distance from the track line."""

from __future__ import annotations

from math import radians, tan

from atlas.frame import usng
from atlas.paper import Align, Cell, Column, Item, Row, Table
from atlas.plan.results import PostPlan
from atlas.records import PostKind
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.pieces import lay_rows, row_pad_mm, titled
from atlas.units import Figure

BLOCK = "posts"
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


def _spotter_m(desk: Desk) -> float | None:
    """How far up the spotter must stand at the least; None where that is not known."""
    answers = desk.plan.chosen.answers
    return None if answers is None else answers.posts.spotter_needed_m


def _is_spotter(post: PostPlan) -> bool:
    return post.kind is PostKind.UPSTREAM_SPOTTER and post.downstream_m < 0


def spotter_name(desk: Desk, post: PostPlan) -> tuple[str, bool]:
    """The spotter's name with the least distance, and whether the post is too near."""
    name, needed_m = post_row(desk, post)[0], _spotter_m(desk)
    if needed_m is None:
        return name, False
    answers = desk.plan.chosen.answers
    near = answers is not None and answers.posts.spotter_in_time is False
    key = "sheet.posts.spotter_near" if near else "sheet.posts.spotter_least"
    return desk.words(key, post=name, distance=desk.first(Figure.SPOTTER_DISTANCE, needed_m)), near


def _row(desk: Desk, post: PostPlan) -> Row:
    name, grid, distance = post_row(desk, post)
    rank = drop_rank((post.kind.value,), desk.template.block.posts.drop)
    if not _is_spotter(post):
        return Row(cells=(name, grid, distance), drop=rank)
    name, near = spotter_name(desk, post)
    strong = desk.styles["table_strong"]
    cells = tuple(Cell(text=text, style=strong) for text in (name, grid, distance))
    return Row(cells=cells if near else (name, grid, distance), drop=rank)


def _spotter_to_find(desk: Desk) -> list[Row]:
    """Where the spotter must stand, for a site without a surveyed post."""
    needed_m = _spotter_m(desk)
    if needed_m is None or any(_is_spotter(post) for post in desk.plan.posts):
        return []
    words = desk.words
    name = words("sheet.post.upstream_spotter")
    distance = words("sheet.posts.upstream", distance=desk.first(Figure.SPOTTER_DISTANCE, needed_m))
    return [Row(cells=(name, words("sheet.posts.to_find"), distance))]


def _throwers(desk: Desk) -> list[Row]:
    """How many of the surveyed posts below have time for a throw, on the worst way and the best."""
    answers = desk.plan.chosen.answers
    if answers is None or not answers.posts.throwers:
        return []
    words, posts = desk.words, answers.posts
    least, most = (desk.first(Figure.PEOPLE_HELD, n) for n in (posts.in_time_least, posts.in_time_most))
    counts = least if least == most else words("sheet.range", **{"from": least, "to": most})
    total = desk.first(Figure.COUNT, len(posts.throwers))
    text = words("sheet.posts.throwers", count=counts, total=total)
    return [Row(cells=(Cell(text=text, style=desk.styles["strong"]),))]


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
    style = desk.styles["table"]
    rows = [*_spotter_to_find(desk), *(_row(desk, post) for post in ordered_posts(desk)), *_throwers(desk)]
    table = Table(
        block=BLOCK,
        columns=(
            Column(style=style, wraps=True),
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
    return [*items, *lay_rows(desk, table, room)]
