"""The answer of a member check: what the table and a calculation allow, side by side."""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.choices import MemberKind
from service.contract.report import AmendmentRef, Caution, JurisdictionRef, Loads, RulebookRef, Verdict
from service.units.citation import Citation
from service.units.finding import Finding
from service.units.working import Step

Side = Literal["table", "calculated"]


class CheckBound(msgspec.Struct, frozen=True):
    """What one check alone would allow."""

    check: str
    value: float
    unit: str


class MemberLimit(msgspec.Struct, frozen=True, kw_only=True):
    """One length, size or force that is allowed, with every factor it was made of.

    ``sense`` is ``at_most`` for a span and ``at_least`` for a footing. ``printed`` is the value as a table
    prints it, null where it is interpolated or no table prints it.
    """

    quantity: str
    sense: Literal["at_most", "at_least"]
    value: float
    unit: str
    printed: float | None
    method: str
    governing: str
    bounds: tuple[CheckBound, ...]
    species: str | None
    status: str
    citation: Citation
    working: tuple[Step, ...]


class MemberRefusal(msgspec.Struct, frozen=True):
    """Why a table or a calculation has no value: never an extrapolation."""

    quantity: str
    code: str
    text: str


class MemberSide(msgspec.Struct, frozen=True, kw_only=True):
    """What one side says: its main limit, what governs it, further limits, and what it refuses."""

    text: str
    allowable: MemberLimit | None
    governing: str | None
    also: tuple[MemberLimit, ...]
    refusals: tuple[MemberRefusal, ...]


class MemberAllowable(msgspec.Struct, frozen=True, kw_only=True):
    """The limit that decides, and which side it is from."""

    quantity: str
    sense: Literal["at_most", "at_least"]
    value: float
    unit: str
    basis: Side


class MemberCheck(msgspec.Struct, frozen=True, kw_only=True):
    """One member by table and by calculation.

    ``allowable`` is the limit that decides: the table's where it covers the member, else the calculated one;
    null where neither has one, and the refusals say why. ``verdict`` is null where nothing was given to judge.
    """

    kind: MemberKind
    as_of: str
    rulebook: RulebookRef
    jurisdiction: JurisdictionRef | None
    amendments: tuple[AmendmentRef, ...]
    loads: Loads | None
    allowable: MemberAllowable | None
    governing: str | None
    table: MemberSide
    calculated: MemberSide
    checks: tuple[Finding, ...]
    verdict: Verdict | None
    cautions: tuple[Caution, ...]
