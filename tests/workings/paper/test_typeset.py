import pytest

from atlas.faults import BlockOverrun
from atlas.paper import Box
from atlas.workings.paper.entries import Step, Value
from atlas.workings.paper.entry_pieces import ink_lines, line_piece
from atlas.workings.paper.formula import parse
from atlas.workings.paper.set_formula import sum_terms, with_numbers, with_symbols
from atlas.workings.paper.typeset import beside

BOX = Box(left_mm=20.0, top_mm=30.0, width_mm=185.0, height_mm=500.0)


def texts(ink):
    return "".join(text for _, _, text, _ in ink.texts)


def symbols(style, formula):
    return with_symbols(style.types).set(parse(formula))


def numbers(style, formula, **values):
    told = {name: Value(name, value, "", 2) for name, value in values.items()}
    return with_numbers(style.types, told).set(parse(formula))


@pytest.mark.parametrize(
    ("formula", "text"),
    [
        ("a - (b - c)", "a\u2212(b\u2212c)"),
        ("a - b - c", "a\u2212b\u2212c"),
        ("a - (b + c)", "a\u2212(b+c)"),
        ("a + (b + c)", "a+b+c"),  # nothing is lost: plus binds either way
        ("(a + b) * c", "(a+b)·c"),
        ("(a + b)**2", "(a+b)2"),
        ("-a", "\u2212a"),
        ("log(a)", "ln(a)"),
        ("asinh(a)", "arsinh(a)"),
        ("max(a, b)", "max(a,b)"),
        ("abs(a)", "|a|"),
        ("2 * pi * Q_xn", "2·π·Qxn"),
    ],
)
def test_brackets_stand_where_they_are_needed(style, formula, text):
    assert texts(symbols(style, formula)) == text


def test_negative_numbers_stand_in_brackets_but_at_the_head(style):
    assert texts(numbers(style, "a - b", a=-1.0, b=-2.0)) == "\u22121.00\u2212(\u22122.00)"
    assert texts(numbers(style, "a * b", a=-1.0, b=-2.0)) == "(\u22121.00)·(\u22122.00)"
    assert texts(numbers(style, "a**2", a=-3.0)) == "(\u22123.00)2"
    assert texts(numbers(style, "a**2", a=3.0)) == "3.002"


def test_a_fraction_stands_over_its_bar_and_clear_of_it(style):
    ink = symbols(style, "(a + b) / c")
    ((_, bar, _, _),) = ink.rules
    fonts = style.fonts
    over = [y + fonts.ink_mm(text, look)[1] for _, y, text, look in ink.texts if text in "a+b"]
    under = [y - fonts.ink_mm(text, look)[0] for _, y, text, look in ink.texts if text == "c"]
    assert max(over) < bar - 0.3
    assert min(under) > bar + 0.3
    assert len(over) == 3


def test_a_root_covers_what_is_under_it(style):
    ink = symbols(style, "sqrt(Q_x**2 + Q_y**2)")
    roof = max(ink.rules, key=lambda rule: rule[2] - rule[0])
    last = max(x + style.fonts.width_mm(text, look) for x, _, text, look in ink.texts)
    assert roof[0] < min(x for x, _, _, _ in ink.texts)
    assert roof[2] > last
    assert -roof[1] > max(-y + style.fonts.ink_mm(text, look)[0] for _, y, text, look in ink.texts)


def test_hypot_is_a_root_of_squares(style):
    assert texts(symbols(style, "hypot(a, b)")) == "a2+b2"
    assert texts(symbols(style, "hypot(1, a)")) == "1+a2"


def test_indices_stand_lower_and_powers_higher(style):
    ink = symbols(style, "v_L**2")
    place = {text: y for _, y, text, _ in ink.texts}
    assert place["2"] < 0.0 < place["L"]
    assert place["v"] == 0.0


def test_no_type_is_smaller_than_the_template_allows(style, template):
    ink = symbols(style, "(a_b**2 + sqrt(c_d)) / e_f**2")
    assert min(look.size_pt for _, _, _, look in ink.texts) >= template.least.text_pt


def test_a_sum_is_taken_apart_at_its_outermost_signs():
    assert [operator for operator, _ in sum_terms(parse("a - b * (c + d) + e"))] == ["", "-", "+"]


def step(**values):
    told = tuple(Value(name, value, "N", 3) for name, value in values.items())
    return Step("Sum", Value("K", sum(values.values()), "N", 3), " + ".join(values), told, "statics")


def test_a_long_line_breaks_before_a_sign_and_keeps_every_number(style):
    entry = step(**{f"a_{k}": 1000.0 + k for k in range(12)})
    laid = line_piece(style, "1.1", entry).lay(BOX)
    column = style.formula_box(BOX)
    inside = [item for item in laid.items if hasattr(item, "text") and item.x_mm >= column.left_mm]
    lines = {}
    for item in inside:
        if item.x_mm < column.right_mm and item.style.size_pt > 8.0:
            lines.setdefault(round(item.y_mm, 2), []).append(item)
    assert len(lines) > 2
    starts = [min(line, key=lambda item: item.x_mm).text for line in lines.values()]
    assert set(starts[1:]) <= {"+", "="}
    found = {item.text for item in inside}
    assert {value.text for value in entry.values} <= found
    assert all(
        item.x_mm + style.fonts.width_mm(item.text, item.style) <= column.right_mm + 0.01
        for line in lines.values()
        for item in line
    )


def test_a_piece_that_cannot_break_is_refused_by_its_width(style):
    wide = beside([symbols(style, "a")] * 400)
    with pytest.raises(BlockOverrun, match="a part of a formula"):
        ink_lines(style, [wide], BOX, indent_mm=0.0)
