"""Every sheet of the demo county, on both papers and punched on either edge."""

import pytest

from atlas.paper import PrintRules, check_boxes, shipped_fonts
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout


@pytest.mark.parametrize("edge", ["left", "right"])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_sheets_keep_the_rules_of_print(plans, folder, paper, edge):
    settings = load_settings(county=folder)
    template = read_page_template(settings.template_path(f"sheet-{paper}.toml"))
    template = template.model_copy(update={"page": template.page.model_copy(update={"punch_edge": edge})})
    for code, plan in plans.items():
        page = layout(plan, template, settings.words)
        assert check_boxes(page, shipped_fonts(), PrintRules(least_size_pt=7.5)) == (), code
