"""A check: what is asked of a member, what it can give, and where both come from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from service.units.citation import Citation
from service.units.working import Step

Basis = Literal["table", "calculated", "rule"]
Sense = Literal["at_most", "at_least", "yes_no"]

# Decimal fractions of an inch do not all exist in binary; a member exactly at its limit must pass.
SLACK = 1e-9


class Finding(msgspec.Struct, frozen=True):
    """One check of one member; failing is a result, not an error.

    For ``at_least``, ``demand`` is what is provided and ``capacity`` the limit. ``ratio`` is utilisation: 1 or
    less passes. A cell that is not permitted has ``capacity`` null and ``passes`` false.

    >>> at_most("main.joists-1", "joist_span", "table", 132, 168, "in", Citation("IRC"), ()).passes
    True
    """

    id: str
    member: str
    check: str
    basis: Basis
    sense: Sense
    demand: float | None
    capacity: float | None
    unit: str | None
    ratio: float | None
    passes: bool
    would_pass: str | None
    citation: Citation
    working: tuple[Step, ...]


def _make(
    member: str,
    check: str,
    basis: Basis,
    sense: Sense,
    demand: float | None,
    capacity: float | None,
    unit: str | None,
    ratio: float | None,
    passes: bool,
    citation: Citation,
    working: Sequence[Step],
) -> Finding:
    # By position: a design makes some thousands of these.
    return Finding(
        f"{member}:{check}:{basis}", member, check, basis, sense, demand, capacity, unit, ratio, passes, None,
        citation, tuple(working),
    )  # fmt: skip


def at_most(
    member: str,
    check: str,
    basis: Basis,
    demand: float,
    capacity: float | None,
    unit: str,
    citation: Citation,
    working: Sequence[Step] = (),
) -> Finding:
    """Return a check that ``demand`` stays at or under ``capacity`` (null: nothing is permitted).

    >>> at_most("main.beam-1", "beam_span", "table", 96, 90, "in", Citation("IRC")).passes
    False
    """
    if capacity is None:
        return _make(member, check, basis, "at_most", demand, None, unit, None, False, citation, working)
    ratio = demand / capacity if capacity > 0 else None
    passes = demand <= capacity + SLACK * max(1.0, abs(capacity))
    return _make(member, check, basis, "at_most", demand, capacity, unit, ratio, passes, citation, working)


def at_least(
    member: str,
    check: str,
    basis: Basis,
    provided: float,
    limit: float,
    unit: str,
    citation: Citation,
    working: Sequence[Step] = (),
) -> Finding:
    """Return a check that what is ``provided`` reaches ``limit``.

    >>> at_least("main.footing-1-1", "footing_size", "table", 16, 14, "in", Citation("IRC")).ratio
    0.875
    """
    ratio = limit / provided if provided > 0 else None
    passes = provided >= limit - SLACK * max(1.0, abs(limit))
    return _make(member, check, basis, "at_least", provided, limit, unit, ratio, passes, citation, working)


def yes_no(
    member: str, check: str, basis: Basis, passes: bool, citation: Citation, working: Sequence[Step] = ()
) -> Finding:
    """Return a check that is a plain yes or no.

    >>> yes_no("main.ledger-1", "ledger_wall", "rule", True, Citation("IRC")).sense
    'yes_no'
    """
    return _make(member, check, basis, "yes_no", None, None, None, None, passes, citation, working)


def numbered(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings with ``:n`` appended to ids that repeat, in order.

    >>> twice = [yes_no("a.b-1", "sway", "rule", True, Citation("x"))] * 2
    >>> [f.id for f in numbered(twice)]
    ['a.b-1:sway:rule', 'a.b-1:sway:rule:2']
    """
    seen: dict[str, int] = {}
    out = []
    for finding in findings:
        n = seen[finding.id] = seen.get(finding.id, 0) + 1
        out.append(finding if n == 1 else msgspec.structs.replace(finding, id=f"{finding.id}:{n}"))
    return out
