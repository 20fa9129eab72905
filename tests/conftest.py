"""What tests of more than one room share. Tests are no package, so shared files are loaded by their path."""

import importlib.util
import sys
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

# The same examples on every run: a clean clone passes or fails by its code, not by its luck.
hypothesis_settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
hypothesis_settings.load_profile("fixed")


def _loaded(*parts):
    path = Path(__file__).parent.joinpath(*parts)
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their own module up
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def exact_oracle():
    """The independent track line solver beside the rigging tests."""
    return _loaded("rigging", "exact_oracle.py")


@pytest.fixture(scope="session")
def free_bodies():
    """Sums of forces on the bodies of a rig, beside the rigging tests."""
    return _loaded("rigging", "free_bodies.py")


@pytest.fixture(scope="session")
def hand_made():
    """Site plans made by hand beside the tests of sheets; none of their figures is computed."""
    _loaded("sheets", "hand_answers.py")  # which the next one imports
    return _loaded("sheets", "fixtures.py")


@pytest.fixture(scope="session")
def county_maker():
    """Writes the small invented county beside the tests of the command line."""
    return _loaded("cli", "county_maker.py")


@pytest.fixture(scope="session")
def big_county():
    """Writes a generated county of any size, for measuring."""
    return _loaded("bench", "big_county.py")
