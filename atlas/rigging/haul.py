"""Hauls: the tension a crew reaches, the most it may have set, and which haul suits a window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.faults import OutOfRange

__all__ = ["HaulChoice", "choose_haul", "ideal_advantage", "pulleys_in", "real_advantage"]

_IDEAL = {"2:1": 2, "3:1": 3, "4:1": 4, "6:1": 6, "9:1": 9}


def ideal_advantage(system: str) -> int:
    """Advantage of a haul without friction.

    Raises
    ------
    OutOfRange
        The system is not one of 2:1, 3:1, 4:1, 6:1, 9:1.
    """
    if system not in _IDEAL:
        raise OutOfRange(f"haul {system!r}: not known; allowed: {', '.join(_IDEAL)}")
    return _IDEAL[system]


def pulleys_in(system: str) -> int:
    """Pulleys that a haul is rigged with: as many as pass on their share in `real_advantage`.

    Raises
    ------
    OutOfRange
        An unknown system.
    """
    return {2: 1, 3: 2, 4: 2, 6: 3, 9: 4}[ideal_advantage(system)]


def real_advantage(system: str, *, pulley_efficiency: float) -> float:
    """Advantage of a haul through pulleys that each pass on the fraction `pulley_efficiency`.

    2:1 is 1 + e; 3:1 is 1 + e + e^2; 4:1, 6:1 and 9:1 are products of these. Source: statics of one
    rope over pulleys; training articles quote 1.75, 2.31 and 2.71 for a 3:1 at e = 0.5, 0.75, 0.9.

    Raises
    ------
    OutOfRange
        An unknown system, or an efficiency outside 0 to 1.
    """
    if not 0.0 < pulley_efficiency <= 1.0:
        raise OutOfRange(f"pulley efficiency {pulley_efficiency}: allowed above 0, up to 1")
    two = 1.0 + pulley_efficiency
    three = 1.0 + pulley_efficiency + pulley_efficiency**2
    factors = {1: 1.0, 2: two, 3: three, 4: two * two, 6: two * three, 9: three * three}
    return factors[ideal_advantage(system)]


@dataclass(frozen=True, slots=True)
class HaulChoice:
    """A haul and crew.

    Attributes
    ----------
    least_n : what the crew reaches through real pulleys [N]
    most_n : the most the same crew may have set, with no loss at all [N]
    fits : [least_n, most_n] lies inside the window asked for
    """

    system: str
    people: int
    least_n: float
    most_n: float
    fits: bool


def _candidates(
    systems: Sequence[str], *, people_most: int, pull_per_person_n: float, pulley_efficiency: float
) -> list[HaulChoice]:
    return [
        HaulChoice(
            system=system,
            people=people,
            least_n=people * pull_per_person_n * real_advantage(system, pulley_efficiency=pulley_efficiency),
            # whole numbers first: 9:1 with two and 6:1 with three set the same, to the last digit
            most_n=people * ideal_advantage(system) * pull_per_person_n,
            fits=False,
        )
        for system in systems
        for people in range(1, people_most + 1)
    ]


def choose_haul(
    systems: Sequence[str],
    *,
    window_n: tuple[float, float] | None,
    rule_most_n: float,
    people_most: int,
    pull_per_person_n: float,
    pulley_efficiency: float,
) -> HaulChoice:
    """The haul to print: inside the window with fewest people, then nearest the window's middle.

    Parameters
    ----------
    window_n : set tensions between which every limit holds [N]; None if there are none
    rule_most_n : what the rules on set tension allow [N]; stands in where there is no window

    Returns
    -------
    HaulChoice
        With ``fits`` False where none lies inside: then the one that may set most without passing
        the upper end (the least of all, if each passes it).
    """
    choices = _candidates(
        systems,
        people_most=people_most,
        pull_per_person_n=pull_per_person_n,
        pulley_efficiency=pulley_efficiency,
    )
    if window_n is not None:
        low_n, high_n = window_n
        inside = [choice for choice in choices if low_n <= choice.least_n and choice.most_n <= high_n]
        if inside:
            middle_n = (low_n + high_n) / 2.0
            best = min(
                inside,
                key=lambda choice: (
                    choice.people,
                    abs((choice.least_n + choice.most_n) / 2.0 - middle_n),
                    choice.system,
                ),
            )
            return HaulChoice(best.system, best.people, best.least_n, best.most_n, fits=True)
    upper_n = rule_most_n if window_n is None else window_n[1]
    below = [choice for choice in choices if choice.most_n <= upper_n]
    if below:
        return max(below, key=lambda choice: (choice.most_n, -choice.people))
    return min(choices, key=lambda choice: (choice.most_n, choice.people))
