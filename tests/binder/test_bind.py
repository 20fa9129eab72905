"""The bound PDF read back with other libraries: order, labels, outline, links, words."""

from contextlib import closing
from dataclasses import replace
from io import BytesIO

import pikepdf
import pypdfium2
import pytest
from pypdf import PdfReader

from atlas.binder import NotPrinted
from atlas.faults import Fault, Severity


@pytest.fixture(scope="module")
def reader(small_book):
    return PdfReader(BytesIO(small_book.pdf))


def text_of(page):
    return " ".join(page.extract_text().split())


def outline_of(reader, entries=None):
    found = []
    for entry in reader.outline if entries is None else entries:
        if isinstance(entry, list):
            found[-1] = (*found[-1], outline_of(reader, entry))
        else:
            found.append((entry.title, reader.page_labels[reader.get_destination_page_number(entry)]))
    return found


def test_pages_stand_in_the_order_of_reaches_and_site_numbers(reader):
    """OT-2 before OT-10: by number, not by letters; the broken site in its place."""
    assert reader.page_labels == [
        "Cover", "How to read", "Contents", "Map", "Map OT", "left blank", "OT-2", "left blank", "OT-10",
        "left blank", "Map PB", "left blank", "PB-1", "left blank", "PB-2",
        "Permissions", "Words", "Limits", "Limits 2", "Limits 3",
    ]  # fmt: skip


def test_the_outline_leads_to_every_part_and_every_site(reader):
    assert outline_of(reader) == [
        ("Cover", "Cover"),
        ("How to read a sheet", "How to read"),
        ("Contents", "Contents"),
        ("Map of the county", "Map"),
        (
            "OT Upper Otter",
            "Map OT",
            [("Map", "Map OT"), ("OT-2 Foundry Bend", "OT-2"), ("OT-10 Foundry Bend", "OT-10")],
        ),
        (
            "PB Pebble",
            "Map PB",
            [("Map", "Map PB"), ("PB-1 Señora Ávila Landing", "PB-1"), ("PB-2: not printed", "PB-2")],
        ),
        ("Permissions and river closure", "Permissions"),
        ("Words", "Words"),
        ("Limits used", "Limits"),
    ]


def test_the_cover_says_whose_which_and_what_it_is_not(reader):
    text = text_of(reader.pages[0])
    for said in (
        "Quillback County",
        "Edition 2026",
        "Computed as of 2026-06-01",
        "INVENTED · NOT A REAL PLACE",
        "Invented county. No place, river, agency or person in it is real.",
        "QF4 Quillback Fire District 4 TAC 5 OT 12 min",
        "Sites: 4. Reaches: 2.",
        "Inside plan at their planning level: 2.",
        "Outside plan at their planning level: 1. Their sheets say why.",
        "Not printed: 1. Their faults stand in the place of the sheet.",
        "This binder is a planning aid. It does not command",
    ):
        assert said in text
    assert "safe" not in text.lower().replace("safety", "")


def test_a_real_county_is_not_called_invented(bindery, sheet_of):
    sheet = sheet_of("OT-2")
    county = replace(sheet.plan.county, invented=False)
    pages = PdfReader(BytesIO(bindery([sheet], county=county).pdf)).pages
    for number in (0, 1, 2):
        assert "nvented" not in text_of(pages[number])
        assert "INVENTED" not in text_of(pages[number])


def test_contents_tell_verdict_limit_and_faults_of_each_site(reader):
    text = text_of(reader.pages[2])
    assert "OT Upper Otter, Otter Run" in text
    assert "OT-2 Foundry Bend QF4 5.3 ft OUTSIDE PLAN \N{EN DASH}" in text
    assert "OT-10 Foundry Bend QF4 5.3 ft inside plan 4.4 mph" in text
    assert "PB-1 Señora Ávila Landing QF4 5.3 ft inside plan 4.4 mph" in text
    assert "PB-2 Kiln Bend not printed: 2 faults" in text
    assert text.index("OT-2 ") < text.index("OT-10 ") < text.index("PB-1 ") < text.index("PB-2 ")


def test_each_row_of_the_contents_leads_to_its_page(small_book):
    with pikepdf.open(BytesIO(small_book.pdf)) as document:
        names = pikepdf.NameTree(document.Root.Names.Dests)
        contents = document.pages[2]
        targets = [str(note.A.D) for note in contents.Annots]
        labels = ["OT-2", "OT-10", "PB-1", "PB-2"]
        assert targets == [f"site {label}" for label in labels]
        numbers = [document.pages.index(names[target][0]) for target in targets]
        bound = PdfReader(BytesIO(small_book.pdf)).page_labels
        assert [bound[number] for number in numbers] == labels


def test_a_site_that_could_not_be_made_has_its_faults_in_its_place(reader):
    text = text_of(reader.pages[reader.page_labels.index("PB-2")])
    for said in (
        "PB-2",
        "Kiln Bend",
        "NOT PRINTED",
        "1 Fault: text where a number belongs",
        "file surveys/rivers.geojson",
        "feature 32",
        "field height",
        'found there "tall"',
        "allowed a number in m",
        "what to do write it like 30",
        "2 Worth a look: this key is not known",
    ):
        assert said in text


def test_limits_that_decided_and_the_rest_of_the_policy(reader, settings):
    limits = [number for number, label in enumerate(reader.page_labels) if label.startswith("Limits")]
    text = " ".join(text_of(reader.pages[number]) for number in limits)
    assert "Least factor of the track line 5 agency's own figure" in text
    assert "Clearance over the water, to which v²/2g is added 3.0 ft (0.90 m)" in text
    assert "Progress capture, general use 2470 lbf (11.0 kN)" in text
    assert "Least hold of a track anchor 4500 lbf (20.0 kN)" in text
    assert "Pull of one person on the haul 222 N common practice" in text
    for key in settings.policy.provenance:
        if key.startswith(("loads", "haul", "lines", "stages", "boat", "no_go")):
            assert settings.words(f"binder.policy.{key}") in text
            assert key not in text
    assert "Boats pass under the lines no agency's own figure" in text


def test_a_rating_of_its_own_device_does_not_hide_the_policys_figure(bindery, sheet_of):
    sheet = sheet_of("OT-2")
    limits = tuple(
        replace(limit, value=9000.0) if limit.key == "capture.general_use" else limit
        for limit in sheet.plan.limits_used
    )
    own = replace(sheet, plan=replace(sheet.plan, limits_used=limits))
    pages = PdfReader(BytesIO(bindery([own, sheet_of("OT-10")]).pdf)).pages
    text = " ".join(text_of(page) for page in pages[-3:])
    assert "Progress capture, general use 2020 lbf (9.0 kN)" in text
    assert "Progress capture, general use 2470 lbf (11.0 kN)" in text


def test_sheets_are_bound_as_they_are(small_book, reader):
    for sheet in small_book.sheets:
        alone = PdfReader(BytesIO(sheet.pdf)).pages[0]
        assert text_of(reader.pages[reader.page_labels.index(sheet.code)]) == text_of(alone)


def test_a_sheet_is_a_right_hand_page_and_its_back_is_blank(small_book, reader):
    """Printed on both sides: pages are counted from 1, odd ones are right-hand pages."""
    for sheet in small_book.sheets:
        number = reader.page_labels.index(sheet.code)
        assert (number + 1) % 2 == 1
        assert reader.page_labels[number + 1] == "left blank"
        assert text_of(reader.pages[number + 1]) == ""


def test_permissions_tell_what_the_survey_says_and_lead_to_the_sheets(small_book, reader):
    number = reader.page_labels.index("Permissions")
    text = text_of(reader.pages[number])
    for sheet in small_book.sheets:
        told = sheet.plan.site.access.permission or "\N{EN DASH}"
        assert f"{sheet.code} {sheet.plan.site.access.name} {told}" in text
    assert "Who closes the river" in text
    with pikepdf.open(BytesIO(small_book.pdf)) as document:
        targets = {str(note.A.D) for note in document.pages[number].Annots}
    assert targets == {f"site {sheet.code}" for sheet in small_book.sheets}


def test_every_word_of_the_glossary_is_explained(settings, reader):
    terms, means = settings.words.of("binder.term"), settings.words.of("binder.means")
    assert list(terms) == list(means)
    text = text_of(reader.pages[reader.page_labels.index("Words")])
    assert all(f"{terms[name]} {means[name]}" in text for name in terms)


def test_qpdf_and_pdfium_open_every_page_without_a_word(small_book, capfd):
    with pikepdf.open(BytesIO(small_book.pdf)) as document:
        assert document.check_pdf_syntax() == []
        assert document.get_warnings() == []
    with closing(pypdfium2.PdfDocument(small_book.pdf)) as document:
        for page in document:
            page.render(scale=0.2)
    assert capfd.readouterr() == ("", "")


def test_same_sites_same_bytes_whatever_their_order(bindery, sheet_of, small_book, broken):
    sites = [sheet_of("OT-2", outside=True), sheet_of("OT-10"), sheet_of("PB-1", "Señora Ávila Landing")]
    assert bindery([broken, *reversed(sites)]).pdf == small_book.pdf


def test_files_that_were_not_read_are_told_at_the_head_of_the_contents(bindery, sheet_of):
    cut = Fault(
        code="json_cut", severity=Severity.FILE, what="the file ends early", file="surveys/marsh.geojson"
    )
    text = text_of(PdfReader(BytesIO(bindery([sheet_of("OT-2")], unread=[cut]).pdf)).pages[2])
    assert "FILES NOT READ: sites in them are missing from this binder" in text
    assert "surveys/marsh.geojson: the file ends early" in text
    assert text.index("FILES NOT READ") < text.index("OT-2 ")


def test_sites_of_no_known_reach_come_last(bindery, sheet_of):
    lost = NotPrinted("ZZ-1", None, None, ())
    reader = PdfReader(BytesIO(bindery([lost, sheet_of("PB-1")]).pdf))
    bound = [label for label in reader.page_labels if label != "left blank"]
    assert bound[3:7] == ["Map", "Map PB", "PB-1", "ZZ-1"]
    assert "Sites of no known reach" in text_of(reader.pages[2])


def test_a_county_of_two_hundred_sites_has_its_contents_on_several_pages(bindery, sheet_of):
    """Heads repeat, nothing is lost, no page is without rows."""
    faults = (Fault(code="x", severity=Severity.ERROR, what="amiss", file="a.geojson"),)
    lost = [NotPrinted(f"OT-{number}", "Ford", "OT", faults) for number in range(100, 300)]
    reader = PdfReader(BytesIO(bindery([sheet_of("OT-2"), *lost]).pdf))
    labels = [label for label in reader.page_labels if label.startswith("Contents")]
    assert labels == ["Contents", *(f"Contents {number}" for number in range(2, len(labels) + 1))]
    assert len(labels) > 2
    pages = [text_of(reader.pages[2 + number]) for number in range(len(labels))]
    whole = " ".join(pages)
    assert all(f"{site.code} Ford not printed: 1 fault" in whole for site in lost)
    assert all("site name first due planned for verdict outside plan from" in page for page in pages)


def test_what_a_font_lacks_is_spelt_out_on_pages_around_the_sheets(bindery, sheet_of):
    hostile = Fault(
        code="x", severity=Severity.ERROR, what="amiss", file="a.geojson", got="河\u202e\x1b[31m" + "w" * 300
    )
    lost = NotPrinted("OT-9", "渡し", "OT", (hostile,))
    sheet = sheet_of("OT-2")
    county = replace(sheet.plan.county, name="Comté 河")
    reader = PdfReader(BytesIO(bindery([sheet, lost], county=county).pdf))
    assert "Comté [U+6CB3]" in text_of(reader.pages[0])
    assert "OT-9 [U+6E21][U+3057]" in text_of(reader.pages[2])
    page = text_of(reader.pages[reader.page_labels.index("OT-9")])
    assert "[U+6CB3]\\x202e\\x1b[31mwwww" in page
    assert page.count("w") >= 300
