"""What a rule allows a member, read from a table and adjusted by the edition's own look-up rule."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.lookups import Outcome, Reading
from service.units.citation import Citation
from service.units.working import Step


@dataclass(frozen=True, slots=True)
class Limit:
    """An allowable length, or a refusal: ``not_permitted`` (the table says no) or ``off_table``.

    ``readings`` are the table readings behind it, the governing one first; ``before`` are steps that led to
    the reading, ``after`` those that follow it.
    """

    value_in: float | None
    outcome: Outcome
    readings: tuple[Reading, ...]
    before: tuple[Step, ...] = ()
    after: tuple[Step, ...] = ()

    @property
    def found(self) -> bool:
        """Whether the tables cover the case and permit it."""
        return self.outcome == "found"

    @property
    def covered(self) -> bool:
        """Whether the tables cover the case, permitted or not."""
        return self.outcome != "off_table"

    @property
    def suspect(self) -> bool:
        """Whether a row behind the limit is printed out of family."""
        return any(reading.suspect for reading in self.readings)

    @property
    def citation(self) -> Citation:
        """The table cell that governs."""
        return self.readings[0].citation

    @property
    def working(self) -> tuple[Step, ...]:
        """All steps, in order."""
        read = tuple(step for reading in self.readings for step in reading.steps)
        return self.before + read + self.after


def limit_of(reading: Reading, before: tuple[Step, ...] = ()) -> Limit:
    """Return a reading as a limit, unchanged.

    Source: the reading's own table.

    Args:
        reading: a table reading, in.
        before: steps that led to it.
    """
    return Limit(reading.value, reading.outcome, (reading,), before)
