"""Which fields of an answer hold words of which lists of the registry."""

from __future__ import annotations

_REASONS = ("reason.engineer_required", "reason.not_permitted")

ANSWER_WORDS: dict[str, tuple[str, ...]] = {
    "Reason.code": _REASONS,
    "CodedText.code": ("reason.attachment", *_REASONS, "risk"),
    "Attachment.ledger_lands_on": ("attachment.ledger_lands_on",),
    "Ledger.lands_on": ("attachment.ledger_lands_on",),
    "Finding.check": ("check",),
    "Caution.code": ("caution",),
    "Risk.code": ("risk",),
    "Task.task": ("schedule.task",),
    "Quantity.unit": ("quantity.unit",),
    "OrderLine.unit": ("quantity.unit",),
    "ConcreteLine.unit": ("quantity.unit",),
    "Unpriced.unit": ("quantity.unit",),
    "ItemForm.unit": ("quantity.unit",),
    "OfferedItem.unit": ("quantity.unit",),
    "Footing.method": ("footings.method",),
    "MethodComparison.method": ("footings.method",),
    "MethodProbability.method": ("footings.method",),
    "FootingComparison.recommended": ("footings.method",),
    "BreakEven.methods": ("footings.method",),
    "Permit.kind": ("permit",),
    "Inspection.kind": ("inspection",),
    "Citation.status": ("citation.status",),
    "Fault.code": ("error",),
    "Problem.code": ("problem",),
    "JurisdictionAnswer.pile_inspection": ("jurisdiction.pile_inspection",),
    "JurisdictionAnswer.methods_not_allowed": ("footings.method",),
    "JurisdictionAnswer.permits": ("permit",),
    "JurisdictionAnswer.inspections": ("inspection",),
}
