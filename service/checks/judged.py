"""What a part of a deck was found to be: checks, reasons against a better verdict, cautions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.contract.report import Caution, Reason
from service.units.citation import Citation
from service.units.finding import Finding


@dataclass(frozen=True)
class Judged:
    """Findings, reasons and cautions of one part; parts add up in the order they are judged."""

    findings: tuple[Finding, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Caution, ...] = ()

    def __add__(self, other: Judged) -> Judged:
        return Judged(
            self.findings + other.findings, self.reasons + other.reasons, self.cautions + other.cautions
        )


def together(parts: Iterable[Judged]) -> Judged:
    """Return the sum of the parts, in order.

    >>> together([Judged(), Judged()]).findings
    ()
    """
    total = Judged()
    for part in parts:
        total = total + part
    return total


def reason(code: str, text: str, member: str | None = None, citation: Citation | None = None) -> Reason:
    """Return a reason why the verdict is not better.

    >>> reason("heavy_object", "A tub.").code
    'heavy_object'
    """
    return Reason(code=code, text=text, member=member, citation=citation)


def caution(code: str, text: str, action: str) -> Caution:
    """Return a caution.

    >>> caution("call_before_you_dig", "Lines may be buried.", "Call.").action
    'Call.'
    """
    return Caution(code=code, text=text, action=action)
