"""Every printed word, by dotted key, from templates/words/LANGUAGE.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from string import Formatter

from atlas.faults import Fault, InputFaults, Severity
from atlas.settings.toml_file import Table


@dataclass(frozen=True, slots=True)
class Words:
    """Texts by dotted key; a text may hold ``{name}`` places filled when it is used."""

    texts: Mapping[str, str]
    file: str

    def __call__(self, key: str, **values: str | int) -> str:
        """The text of `key` with its places filled.

        Raises
        ------
        InputFaults
            The wording has no such key, or the text has a place that is not filled here.
        """
        try:
            return self.texts[key].format_map(values)
        except KeyError as missing:
            raise InputFaults([self._fault(key, missing)]) from None

    def has(self, key: str) -> bool:
        """Whether the wording knows `key`."""
        return key in self.texts

    def of(self, folder: str) -> dict[str, str]:
        """All texts directly under a folder, by their last name, in the file's order."""
        start = f"{folder}."
        return {
            key.removeprefix(start): text
            for key, text in self.texts.items()
            if key.startswith(start) and "." not in key.removeprefix(start)
        }

    def _fault(self, key: str, missing: KeyError) -> Fault:
        return Fault(
            code="wording_missing",
            severity=Severity.FILE,
            what="the wording lacks a text, or names a place that is not filled",
            file=self.file,
            field=key,
            got=str(missing),
            todo="add the text, or compare with the wording that came with the program",
        )


def _plain_places(text: str) -> bool:
    """Only ``{name}``: no attributes, indices or conversions, which a text has no need of."""
    try:
        places = [(name, spec, conversion) for _, name, spec, conversion in Formatter().parse(text)]
    except ValueError:
        return False
    return all(
        name is None or (name.isidentifier() and not spec and conversion is None)
        for name, spec, conversion in places
    )


def _places(text: str) -> list[str]:
    return sorted({name for _, name, _, _ in Formatter().parse(text) if name is not None})


def _braced(names: list[str]) -> str:
    return " ".join(f"{{{name}}}" for name in names) or "no places"


def check_wording(words: Words, shipped: Words) -> None:
    """A county's own wording has every text of the shipped one, with the same places.

    What is missing would be found out only when that text comes to be printed; a place left out is a
    figure that the crew does not get.

    Raises
    ------
    InputFaults
        Every text that is missing, and every one with other places.
    """
    faults = []
    for key, text in shipped.texts.items():
        own = words.texts.get(key)
        if own is None:
            what, code, got, allowed = "the wording lacks this text", "wording_missing", None, repr(text)
        elif _places(own) != _places(text):
            what, code = "the text has other places than the one that came with the program", "wording_places"
            got, allowed = repr(own), _braced(_places(text))
        else:
            continue
        faults.append(
            Fault(
                code=code,
                severity=Severity.FILE,
                what=what,
                file=words.file,
                field=key,
                got=got,
                allowed=allowed,
                todo="add the text" if own is None else "mend its places",
            )
        )
    if faults:
        raise InputFaults(faults)


def read_words(table: Table, path: Path) -> Words:
    """Flatten a wording file.

    Raises
    ------
    InputFaults
        Every entry that is no text, or whose places are not plain names.
    """
    texts: dict[str, str] = {}
    faults: list[Fault] = []

    def walk(at: Table, prefix: str) -> None:
        for name, item in at.items():
            key = f"{prefix}{name}"
            if isinstance(item, dict):
                walk(item, f"{key}.")
            elif isinstance(item, str) and _plain_places(item):
                texts[key] = item
            else:
                faults.append(
                    Fault(
                        code="wording_entry",
                        severity=Severity.FILE,
                        what="the entry is no text, or its places are not plain names in braces",
                        file=str(path),
                        field=key,
                        got=repr(item),
                        allowed='"a text with {name} places"',
                        todo="mend the entry",
                    )
                )

    walk(table, "")
    if faults:
        raise InputFaults(faults)
    return Words(texts=texts, file=str(path))
