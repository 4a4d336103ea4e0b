"""What a result wants its reader to know beside the numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Notice:
    """A remark that travels with a result: *code* for scripts, *message* one sentence for people.

    A *grave* one would spoil the pour or hurt someone: it is told even to who wants no remarks.
    """

    code: str
    message: str
    grave: bool = False
