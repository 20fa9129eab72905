"""Why a sheet reads differently than last year's: its facts, old to new, in the words of the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher

from atlas.editions.read import Edition, PolicyEntry
from atlas.editions.swap.site_facts import Fact, site_facts
from atlas.editions.swap.workings import Part
from atlas.settings import Words
from atlas.settings.policy import as_written
from atlas.units import UnitSystem

__all__ = ["changed", "fact_reasons", "policy_changes", "policy_reasons", "text_reasons"]

_MOST_TEXTS = 3


def changed(words: Words, what: str, old: str, new: str) -> str:
    """``span 31.2 to 33.0 m``: the unit once where both have the same."""
    (old_number, _, old_unit), (_, _, new_unit) = old.partition(" "), new.partition(" ")
    if old_unit == new_unit and old_number[:1].isdigit() and new[:1].isdigit():
        old = old_number
    return words("swap.reason.changed", what=what, old=old, new=new)


def _of_short(words: Words, old: Fact | None, new: Fact) -> Iterator[str]:
    before = "" if old is None else old.value
    if new.value and new.value != before:
        yield words("swap.reason.short", line=new.what, length=new.value)
    elif before and not new.value:
        yield words("swap.reason.covered", line=new.what)


def _of_one(words: Words, old: Fact | None, new: Fact) -> Iterator[str]:
    """What a fact of the new sheet says against the old one."""
    if new.kind == "short":
        yield from _of_short(words, old, new)
    elif old is None:
        if new.kind == "said":
            yield words("swap.reason.now_says", text=new.what)
        elif new.kind == "thing":
            yield words("swap.reason.added", what=new.what)
    elif old.value != new.value:
        yield changed(words, new.what, old.value, new.value)


def _gone(words: Words, old: Fact) -> Iterator[str]:
    if old.kind == "said":
        yield words("swap.reason.no_longer_says", text=old.what)
    elif old.kind == "thing":
        yield words("swap.reason.removed", what=old.what)


def fact_reasons(old: Part, new: Part, words: Words, units: UnitSystem) -> tuple[list[str], list[str]]:
    """What reads differently between the workings of two editions: figures and things, then texts.

    Things that went come first.

    Raises
    ------
    InputFaults
        One of them is damaged.
    """
    before, after = site_facts(old, words, units), site_facts(new, words, units)
    gone = [fact for key, fact in before.items() if key not in after]
    figures = [text for fact in gone if fact.kind != "said" for text in _gone(words, fact)]
    texts = [text for fact in gone if fact.kind == "said" for text in _gone(words, fact)]
    for key, fact in after.items():
        (texts if fact.kind == "said" else figures).extend(_of_one(words, before.get(key), fact))
    return figures, texts


def _entry_text(words: Words, entry: PolicyEntry | None) -> str:
    if entry is None:
        return words("swap.unset")
    if isinstance(entry.value, bool):
        return words("binder.limits.yes" if entry.value else "binder.limits.no")
    if isinstance(entry.value, str):
        return entry.value
    return f"{as_written(entry.value, entry.unit):.6g} {entry.unit}".rstrip()


def policy_changes(old: Edition, new: Edition, words: Words) -> dict[str, str]:
    """Policy values that differ between two editions, by key, each as a reason."""
    told = {}
    for key in sorted(old.policy.keys() | new.policy.keys()):
        before, after = old.policy.get(key), new.policy.get(key)
        texts = [
            words("swap.unset") if entry is None else _entry_text(words, entry) for entry in (before, after)
        ]
        if texts[0] != texts[1]:
            wording = f"binder.limit.{key.rsplit('.', 1)[-1]}"
            what = words(wording) if words.has(wording) else key
            told[key] = words("swap.reason.policy", change=changed(words, what, *texts))
    return told


def policy_reasons(changes: Mapping[str, str], old: Part, new: Part) -> list[str]:
    """Those policy changes whose limit took part in the sheet's verdict, then or now."""
    used = {limit.text("key") for site in (old, new) for limit in site.parts("limits_used")}
    return [text for key, text in changes.items() if key in used]


def text_reasons(words: Words, old: list[str], new: list[str]) -> list[str]:
    """Lines of text that differ, where no figure tells why."""
    told = []
    for kind, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        before, after = " ".join(old[a:b]), " ".join(new[c:d])
        if kind == "replace":
            told.append(words("swap.reason.text", old=before, new=after))
        elif kind == "insert":
            told.append(words("swap.reason.now_says", text=after))
        elif kind == "delete":
            told.append(words("swap.reason.no_longer_says", text=before))
    return told[:_MOST_TEXTS]
