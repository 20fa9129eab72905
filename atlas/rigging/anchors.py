"""Anchors: what is asked of them, and what an unrated one is taken to hold."""

from __future__ import annotations

__all__ = ["assumed_hold_n", "hold_needed_n"]


def hold_needed_n(*, load_n: float, ratio: float, least_n: float) -> float:
    """Ultimate hold [N] asked of an anchor: `ratio` times its load, and never under `least_n`."""
    return max(ratio * load_n, least_n)


def assumed_hold_n(
    *, size_m: float, of_size_squared_n_m2: float, most_n: float, size_least_m: float
) -> float | None:
    """Hold [N] assumed of an unrated anchor of known kind: k d^2, at most `most_n`.

    None for a size under `size_least_m`: nothing is assumed of it. The law is the section's: what a
    post or trunk stands grows at least with the square of its thickness. The coefficient is policy.
    """
    if size_m < size_least_m:
        return None
    return min(of_size_squared_n_m2 * size_m**2, most_n)
