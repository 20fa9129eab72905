import itertools
import random

import pytest

from atlas.cover import crew_held, gear_cover
from atlas.faults import OutOfRange
from atlas.records import Agency, CrewCount, GearStock


def stock(**counts):
    return [GearStock(item, count) for item, count in counts.items()]


def test_held_and_short_of_each_item():
    assert gear_cover({"pulley": 6, "knife": 2, "sling": 8}, stock(pulley=4, sling=10, light=3)) == (
        ("pulley", 6, 4, 2),
        ("knife", 2, 0, 2),
        ("sling", 8, 10, 0),
    )


def test_entries_of_one_item_add_up():
    (row,) = gear_cover({"carabiner": 16}, [GearStock("carabiner", 10), GearStock("carabiner", 7)])
    assert row == ("carabiner", 16, 17, 0)


def test_a_rating_that_is_too_low_or_not_known_does_not_count():
    entries = [
        GearStock("carabiner", 5, rating_n=26.9e3),
        GearStock("carabiner", 4, rating_n=27e3),
        GearStock("carabiner", 20),
    ]
    (row,) = gear_cover({"carabiner": 16}, entries, rating_least_n={"carabiner": 27e3})
    assert row == ("carabiner", 16, 4, 12)
    (row,) = gear_cover({"carabiner": 16}, entries)
    assert row == ("carabiner", 16, 29, 0)


def test_another_item_stands_in_but_not_twice():
    served_by = {"steel_ring": ["rigging_plate"]}
    both = {"steel_ring": 1, "rigging_plate": 1}
    assert gear_cover({"steel_ring": 1}, stock(rigging_plate=1), served_by=served_by) == (
        ("steel_ring", 1, 1, 0),
    )
    assert gear_cover(both, stock(rigging_plate=2), served_by=served_by) == (
        ("steel_ring", 1, 1, 0),
        ("rigging_plate", 1, 1, 0),
    )
    # one plate: it serves as itself, and the ring is short
    assert gear_cover(both, stock(rigging_plate=1), served_by=served_by) == (
        ("steel_ring", 1, 0, 1),
        ("rigging_plate", 1, 1, 0),
    )


def test_a_stand_in_goes_where_it_leaves_nothing_short():
    served_by = {"capture": ["grab_small", "grab_large"], "spare": ["grab_small"]}
    rows = gear_cover({"capture": 1, "spare": 1}, stock(grab_small=1, grab_large=1), served_by=served_by)
    assert rows == (("capture", 1, 1, 0), ("spare", 1, 1, 0))


def test_what_competes_goes_to_the_earlier_need():
    served_by = {"a": ["x"], "b": ["x"]}
    assert gear_cover({"a": 1, "b": 1}, stock(x=1), served_by=served_by) == (("a", 1, 1, 0), ("b", 1, 0, 1))
    assert gear_cover({"b": 1, "a": 1}, stock(x=1), served_by=served_by) == (("b", 1, 1, 0), ("a", 1, 0, 1))


def test_no_needs_no_stock_and_none_needed():
    assert gear_cover({}, stock(knife=1)) == ()
    assert gear_cover({"knife": 2}, []) == (("knife", 2, 0, 2),)
    assert gear_cover({"knife": 0}, stock(knife=3)) == (("knife", 0, 3, 0),)


@pytest.mark.parametrize(
    ("needs", "entries"), [({"knife": -1}, stock(knife=1)), ({"knife": 1}, stock(knife=-1))]
)
def test_negative_counts_are_refused(needs, entries):
    with pytest.raises(OutOfRange, match=r"^a count of gear is negative$"):
        gear_cover(needs, entries)


ITEMS = ("a", "b", "c")


def least_short(needs, entries, served_by):
    """Fewest pieces lacking, by giving each piece to each item in turn."""
    units = [entry.item for entry in entries for _ in range(entry.count)]
    options = [
        [None, *(item for item in needs if unit == item or unit in served_by.get(item, ()))] for unit in units
    ]
    return min(
        sum(max(0, count - given.count(item)) for item, count in needs.items())
        for given in itertools.product(*options)
    )


@pytest.mark.parametrize("seed", range(60))
def test_as_few_pieces_short_as_enumeration_finds(seed):
    draw = random.Random(seed)  # noqa: S311 - repeatable cases, no secret
    needs = {item: draw.randint(0, 3) for item in draw.sample(ITEMS, draw.randint(1, 3))}
    entries = [GearStock(draw.choice("abcxy"), draw.randint(0, 2)) for _ in range(draw.randint(0, 4))]
    served_by = {item: draw.sample("abcxy", draw.randint(0, 2)) for item in ITEMS}
    rows = gear_cover(needs, entries, served_by=served_by)
    assert sum(row.short for row in rows) == least_short(needs, entries, served_by)
    for row in rows:
        assert row.short == max(0, row.needed - row.held)
        assert row.held >= 0


def test_crew_held_all_and_by_qualification():
    def agency(*crew):
        return Agency("A", "A", None, (), tuple(CrewCount(*each) for each in crew), None, (), (), (), ())

    agencies = [agency(("rigging", 4), ("boat", 2)), agency(("rigging", 3))]
    assert crew_held(agencies) == 9
    assert crew_held(agencies, "rigging") == 7
    assert crew_held(agencies, "diver") == 0
    assert crew_held([]) == 0
