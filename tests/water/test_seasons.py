"""Days a month over a limit: counted by hand."""

from datetime import date, timedelta

import pytest

from atlas.faults import OutOfRange
from atlas.records import DailyFlows
from atlas.water import days_outside


def flows(first, last, flow):
    """Daily flows from one day to another, each as a function of its day gives it."""
    days = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    return DailyFlows(first, tuple(flow(day) for day in days))


YEARS = (date(2016, 1, 1), date(2022, 12, 31))


def test_the_median_of_the_years_counts():
    # in March of the year y the first y - 2014 days are high: 2, 3, ... 8 days, in the middle 5
    daily = flows(*YEARS, lambda day: 90.0 if day.month == 3 and day.day <= day.year - 2014 else 10.0)
    seasons = days_outside(daily, limit_m3_s=50.0)
    assert seasons.days == (0, 0, 5, 0, 0, 0, 0, 0, 0, 0, 0, 0)
    assert seasons.years == 7


def test_a_day_at_the_limit_is_outside():
    daily = flows(*YEARS, lambda _: 50.0)
    assert days_outside(daily, limit_m3_s=50.0).days == (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    assert set(days_outside(daily, limit_m3_s=50.001).days) == {0}


def test_unknown_days_are_as_the_known_ones_and_a_month_of_too_many_is_not_counted():
    # Aprils: every fifth day unknown, half of the known ones high: 12 of 24 known, so 15 of 30
    def flow(day):
        if day.month == 4:
            return None if day.day % 5 == 0 else 90.0 if day.day <= 15 else 10.0
        # Mays: unknown but for a week
        return None if day.month == 5 and day.day > 7 else 10.0

    seasons = days_outside(flows(*YEARS, flow), limit_m3_s=50.0)
    assert seasons.days[3] == pytest.approx(15.0)
    assert seasons.days[4] is None
    assert seasons.years == 7


def test_four_years_say_nothing_five_do():
    daily = flows(date(2016, 2, 1), date(2020, 12, 31), lambda _: 10.0)
    seasons = days_outside(daily, limit_m3_s=50.0)
    assert (seasons.days[0], seasons.days[1], seasons.years) == (None, 0, 5)


@pytest.mark.parametrize("limit", [0.0, -1.0, float("nan"), float("inf")])
def test_a_limit_that_is_none(limit):
    with pytest.raises(OutOfRange) as raised:
        days_outside(DailyFlows(date(2020, 1, 1), (1.0,)), limit_m3_s=limit)
    assert str(raised.value) == f"days outside: limit of {limit:g} m3/s; allowed: above 0, finite"
