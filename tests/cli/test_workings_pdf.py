"""`workings --pdf`."""

import json
from io import BytesIO

import pypdf


def test_the_derivation_is_a_file_whose_path_is_the_result(cli, flats, tmp_path):
    ran = cli("workings", "OT-02", "--pdf", "--county", flats, "--out", tmp_path)
    assert (ran.code, ran.err) == (0, "")
    assert ran.lines == [str(tmp_path / "OT-02-workings.pdf")]
    reader = pypdf.PdfReader(BytesIO((tmp_path / "OT-02-workings.pdf").read_bytes()))
    assert reader.metadata.title == "OT-02 Cottonwood Ford, workings, edition 2026"
    assert len(reader.pages) > 8


def test_json_and_pdf_together_keep_stdout_for_the_object(cli, flats, tmp_path):
    ran = cli("workings", "OT-02", "--pdf", "--json", "--county", flats, "--out", tmp_path)
    assert json.loads(ran.out)["site"] == "OT-02"
    assert ran.err == f"{tmp_path / 'OT-02-workings.pdf'}\n"


def test_a_folder_that_cannot_be_written_is_3(cli, flats, tmp_path):
    (tmp_path / "taken").write_text("a file")
    ran = cli("workings", "OT-02", "--pdf", "--county", flats, "--out", tmp_path / "taken")
    assert (ran.code, ran.out) == (3, "")
