import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.haul import choose_haul, ideal_advantage, real_advantage

SYSTEMS = ["2:1", "3:1", "4:1", "6:1", "9:1"]


def choose(window_n, *, rule_most_n=4000.0, people_most=3):
    return choose_haul(
        SYSTEMS,
        window_n=window_n,
        rule_most_n=rule_most_n,
        people_most=people_most,
        pull_per_person_n=222.0,
        pulley_efficiency=0.8,
    )


def test_compound_hauls_are_products_of_simple_ones():
    e = 0.8
    assert real_advantage("6:1", pulley_efficiency=e) == pytest.approx((1 + e) * (1 + e + e * e))
    assert real_advantage("9:1", pulley_efficiency=e) == pytest.approx((1 + e + e * e) ** 2)
    assert real_advantage("4:1", pulley_efficiency=e) == pytest.approx((1 + e) ** 2)


@pytest.mark.parametrize("system", SYSTEMS)
def test_without_friction_the_real_advantage_is_the_ideal(system):
    assert real_advantage(system, pulley_efficiency=1.0) == ideal_advantage(system)


@given(st.sampled_from(SYSTEMS), st.floats(0.05, 0.99), st.floats(0.05, 0.99))
def test_better_pulleys_never_pull_less(system, one, other):
    low, high = sorted((one, other))
    assert real_advantage(system, pulley_efficiency=low) <= real_advantage(system, pulley_efficiency=high)


def test_fewest_people_first():
    # 9:1 with one person sets 1321 to 1998 N; 3:1 needs three for about the same
    assert choose((1300.0, 2000.0)).people == 1


@given(st.floats(300, 3000), st.floats(1.05, 4.0))
def test_a_haul_that_fits_lies_inside_the_window(low, ratio):
    haul = choose((low, low * ratio))
    if haul.fits:
        assert low <= haul.least_n <= haul.most_n <= low * ratio


@given(st.floats(450, 6000))
def test_none_fits_gives_the_nearest_below_the_upper_end(high):
    haul = choose((high - 1.0, high))
    assert not haul.fits
    assert haul.most_n <= high


def test_without_a_window_the_rule_on_set_tension_stands_in():
    haul = choose(None, rule_most_n=2664.0)
    assert not haul.fits
    assert haul.most_n == pytest.approx(2664.0)  # 12 person-advantages of 222 N, met by a 4:1 with three


def test_even_the_least_haul_past_the_upper_end_is_told_not_hidden():
    haul = choose((100.0, 300.0))
    assert (haul.fits, haul.system, haul.people) == (False, "2:1", 1)


def test_an_unknown_system_is_refused():
    with pytest.raises(OutOfRange) as refused:
        ideal_advantage("5:1")
    assert str(refused.value) == "haul '5:1': not known; allowed: 2:1, 3:1, 4:1, 6:1, 9:1"


def test_an_efficiency_over_one_is_refused():
    with pytest.raises(OutOfRange) as refused:
        real_advantage("3:1", pulley_efficiency=1.1)
    assert str(refused.value) == "pulley efficiency 1.1: allowed above 0, up to 1"


@given(st.floats(100.0, 400.0))
def test_hauls_that_set_the_same_are_told_apart_by_their_people(pull):
    """18 times a person's pull by a 9:1 with two or a 6:1 with three: two, whatever its last digits."""
    haul = choose_haul(
        SYSTEMS,
        window_n=(18.5 * pull, 19.0 * pull),
        rule_most_n=100.0 * pull,
        people_most=3,
        pull_per_person_n=pull,
        pulley_efficiency=0.8,
    )
    assert (haul.system, haul.people, haul.fits) == ("9:1", 2, False)
