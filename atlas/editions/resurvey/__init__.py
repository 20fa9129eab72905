"""Field forms: printed a site, filled on the bank, read back into the surveys; tracks of a GPS likewise."""

from atlas.editions.resurvey.apply import Updated, apply_changes, check_updated, write_updated
from atlas.editions.resurvey.entries import changes_of, read_form
from atlas.editions.resurvey.form import form_pdf
from atlas.editions.resurvey.gps import TRACKS, read_track
from atlas.editions.resurvey.reader import Change, Filled
from atlas.editions.resurvey.survey_files import RawSite, raw_sites

__all__ = [
    "TRACKS",
    "Change",
    "Filled",
    "RawSite",
    "Updated",
    "apply_changes",
    "changes_of",
    "check_updated",
    "form_pdf",
    "raw_sites",
    "read_form",
    "read_track",
    "write_updated",
]
