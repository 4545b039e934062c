"""Who waits for a design: told at which stage it is, and asked time and again whether it is still wanted.

The design knows no clock and no caller. What is told to a watch changes no answer; a watch may end the work by an
exception of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, ExitStack, nullcontext
from dataclasses import dataclass
from typing import Literal

Stage = Literal["criteria", "search", "report", "beside"]
STAGES: tuple[Stage, ...] = ("criteria", "search", "report", "beside")


class Watch:
    """Watches nothing; others are made from it.

    >>> with Watch().stage("search"):
    ...     Watch().go_on()
    """

    def stage(self, name: Stage) -> AbstractContextManager[object]:  # noqa: ARG002 - others are told it
        """Return what is open for as long as a stage of the design lasts."""
        return nullcontext()

    def go_on(self) -> None:
        """Return if the design is still wanted; raise what ends it if not. Asked every second or oftener."""


UNWATCHED = Watch()


@dataclass(frozen=True)
class Together(Watch):
    """Several watches of one design."""

    watches: Sequence[Watch]

    def stage(self, name: Stage) -> AbstractContextManager[object]:
        """Return what is open for as long as a stage lasts, for all of them."""
        stack = ExitStack()
        for one in self.watches:
            stack.enter_context(one.stage(name))
        return stack

    def go_on(self) -> None:
        """Return if all of them go on."""
        for one in self.watches:
            one.go_on()
