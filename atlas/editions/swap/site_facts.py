"""What a sheet says, as facts to be held against last year's: printed, as only what reads anew counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from atlas.editions.swap.workings import Part
from atlas.settings import Words
from atlas.units import Figure, UnitSystem, printed

__all__ = ["Fact", "site_facts"]

_FIGURES = (
    ("span_m", Figure.SPAN),
    ("width_m", Figure.SPAN),
    ("reach_down_m", Figure.SPAN),
    ("setback_near_m", Figure.SPAN),
    ("setback_far_m", Figure.SPAN),
)
_PLANNING = (("stage_m", Figure.STAGE), ("design_speed_m_s", Figure.SPEED))
_LIMIT = (("surface_speed_m_s", Figure.LIMIT_SPEED), ("stage_m", Figure.LIMIT_STAGE))
_CASE = (("factor", Figure.FACTOR), ("clearance_m", Figure.CLEARANCE))


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that a sheet says.

    Attributes
    ----------
    key : by which it is found in the other edition
    kind : ``value`` (there in both, and may differ), ``thing`` (added, removed, or differs), ``said`` (a
        text that stands there or not), ``short`` (what a rope lacks; empty where none does)
    what : its name as printed
    value : as printed
    """

    key: str
    kind: str
    what: str
    value: str


@dataclass(frozen=True, slots=True)
class _Teller:
    words: Words
    units: UnitSystem

    def what(self, key: str) -> str:
        return self.words(f"swap.fact.{key}")

    def figure(self, figure: Figure, value: float) -> str:
        return printed(figure, value, self.units).first

    def named(self, folder: str, key: str) -> str:
        """A word that the sheet prints too; a name unknown to the wording stands for itself."""
        wording = f"{folder}.{key}"
        return self.words(wording) if self.words.has(wording) else key

    def fact(self, key: str, figure: Figure, value: float | None) -> Iterator[Fact]:
        told = self.words("swap.none") if value is None else self.figure(figure, value)
        yield Fact(key, "value", self.what(key), told)


def _about(site: Part, tell: _Teller) -> Iterator[Fact]:
    survey = site.part("survey")
    yield Fact("name", "value", tell.what("name"), site.text("name") or "")
    if survey is not None:
        for key in ("agency", "river", "near_bank", "surveyed"):
            yield Fact(key, "value", tell.what(key), survey.text(key) or "")
    for key, figure in _FIGURES:
        yield from tell.fact(key, figure, site.number(key))
    for post in site.parts("posts"):
        name = tell.named("sheet.post", post.text("post") or "")
        far = tell.figure(Figure.POST_DISTANCE, post.number("downstream_m") or 0.0)
        yield Fact(f"post {name}", "thing", name, far)


def _anchors(rig: Part, tell: _Teller) -> Iterator[Fact]:
    for anchor in rig.parts("anchors"):
        tag, bank = anchor.text("tag") or "", anchor.text("bank") or ""
        what = tell.words("swap.anchor", bank=tell.named("swap.bank", bank), tag=tag)
        height = tell.figure(Figure.TIE_HEIGHT, anchor.number("height_m") or 0.0)
        yield Fact(f"anchor {bank} {tag}", "thing", what, "")
        yield Fact(f"anchor {bank} {tag} height", "value", tell.words("swap.tie", anchor=what), height)
        use = tell.words("swap.do_not_use") if anchor.flag("do_not_use") else tell.words("swap.in_use")
        yield Fact(f"anchor {bank} {tag} use", "value", what, use)
        rating = anchor.number("rating_n")
        if rating is not None:
            told = tell.figure(Figure.STRENGTH_HELD, rating)
            yield Fact(f"anchor {bank} {tag} hold", "value", tell.words("swap.hold", anchor=what), told)


def _lines(rig: Part, tell: _Teller) -> Iterator[Fact]:
    """What ropes lack, then what is needed and taken."""
    lines = [(line, line.text("line") or "") for line in rig.parts("lines")]
    for line, code in lines:
        lacking = line.number("short_m") or 0.0
        told = tell.figure(Figure.SHORT_LENGTH, lacking) if lacking > 0 else ""
        yield Fact(f"line {code} short", "short", tell.named("line", code), told)
    for line, code in lines:
        name = tell.named("line", code)
        needed = tell.figure(Figure.NEEDED_LENGTH, line.number("needed_m") or 0.0)
        yield Fact(f"line {code}", "value", tell.words("swap.line_needed", line=name), needed)
        takes = [f"{take.text('agency')} {take.text('rope')}" for take in line.parts("take")]
        told = tell.words("sheet.separator").join(takes) or tell.words("swap.no_rope")
        yield Fact(f"line {code} rope", "value", tell.words("swap.line_rope", line=name), told)


def _limits(rig: Part, tell: _Teller) -> Iterator[Fact]:
    limit = rig.part("limit")
    for key, figure in _LIMIT:
        yield from tell.fact(f"limit_{key}", figure, None if limit is None else limit.number(key))
    governs = None if limit is None else limit.text("governed_by")
    told = tell.words("swap.none") if governs is None else tell.named("governed", governs)
    yield Fact("governed_by", "value", tell.what("governed_by"), told)


def _set(rig: Part, tell: _Teller) -> Iterator[Fact]:
    """How the track line is set."""
    window = rig.pair("pretension_window_n")
    ends = (None, None) if window is None else window
    for key, figure, end in zip(
        ("window_low", "window_high"), (Figure.WINDOW_LOW, Figure.WINDOW_HIGH), ends, strict=True
    ):
        yield from tell.fact(key, figure, end)
    haul = rig.part("haul")
    if haul is not None:
        people = tell.figure(Figure.PEOPLE_NEEDED, haul.number("people") or 0.0)
        told = tell.words("swap.haul", system=haul.text("system") or "", people=people)
        yield Fact("haul", "value", tell.what("haul"), told)
    yield from tell.fact("closest_boat_m", Figure.CLOSEST_BOAT, rig.number("closest_boat_m"))


def _planning(rig: Part, tell: _Teller) -> Iterator[Fact]:
    for stage in rig.parts("stages"):
        if not stage.flag("planning"):
            continue
        verdict = tell.words("binder.contents.inside" if stage.flag("inside") else "binder.contents.outside")
        yield Fact("verdict", "value", tell.what("verdict"), verdict)
        for key, figure in _PLANNING:
            yield from tell.fact(f"planning_{key}", figure, stage.number(key))


def _cases(rig: Part, tell: _Teller) -> Iterator[Fact]:
    """Figures of the planning row, case by case."""
    planning = (stage for stage in rig.parts("stages") if stage.flag("planning"))
    for case in (case for stage in planning for case in stage.parts("cases") if case.flag("judged")):
        name = case.text("case") or ""
        for key, figure in _CASE:
            told = tell.figure(figure, case.number(key) or 0.0)
            what = tell.words(f"swap.case_{key}", case=tell.named("case", name))
            yield Fact(f"case {name} {key}", "value", what, told)


def _brought(rig: Part, tell: _Teller) -> Iterator[Fact]:
    for need in rig.parts("gear"):
        item = need.text("item") or ""
        told = tell.words(
            "swap.gear",
            needed=tell.figure(Figure.COUNT, need.number("needed") or 0.0),
            short=tell.figure(Figure.COUNT, need.number("short") or 0.0),
        )
        yield Fact(f"gear {item}", "thing", tell.named("gear", item), told)
    for post in rig.parts("crew"):
        code = post.text("post") or ""
        people = tell.figure(Figure.PEOPLE_NEEDED, post.number("people") or 0.0)
        yield Fact(f"crew {code}", "thing", tell.named("crew", code), people)


def _said(site: Part) -> Iterator[Fact]:
    for key in ("cautions", "warnings"):
        for said in site.parts(key):
            text = said.text("text") or ""
            yield Fact(f"said {text}", "said", text, text)


def _rig(site: Part, words: Words, units: UnitSystem) -> Iterator[Fact]:
    tell = _Teller(words, units)
    chosen = next((rig for rig in site.parts("rigs") if rig.flag("chosen")), None)
    if chosen is None:
        return
    yield Fact("rig", "value", tell.what("rig"), tell.named("rig", chosen.text("rig") or ""))
    yield from _anchors(chosen, tell)
    yield from _limits(chosen, tell)
    yield from _planning(chosen, tell)
    yield from _lines(chosen, tell)
    yield from _set(chosen, tell)
    yield from _cases(chosen, tell)
    yield from _brought(chosen, tell)


def site_facts(site: Part, words: Words, units: UnitSystem) -> dict[str, Fact]:
    """The facts of a sheet by their keys, those that decide first.

    Raises
    ------
    InputFaults
        The workings are damaged.
    """
    facts = (*_about(site, _Teller(words, units)), *_rig(site, words, units), *_said(site))
    return {fact.key: fact for fact in facts}
