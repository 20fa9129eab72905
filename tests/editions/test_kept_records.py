"""Records as text and as bytes: what is alike is told alike, and bytes hold nothing but records."""

import os
import pickle
import subprocess
import sys
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pytest

from atlas.binder import Batch, Earlier
from atlas.records import Anchor, AnchorUse, Bank
from atlas.records.pickled import packed, unpacked
from atlas.records.plain import told


@pytest.fixture(scope="module")
def plan(hand_made, settings):
    return hand_made.make_plan(settings.words)


def test_a_plan_comes_back_as_it_was(plan):
    assert unpacked(packed(plan)) == plan


def test_what_differs_anywhere_is_told_differently(plan):
    anchor = Anchor(
        tag="N1", bank=Bank.NEAR, uses=frozenset({AnchorUse.TRACK}), place=(-101.0, 41.0), kind="tree",
        diameter_m=0.5, height_m=3.4, height_assumed=False, rating_n=None, do_not_use=False,
    )  # fmt: skip
    site = replace(plan.site, anchors=(anchor,))
    same = told(Batch((site,)))
    assert told(Batch((replace(site),))) == same
    for other in (
        replace(anchor, height_m=anchor.height_m + 1e-12),
        replace(anchor, uses=frozenset(AnchorUse)),
        replace(anchor, do_not_use=not anchor.do_not_use),
    ):
        assert told(Batch((replace(site, anchors=(other,)),))) != same
    assert told(Batch((site,), {site.code: Earlier("0" * 64, "2024")})) != same
    assert told((1, "1", 1.0, True, None, b"1")) == "[1,'1',1.0,True,None,b'1']"
    assert told(np.zeros(3)) != told(np.zeros(4))
    assert told(np.float64(0.5)) == told(0.5)


def test_sets_and_tables_are_told_alike_whatever_the_hash_seed():
    code = (
        "from atlas.records.plain import told; from atlas.records import AnchorUse;"
        "print(told((frozenset(AnchorUse), {'b': 1, 'a': {2.5, 1.5}})))"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True,
            env=os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(seen) == 1


class Other:
    """No record."""


@dataclass
class Elsewhere:
    """A dataclass of another package."""

    day: date


def test_what_is_no_record_is_neither_told_nor_unpacked():
    with pytest.raises(TypeError, match=r"no plain data: .*Other"):
        told((1, Other()))
    for call in (os.system, eval, getattr, Elsewhere(date(2026, 1, 1)), np.load):
        with pytest.raises(pickle.UnpicklingError, match="is none of our records"):
            unpacked(pickle.dumps(call))
