"""Files kept inside a page, read back by three other programs."""

import json
from io import BytesIO

import pikepdf
import pypdf
import pypdfium2
import pytest

from atlas import paper
from atlas.faults import PageError
from atlas.paper import Attachment

SURVEY = Attachment(
    name="OT-03 Ñ survey.geojson",
    description="survey",
    media_type="application/geo+json",
    content=b'{"type": "FeatureCollection", "features": []}',
)
WORKINGS = Attachment(
    name="workings.json",
    description="workings",
    media_type="application/json",
    content=json.dumps({"numbers": list(range(5000))}).encode(),
)


@pytest.fixture(scope="module")
def filed(trial_pdf):
    return paper.attach(trial_pdf, (WORKINGS, SURVEY))


def test_three_programs_read_back_what_is_inside(filed):
    wanted = {one.name: one.content for one in (SURVEY, WORKINGS)}
    with pikepdf.open(BytesIO(filed)) as document:
        files = {name: document.attachments[name].get_file() for name in document.attachments}
        assert {name: file.read_bytes() for name, file in files.items()} == wanted
        assert {str(file.mime_type) for file in files.values()} == {
            "application/geo+json",
            "application/json",
        }
        assert document.check_pdf_syntax() == []
        assert document.get_warnings() == []
    read = pypdf.PdfReader(BytesIO(filed)).attachments
    assert {name: contents[0] for name, contents in read.items()} == wanted
    document = pypdfium2.PdfDocument(filed)
    assert document.count_attachments() == 2
    document.close()


def test_the_page_itself_stays_as_it_was_checked(filed, trial, trial_pdf):
    assert filed.startswith(trial_pdf)
    assert paper.check_bytes(filed, trial) == ()
    assert paper.png(filed, dpi=50) == paper.png(trial_pdf, dpi=50)
    with pikepdf.open(BytesIO(filed)) as document:
        assert str(document.docinfo.Title) == trial.title
        assert str(document.Root.Lang) == trial.lang


def test_order_of_the_files_does_not_matter_and_same_input_same_bytes(filed, trial_pdf):
    assert paper.attach(trial_pdf, (SURVEY, WORKINGS)) == filed


def test_a_document_of_another_program_is_refused(trial_pdf):
    target = BytesIO()
    with pikepdf.open(BytesIO(trial_pdf)) as document:
        document.save(target)
    with pytest.raises(PageError) as caught:
        paper.attach(target.getvalue(), (SURVEY,))
    assert str(caught.value) == "nothing can be attached to a PDF that was not drawn here"
