import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.workings.paper.formula import FUNCTIONS, Join, Name, Number, evaluate, names_in, parse

WRONG = [
    "__import__('os').system('true')",
    "a.b",
    "a[0]",
    "lambda: a",
    "[a for a in b]",
    "a if b else c",
    "a < b",
    "a and b",
    "a // b",
    "a % b",
    "~a",
    "+a",
    "'text'",
    "True",
    "None",
    "1j",
    "f(a)",
    "sqrt",
    "sqrt()",
    "max(*a)",
    "max(a, key=b)",
    "(a := 1)",
    "a = b",
    "a b",
    "",
    "a; b",
    "a\nb",
    "eval('1')",
    "sqrt(a)(b)",
]


@pytest.mark.parametrize("text", WRONG)
def test_whatever_is_not_a_formula_is_refused(text):
    with pytest.raises(OutOfRange, match="formula"):
        parse(text)


def test_the_refusal_names_the_formula_and_what_is_allowed():
    with pytest.raises(OutOfRange) as refused:
        parse("a.b")
    assert str(refused.value) == (
        "formula 'a.b': attribute is not known here; allowed: names, decimals, + - * / ** and "
        "hypot, sqrt, cos, sin, acos, tan, log, exp, asinh, sinh, max, min, abs"
    )


def test_an_endless_formula_is_refused_before_it_is_read():
    with pytest.raises(OutOfRange, match="too long"):
        parse("+".join("a" for _ in range(1000)))


def test_a_formula_is_read_as_a_tree():
    assert parse("a + 2 * b") == Join("+", Name("a"), Join("*", Number("2"), Name("b")))
    assert list(names_in(parse("hypot(L, u) - L * pi"))) == ["L", "u", "L"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8 / 3 * f**2 * L", 8 / 3 * 0.05**2 * 42.0),
        ("hypot(3, 4)", 5.0),
        ("-f - -f", 0.0),
        ("log(exp(f))", 0.05),
        ("sqrt(L) * sqrt(L)", 42.0),
        ("max(f, L, 1) - min(f, L, 1)", 41.95),
        ("abs(f - L)", 41.95),
        ("acos(0.5)", math.pi / 3),
        ("asinh(1)", math.log(1 + math.sqrt(2))),
        ("cos(pi) + sin(pi / 2) + tan(pi / 4)", 1.0),
        ("2**-1", 0.5),
        ("-2**2", -4.0),  # the power binds before the minus, as on paper
    ],
)
def test_formulas_are_worked_out(text, expected):
    assert evaluate(parse(text), {"f": 0.05, "L": 42.0}) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("text", ["a / 0", "sqrt(-1)", "log(0)", "exp(1e9)", "(-1)**0.5", "0**-1"])
def test_what_cannot_be_worked_out_is_told(text):
    with pytest.raises(OutOfRange, match="cannot be worked out"):
        evaluate(parse(text), {"a": 1.0})


def test_a_symbol_without_a_value_is_told():
    with pytest.raises(OutOfRange, match="the symbol b has no value"):
        evaluate(parse("a + b"), {"a": 1.0})


@given(st.floats(0.1, 1e3), st.floats(0.1, 1e3), st.floats(0.1, 1e3))
def test_the_sum_binds_as_on_paper(a, b, c):
    values = {"a": a, "b": b, "c": c}
    assert evaluate(parse("a - b - c"), values) == (a - b) - c
    assert evaluate(parse("a - (b - c)"), values) == a - (b - c)
    assert evaluate(parse("a / b * c"), values) == a / b * c
    assert evaluate(parse("a / (b * c)"), values) == a / (b * c)


@given(st.sampled_from(sorted(FUNCTIONS)), st.floats(0.1, 10.0))
def test_every_function_is_the_one_of_its_name(name, x):
    x = min(x, 1.0) if name == "acos" else x
    plain = {"max": max, "min": min, "abs": abs}.get(name) or getattr(math, name)
    arguments = (x,) if name not in {"max", "min", "hypot"} else (x, 2.0)
    text = f"{name}({', '.join('x' if item is x else '2' for item in arguments)})"
    assert evaluate(parse(text), {"x": x}) == plain(*arguments)
