"""What can be wrong with a site's geometry, as data: the reader of surveys turns it into its own faults."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["FrameProblem"]


@dataclass(frozen=True, slots=True)
class FrameProblem:
    """One reason why a site has no frame.

    Attributes
    ----------
    code : stable name of the kind of problem
    field : property or role to be looked at
    got : what the survey says, as text
    allowed : what would be accepted
    todo : what to do about it
    what : what is wrong, in words
    role : role of the feature to be looked at
    """

    code: str
    field: str
    got: str
    allowed: str
    todo: str
    what: str
    role: str = "access"
