"""The smallest purchase: against brute force over everything that could be bought, and its parts by hand."""

import random
from itertools import combinations, product

import numpy as np
import pytest

from atlas.cover import GearAsked, Job, LineNeed, lack_of, pieces_of, purchases
from atlas.cover.tables import line_table
from atlas.records import Agency, RopeStock

KINDS = ("static", "floating")


def need(line, needed_m, kind="static"):
    return LineNeed(line=line, needed_m=needed_m, kinds=(kind,), strength_min_n=0.0, diameter_min_m=0.0)


def cache(*ropes):
    stock = tuple(
        RopeStock(
            name=f"r{number}", length_m=length_m, diameter_m=0.012, kind=kind, fibre="nylon", strength_n=40e3,
            elongation=0.04, elongation_basis="10pct", weight_n_m=1.0, count=1, since=None,
        )
        for number, (kind, length_m) in enumerate(ropes)
    )  # fmt: skip
    return pieces_of([Agency("A", "A", None, (), (), None, stock, (), (), ())])


def lack(needs, held, gear=(), asked=()):
    job = Job(needs=tuple(needs), gear=tuple(asked))
    return lack_of(job, line_table(needs, held), gear, step_m=5.0)


def test_nothing_is_bought_where_nothing_is_lacking():
    held = cache(("static", 60.0))
    (only,) = purchases([lack([need("t", 50.0)], held)])
    assert (only.ropes, only.gear, only.complete, only.articles) == ((), (), (0,), 0)


def test_no_sites_no_purchases():
    assert purchases([]) == ()


def test_one_rope_as_long_as_the_longest_need_it_serves():
    """50 m is there; sites ask for 60 and 80 m of static: one rope of 80 m serves both."""
    held = cache(("static", 50.0))
    none, all_of_them = purchases([lack([need("t", length)], held) for length in (40.0, 60.0, 80.0)])
    assert (none.complete, none.articles) == ((0,), 0)
    assert [rope.length_m for rope in all_of_them.ropes] == [80.0]
    assert all_of_them.complete == (0, 1, 2)


def test_a_rope_that_is_there_is_put_where_it_saves_the_most():
    """60 m is there, 50 and 90 m are asked for at once: 90 m is bought; with 40 m there, two ropes."""
    both = [need("a", 50.0), need("b", 90.0)]
    assert [rope.length_m for rope in purchases([lack(both, cache(("static", 60.0)))])[-1].ropes] == [90.0]
    short = purchases([lack(both, cache(("static", 40.0)))])[-1]
    assert sorted(rope.length_m for rope in short.ropes) == [50.0, 90.0]


def test_hardware_is_an_article_whatever_its_number_and_keeps_its_rating():
    asked = (GearAsked("pulley", 6, 22e3), GearAsked("ring", 1))
    gear = [(frozenset({"pulley"}), 4), (frozenset({"pulley", "ring"}), 5)]
    held = cache(("static", 60.0))
    none, bought = purchases([lack([need("t", 50.0)], held, gear, asked)])
    assert none.complete == ()
    assert bought.complete == (0,)
    # five pieces of the two together, four of them pulleys: five pulleys are one article
    assert [(one.item, one.count, one.rating_n) for one in bought.gear] == [("pulley", 5, 22e3)]


def completes(bought, needs, held_m):
    """Whether a site's lines can be made of what is held and bought, by trying every way."""
    ropes = [*held_m, *bought]
    lines = [(one.kinds[0], one.needed_m) for one in needs]
    if not lines:
        return True
    (kind, needed_m), rest = lines[0], needs[1:]
    return any(
        rope[0] == kind
        and rope[1] >= needed_m
        and completes([], rest, [other for index, other in enumerate(ropes) if index != number])
        for number, rope in enumerate(ropes)
    )


@pytest.mark.parametrize("seed", range(6))
def test_never_worse_than_brute_force(seed):
    """The most sites for each number of ropes, and the fewest metres, of every purchase there could be."""
    rng = random.Random(seed)  # noqa: S311 -- draws cases
    for _ in range(4):
        held = [(rng.choice(KINDS), rng.choice((30.0, 45.0, 60.0))) for _ in range(rng.randint(0, 2))]
        sites = [
            [need(f"l{line}", rng.choice((40.0, 50.0, 70.0)), rng.choice(KINDS)) for line in range(2)]
            for _ in range(3)
        ]
        pieces = cache(*held)
        found = {one.articles: one for one in purchases([lack(needs, pieces) for needs in sites])}
        wares = [ware for ware in product(KINDS, (40.0, 50.0, 70.0)) for _ in range(2)]
        most = -1
        for count in range(5):
            tried = [
                (sum(completes(bought, needs, held) for needs in sites), -sum(length for _, length in bought))
                for bought in set(combinations(wares, count))
            ]
            best = max(tried)
            if best[0] > most:
                most = best[0]
                assert len(found[count].complete) == best[0]
                assert sum(rope.length_m for rope in found[count].ropes) == pytest.approx(-best[1])
            else:
                assert count not in found
            if most == len(sites):
                break


def test_table_of_no_lines():
    assert lack([], cache()).ropes == ((),)
    assert np.array_equal(line_table([], cache()), [0])


def test_ropes_are_bought_in_steps_and_never_too_short():
    held = cache(("static", 50.0))
    (rope,) = purchases([lack([need("t", 60.01)], held)])[-1].ropes
    assert rope.length_m == 65.0
    (exact,) = purchases([lack([need("t", 60.0)], held)])[-1].ropes
    assert exact.length_m == 60.0


def test_sites_alike_count_each():
    held = cache(("static", 50.0))
    sites = [lack([need("t", length)], held) for length in (71.0, 58.0, 59.0, 56.0)]
    none, all_of_them = purchases(sites)
    assert none.complete == ()
    assert all_of_them.complete == (0, 1, 2, 3)
