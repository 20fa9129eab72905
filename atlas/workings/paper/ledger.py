"""Writes a derivation down: remembers every number told, and puts numbers into formulas by their symbols."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from atlas.settings import Policy, Words
from atlas.units import Figure, UnitSystem, printed
from atlas.workings.paper.entries import (
    Chapter,
    Check,
    Entry,
    Given,
    Instance,
    Quantity,
    Relation,
    Remark,
    Step,
    Table,
    Value,
    sided,
    table_lines,
)
from atlas.workings.paper.formula import names_in, parse

__all__ = ["Ledger"]


@dataclass(slots=True)
class Ledger:
    """The derivation being written.

    Attributes
    ----------
    known : the numbers told, by symbol
    """

    words: Words
    policy: Policy
    system: UnitSystem
    chapters: list[Chapter] = field(default_factory=list)
    known: dict[str, Value] = field(default_factory=dict)
    _entries: list[Entry] = field(default_factory=list)

    @contextmanager
    def chapter(self, code: str, *, exports: Sequence[str] | None = None, **values: str) -> Iterator[None]:
        """Everything told inside stands under one heading; only `exports` is known afterwards, if given."""
        before = dict(self.known)
        self._entries = []
        yield
        kept = None if exports is None else frozenset(exports)
        title = self.words(f"derivation.chapter.{code}", **values)
        self.chapters.append(Chapter(code, title, tuple(self._entries), kept))
        if kept is not None:
            self.known = {**before, **{name: self.known[name] for name in kept if name in self.known}}

    def source(self, code: str, **values: str) -> str:
        """A source in words."""
        return self.words(f"derivation.source.{code}", **values)

    def title(self, code: str, **values: str) -> str:
        """What a line is, in words."""
        return self.words(f"derivation.step.{code}", **values)

    def shown(self, figure: Figure | None, value: float) -> str:
        """A figure as the sheet prints it, in both systems."""
        return "" if figure is None else printed(figure, value, self.system).both

    def given(
        self, key: str, value: Value, source: str, *, figure: Figure | None = None, title: str | None = None
    ) -> Value:
        """Tell an input, a decision or a solved unknown."""
        told = self.title(key) if title is None else title
        self._entries.append(Given(told, value, source, self.shown(figure, value.value)))
        self.known[value.symbol] = value
        return value

    def limit(self, key: str, symbol: str, policy_key: str, unit: str = "", decimals: int = 2) -> Value:
        """Tell a value of the policy with its own source."""
        value = Value(symbol, self.policy.value_of(policy_key), unit, decimals)
        return self.given(key, value, self.policy_source(policy_key))

    def policy_source(self, policy_key: str) -> str:
        """Key of the policy, and where its figure comes from."""
        return self.source("policy", name=policy_key, source=self.policy.provenance[policy_key].source)

    def step(
        self,
        key: str,
        result: Value,
        formula: str,
        source: str = "",
        *,
        figure: Figure | None = None,
        title: str | None = None,
    ) -> Value:
        """Tell what follows by a formula from numbers that were told."""
        values = tuple(self.known[name] for name in dict.fromkeys(names_in(parse(formula))))
        told = self.title(key) if title is None else title
        self._entries.append(Step(told, result, formula, values, source, self.shown(figure, result.value)))
        self.known[result.symbol] = result
        return result

    def check(
        self,
        key: str,
        left: str,
        relation: Relation,
        right: str,
        *,
        source: str = "",
        title: str | None = None,
    ) -> bool:
        """Hold two numbers that were told against each other; the verdict is on the unrounded ones."""
        first, second = self.known[left], self.known[right]
        gap = first.value - second.value
        holds = gap >= 0.0 if relation is Relation.AT_LEAST else gap <= 0.0
        told = self.title(key) if title is None else title
        self._entries.append(Check(told, first, relation, second, holds, source))
        return holds

    def table(
        self,
        key: str,
        quantities: Sequence[Quantity],
        instances: Sequence[Instance],
        *,
        source: str = "",
        across: bool = False,
        title: str | None = None,
    ) -> None:
        """Tell several things alike; their formulas take what the table lacks from what was told."""
        own = {quantity.symbol for quantity in quantities}
        outside = dict.fromkeys(
            name
            for quantity in quantities
            if quantity.formula is not None
            for name in names_in(parse(quantity.formula))
            if name not in own
        )
        uses = tuple(self.known[name] for name in outside)
        told = self.title(key) if title is None else title
        table = Table(told, tuple(quantities), tuple(instances), uses, source, across)
        self._entries.append(table)
        for instance, quantity, value in table_lines(table):
            if instance.side:
                symbol = sided(quantity.symbol, instance.side)
                self.known[symbol] = Value(symbol, value.value, value.unit, value.decimals)

    def remark(self, text: str, *, strong: bool = False) -> None:
        """Say something."""
        self._entries.append(Remark(text, strong))
