import pytest

from atlas.workings.paper.entries import Value, display_symbol, sided


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(1.25, 1, "1.2"), (-0.04, 1, "0.0"), (-0.06, 1, "-0.1"), (39999.6, 0, "40000"), (1e-12, 2, "0.00")],
)
def test_a_number_is_printed_with_its_decimals_and_never_as_minus_nothing(value, decimals, text):
    assert Value("a", value, "m", decimals).text == text


def test_the_printed_number_stands_for_all_that_round_to_it():
    value = Value("a", 2.71828, "m", 2)
    assert value.printed == 2.72
    assert value.half_step == pytest.approx(0.005)
    assert abs(value.value - value.printed) <= value.half_step


def test_a_number_printed_with_all_its_digits_stands_for_itself_alone():
    assert Value("k", 0.85, "", 2).half_step == 0.0
    assert Value("k", 0.1 + 0.2, "", 1).half_step == 0.0
    assert Value("k", 0.8504, "", 2).half_step == 0.005


def test_the_index_follows_the_letter():
    assert display_symbol("Q_xn") == ("Q", "xn")
    assert display_symbol("EA") == ("EA", "")
    assert (sided("Q_x", "n"), sided("s", "n"), sided("L", "")) == ("Q_xn", "s_n", "L")
