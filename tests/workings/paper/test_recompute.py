import pytest

from atlas.workings.paper.entries import (
    Chapter,
    Check,
    Given,
    Instance,
    Quantity,
    Relation,
    Remark,
    Step,
    Table,
    Value,
)
from atlas.workings.paper.recompute import faults_of, lines_of

LENGTH, WIDTH = Value("a", 3.001, "m", 2), Value("b", 3.999, "m", 2)
GIVENS = (Given("length", LENGTH, "survey"), Given("width", WIDTH, "survey"))


def read(*entries, exports=None):
    return (Chapter("one", "One", entries, exports),)


def faults(*entries):
    return list(faults_of(read(*entries)))


def diagonal(value, decimals=2, values=(LENGTH, WIDTH), formula="hypot(a, b)"):
    result = Value("c", value + 0.0004, "m", decimals)  # rounded, as results are
    return Step("diagonal", result, formula, values, "geometry")


def test_a_line_that_follows_from_its_numbers_is_no_fault():
    assert faults(*GIVENS, diagonal(5.0), Remark("and so on")) == []


def test_a_line_that_its_numbers_do_not_give_is_told():
    assert faults(*GIVENS, diagonal(5.02)) == [
        "one 3, diagonal: c = hypot(a, b) gives 5 from its numbers, printed 5.02; allowed 0.012 apart"
    ]


def test_what_the_rounding_of_the_numbers_carries_is_allowed_and_no_more():
    # 3.00 +- 0.005 and 4.00 +- 0.005 move the diagonal by 0.003 and 0.004; its own last digit by 0.005
    (line,) = lines_of(read(*GIVENS, diagonal(5.01)))
    assert line.allowed == pytest.approx(0.012, abs=2e-5)
    assert line.closes
    assert line.missed == pytest.approx(0.01)
    assert not lines_of(read(*GIVENS, diagonal(5.013, decimals=3)))[0].closes


def test_a_number_used_otherwise_than_told_is_a_fault():
    wrong = Value("a", 3.1, "m", 2)
    found = faults(*GIVENS, diagonal(5.06, values=(wrong, WIDTH)))
    assert found == ["one 3, diagonal: a is used as 3.10, told as 3.00"]


def test_a_number_never_told_is_a_fault():
    found = faults(GIVENS[0], diagonal(5.0))
    assert found == ["one 2, diagonal: b is used, but was never told"]


def test_numbers_that_are_not_those_of_the_formula_are_a_fault():
    found = faults(*GIVENS, diagonal(3.0, values=(LENGTH, WIDTH), formula="a"))
    assert found == ["one 3, diagonal: the numbers put in are not those of the formula"]


def test_a_result_told_again_must_be_the_same():
    closing = Step("again", Value("a", 3.02, "m", 2), "b - 0.98", (WIDTH,), "closure")
    assert faults(*GIVENS, closing) == ["one 3, again: a is 3.02, but was 3.00"]


@pytest.mark.parametrize(("holds", "told"), [(True, True), (False, False)])
def test_a_verdict_must_be_borne_out_by_its_numbers(holds, told):
    check = Check("long enough", LENGTH, Relation.AT_LEAST, WIDTH, holds, "")
    assert bool(faults(*GIVENS, check)) is told
    turned = Check("short enough", LENGTH, Relation.AT_MOST, WIDTH, not holds, "")
    assert bool(faults(*GIVENS, turned)) is told


def test_numbers_that_print_alike_bear_out_either_verdict():
    other = Value("d", 3.004, "m", 2)
    for holds in (True, False):
        check = Check("as long", LENGTH, Relation.AT_LEAST, other, holds, "")
        assert faults(GIVENS[0], Given("other", other, ""), check) == []


def table(factor, *, side="x"):
    quantities = (Quantity("strength", "S", "N"), Quantity("factor", "f", "", "S / a"))
    cells = (Value("S", 12.1, "N", 0), Value("f", factor, "", 2))
    return Table("parts", quantities, (Instance("rope", side, cells),), (LENGTH,))


def test_every_cell_of_a_table_with_a_formula_is_worked_out():
    assert faults(GIVENS[0], table(4.0)) == []
    (found,) = faults(GIVENS[0], table(4.5))
    assert found.startswith("one 2, parts, rope: f = S / a gives 4 from its numbers, printed 4.50")


def test_numbers_of_a_table_are_told_under_their_sides():
    later = Step("whole", Value("g", 4.0, "", 2), "f_x", (Value("f_x", 4.0, "", 2),), "")
    assert faults(GIVENS[0], table(4.0), later) == []
    assert faults(GIVENS[0], table(4.0, side=""), later) == ["one 3, whole: f_x is used, but was never told"]


def test_a_chapter_keeps_what_it_does_not_export():
    inner = Chapter("one", "One", (*GIVENS, diagonal(5.0)), frozenset({"c"}))
    again = Step("half", Value("e", 2.5, "m", 2), "c / 2", (Value("c", 5.0004, "m", 2),), "")
    assert list(faults_of((inner, Chapter("two", "Two", (again,))))) == []
    lost = Step("half", Value("e", 1.5, "m", 2), "a / 2", (LENGTH,), "")
    (found,) = faults_of((inner, Chapter("two", "Two", (lost,))))
    assert found == "two 1, half: a is used, but was never told"


def test_a_formula_that_cannot_be_worked_out_is_told():
    nothing = Value("a", 0.0, "m", 2)
    step = Step("share", Value("c", 1.0, "", 2), "1 / a", (nothing,), "")
    (found,) = faults(Given("length", nothing, ""), step)
    assert "cannot be worked out" in found
