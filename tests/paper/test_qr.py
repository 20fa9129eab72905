from __future__ import annotations

from io import BytesIO

import pytest
import zxingcpp
from PIL import Image

from atlas import paper
from atlas.faults import BlockOverrun, PageError
from atlas.paper import Box

PAYLOADS = [
    "geo:36.123456,-119.654321",
    "geo:-36.1,119.6?u=35",
    "https://example.org/" + "site/" * 20,
    "0123456789" * 4,
    "A",
    "Élise",
]


def square(side_mm: float) -> Box:
    return Box(left_mm=20, top_mm=10, width_mm=side_mm, height_mm=side_mm)


@pytest.mark.parametrize("payload", PAYLOADS)
def test_a_printed_code_reads_as_what_it_holds(payload, small_page, fonts):
    """Read from the picture with zxing, which shares nothing with the library that made the code."""
    code = paper.qr_code(payload, square(40), block="access")
    picture = Image.open(BytesIO(paper.png(paper.draw([small_page(code)], fonts), dpi=200)))
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [payload]


def test_a_code_of_the_sheets_size_reads_at_fax_resolution(small_page, fonts):
    code = paper.qr_code(PAYLOADS[0], square(17), block="access")
    picture = Image.open(BytesIO(paper.png(paper.draw([small_page(code)], fonts), dpi=100)))
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [PAYLOADS[0]]


def test_runs_stay_off_the_white_rim():
    code = paper.qr_code(PAYLOADS[0], square(17), block="access")
    # ISO/IEC 18004: version 2 has 25 modules a side, and the rim is 4 on each side
    assert code.modules == 25 + 8
    assert {min(column for _, column, _ in code.runs), min(row for row, _, _ in code.runs)} == {4}
    assert max(column + length for _, column, length in code.runs) == 4 + 25
    # the finder pattern in the corner: seven black, then its ring
    assert code.runs[0] == (4, 4, 7)


def test_squares_too_small_to_read():
    with pytest.raises(BlockOverrun) as caught:
        paper.qr_code(PAYLOADS[0], square(10.35), block="access")
    assert str(caught.value) == "block 'access' is 1.2 mm too large for its box (QR code of 25 characters)"


def test_a_payload_no_code_holds():
    with pytest.raises(PageError) as caught:
        paper.qr_code("x" * 3000, square(90), block="access")
    assert str(caught.value) == "block 'access': 3000 characters are too many for a QR code"


def test_a_box_that_is_no_square():
    with pytest.raises(PageError, match=r"^block 'access': a QR code needs a square box$"):
        paper.qr_code("A", Box(left_mm=0, top_mm=0, width_mm=17, height_mm=16), block="access")
