"""A fourth rig, added the documented way: a template of a known kind, and a kind of its own."""

from dataclasses import dataclass, replace

import pytest

from atlas.faults import NoSolution
from atlas.plan import RigPlan, TetherRig
from atlas.plan.build import _Agencies, _asked
from atlas.plan.rigs import PLANNERS, rigs_of
from atlas.plan.rigs.batches import in_halves
from atlas.settings import load_settings
from atlas.settings.rig_kinds import KINDS, KindRule
from atlas.settings.shipped import shipped_folder

TEMPLATES = shipped_folder("templates")


def test_every_kind_has_its_module():
    assert set(PLANNERS) == set(KINDS)


def county_with(tmp_path, name, text, words=()):
    """A county with a rig's template of its own, and the wording with its name."""
    folder = tmp_path / "county"
    for sub in ("rigs", "words"):
        (folder / "templates" / sub).mkdir(parents=True)
    (folder / "templates" / "rigs" / f"{name}.toml").write_text(text, encoding="utf-8")
    wording = (TEMPLATES / "words" / "en.toml").read_text(encoding="utf-8")
    wording = wording.replace("[rig]\n", f'[rig]\n{name} = "A fourth rig"\n')
    for section, line in words:
        wording = wording.replace(f"[{section}]\n", f"[{section}]\n{line}\n")
    (folder / "templates" / "words" / "en.toml").write_text(wording, encoding="utf-8")
    return folder


def planned(demo, settings, code, rig):
    site = demo.sites[code]
    site = replace(site, access=replace(site.access, rig=rig))
    return replace(demo, settings=settings).plan(site)


def test_a_template_of_a_known_kind_is_one_rig_more(demo, tmp_path):
    """A two-line tether with six people less and another factor device: its own template alone."""
    text = (TEMPLATES / "rigs" / "two-line-tether.toml").read_text(encoding="utf-8")
    text = text.replace('name = "two-line-tether"', 'name = "light-tether"')
    text = text.replace('post = "downstream_near"\npeople = 1', 'post = "downstream_near"\npeople = 3')
    settings = load_settings(county=county_with(tmp_path, "light-tether", text))
    assert [rig.name for rig in settings.rigs][-1] == "light-tether", "not ranked: last"
    plan = planned(demo, settings, "OT-01", "light-tether")
    assert isinstance(plan.chosen, TetherRig)
    assert (plan.chosen.rig, plan.chosen.people) == ("light-tether", 12)
    two = next(rig for rig in plan.rigs if rig.rig == "two-line-tether")
    assert plan.chosen.stages == two.stages
    assert len(plan.rigs) == 4


@dataclass(frozen=True, slots=True, kw_only=True)
class WadingRig(RigPlan):
    """A rig of a kind of its own."""

    pole_m: float


def wading(contexts):
    """Computable where the planning row is slower than 1.6 m/s; there it has a pole."""
    found = []
    for context in contexts:
        if context.planning.design_speed_m_s > 1.6:
            found.append(NoSolution("wading: the water is too fast"))
            continue
        found.append(
            WadingRig(
                rig=context.rig.name, chosen=False, lines=(), least_factor=1.0, stages=(), limit=None,
                anchors=(), gear=(), crew=(), pole_m=2.0,
            )
        )  # fmt: skip
    return found


def test_a_kind_of_its_own_is_an_entry_and_a_module(demo, tmp_path, monkeypatch):
    monkeypatch.setitem(KINDS, "wading", KindRule(lines=("pole",), other_lines=(), cases=("boat-held",)))
    monkeypatch.setitem(PLANNERS, "wading", wading)
    text = (TEMPLATES / "rigs" / "two-line-tether.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("# Ropes that serve a line")
    parts = rest[rest.index("# Parts of a bow line") :]
    text = head.replace('name = "two-line-tether"', 'name = "wading-party"')
    text = text.replace('kind = "tether"', 'kind = "wading"')
    text = text.replace('release = ["bow-far", "bow-near"]', 'release = ["pole"]')
    rope = 'kinds = ["floating"]\ndiameter_least_mm = 8\nstrength_least_kn = 9\nsource = "ours"\n'
    text = f'{text}[[line]]\nname = "pole"\n[[line.rope]]\n{rope}{parts}'
    words = (("line", 'pole = "Pole"'), ("sheet.line_tag", 'pole = "P"'))
    settings = load_settings(county=county_with(tmp_path, "wading-party", text, words))
    asked = [demo.sites["PC-04"], demo.sites["WEN-05"]]
    agencies = _Agencies.of(demo.agencies)
    contexts = [
        _asked(site, county=demo.county, agencies=agencies, settings=settings, water=None).context
        for site in asked
    ]
    slow, fast = rigs_of(contexts, settings.rigs)
    assert [rig.rig for rig, _ in slow] == [rig.name for rig in settings.rigs]
    (party,) = [rig for rig, _ in slow if rig.rig == "wading-party"]
    assert (party.pole_m, party.cannot) == (2.0, None)
    (party, cause) = next(one for one in fast if one[0].rig == "wading-party")
    assert str(cause) == "wading: the water is too fast"
    assert (party.inside, party.reasons[0].code) == (False, "not_computed")
    assert party.reasons[0].text == "Cannot be computed here: wading: the water is too fast"
    assert all(cause is None for rig, cause in fast if rig.rig != "wading-party")


def test_a_kind_that_nobody_plans_is_told_and_costs_no_other_rig(demo, monkeypatch):
    monkeypatch.delitem(PLANNERS, "tether")
    plan = demo.quick("PC-03")
    assert plan.chosen.rig == "movable-control-point"
    others = [rig.reasons[0].text for rig in plan.rigs[1:]]
    assert others == ["Cannot be computed here: no module plans rigs of kind tether"] * 2
    assert not any(rig.inside for rig in plan.rigs[1:])


def test_halves_find_the_one_that_spoils_a_batch():
    def compute(batch):
        if "bad" in batch:
            raise NoSolution("bad")
        return [len(batch)] * len(batch)

    found = in_halves(compute, ["a", "b", "bad", "c"])
    assert [str(one) if isinstance(one, NoSolution) else one for one in found] == [2, 2, "bad", 1]
    with pytest.raises(ZeroDivisionError):
        in_halves(lambda batch: [1 / 0 for _ in batch], ["a"])
