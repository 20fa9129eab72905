"""What tests of more than one room share."""

import importlib.util
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def exact_oracle():
    """The independent track line solver beside the rigging tests: no package, so loaded by its path."""
    path = Path(__file__).parent / "rigging" / "exact_oracle.py"
    spec = importlib.util.spec_from_file_location("exact_oracle", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their own module up
    spec.loader.exec_module(module)
    return module
