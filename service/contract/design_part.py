"""What every answer that comes from a design says of it."""

from __future__ import annotations

from typing import Any

import msgspec

from service.contract.report import Caution, DesignReport, JurisdictionRef, PriceBookRef, RulebookRef, Verdict


class DesignPart(msgspec.Struct, frozen=True, kw_only=True):
    """What a part of a design says of the whole."""

    design_id: str
    reference: str | None
    as_of: str
    engine_version: str
    jurisdiction: JurisdictionRef | None
    rulebook: RulebookRef
    price_book: PriceBookRef | None
    verdict: Verdict
    cautions: tuple[Caution, ...]


def part_fields(report: DesignReport) -> dict[str, Any]:
    """Return the fields of a part that are those of the whole."""
    return {name: getattr(report, name) for name in DesignPart.__struct_fields__}
