"""What every footing method answers to, and what it gives back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from msgspec.structs import replace

from service.contract.report import Caution, Reason
from service.contract.report_comparison import CodedText, Risk
from service.contract.report_frame import Footing
from service.foundations.demand import Demand
from service.foundations.site import Site
from service.units.finding import SLACK, Finding
from service.units.rounding import cut_length

PILE_POLICIES = ("none", "torque_log", "engineer_letter", "special_inspector")


@dataclass(frozen=True)
class Need:
    """An amount of one item. ``cuts_ft`` are the lengths it is cut to from whole lengths of stock, longest first.

    Something rented is needed ``during`` a task of the schedule, maybe only with one supply of concrete. ``most`` is
    the quantity where the ground turns out worse than likely; null: the same.
    """

    item: str
    quantity: float
    unit: str
    per_footing: bool
    cuts_ft: tuple[float, ...] = ()
    during: str = ""
    only_with: str = ""
    most: float | None = None


def cut_need(code: str, lengths_in: Iterable[float]) -> Need:
    """Return what is cut to these lengths from whole stock, as one need, in lineal ft.

    Source: cut lengths to 1/16 in, as in the order (convention of this service).

    Args:
        code: the item.
        lengths_in: length of each piece, in.

    >>> cut_need("form.12in.tube", [32.0, 35.02]).cuts_ft
    (2.9166666666666665, 2.6666666666666665)
    """
    cuts = sorted((cut_length(length) / 12.0 for length in lengths_in), reverse=True)
    return Need(code, sum(cuts), "lineal_ft", True, cuts_ft=tuple(cuts))


@dataclass(frozen=True)
class Sized:
    """A footing worked out for one demand.

    ``engineer`` are reasons the verdict is engineer_required; ``blocked`` say why the method cannot be used
    here although a size exists; the verdict of failing ``findings`` is in ``unsafe``.
    """

    demand: Demand
    footing: Footing
    findings: tuple[Finding, ...]
    engineer: tuple[Reason, ...] = ()
    blocked: tuple[CodedText, ...] = ()
    cautions: tuple[Caution, ...] = ()

    @property
    def unsafe(self) -> tuple[Finding, ...]:
        """Failing checks that no engineer reason stands for already: a table or rule says no."""
        return tuple(f for f in self.failing if f.check not in ENGINEER_CHECKS and not self._by_table(f))

    @property
    def failing(self) -> tuple[Finding, ...]:
        """Its checks that do not pass."""
        return tuple(f for f in self.findings if not f.passes)

    def beyond_table(self, ratio: float) -> bool:
        """Return whether a calculation goes past what a table permits by more than this ratio."""
        return any(self._by_table(f) and (f.ratio or 0.0) > ratio + SLACK for f in self.failing)

    def _by_table(self, calculated: Finding) -> bool:
        """Whether a table permits what a calculation beside it does not: then the table decides."""
        return calculated.basis == "calculated" and any(
            f.check == calculated.check and f.basis == "table" and f.passes for f in self.findings
        )

    def renamed(self, demand: Demand) -> Sized:
        """Return the same footing for another demand like its own."""
        if demand is self.demand:
            return self
        old, new = self.demand.footing_id, demand.footing_id
        footing = replace(
            self.footing, id=new, mark=demand.mark, post=demand.post, serves=demand.serves,
            x_ft=demand.x_ft, y_ft=demand.y_ft, load_lb=demand.load_lb,
        )  # fmt: skip
        return Sized(
            demand=demand,
            footing=footing,
            findings=tuple(replace(f, id=new + f.id.removeprefix(old), member=new) for f in self.findings),
            engineer=tuple(replace(reason, member=new) for reason in self.engineer),
            blocked=self.blocked,
            cautions=self.cautions,
        )


# Failing these says that the ground has to be looked at, not that the footing is forbidden.
ENGINEER_CHECKS: Mapping[str, str] = {
    "footing_in_undisturbed_ground": "ground_not_undisturbed",
    "footing_house_load_line": "house_load_line",
}


@dataclass(frozen=True)
class CannotServe:
    """No footing of this kind can be worked out, and the number that rules it out."""

    code: str
    text: str


class FootingMethod(Protocol):
    """A way to make footings."""

    @property
    def name(self) -> str:
        """The word of the method on the wire."""
        ...

    def size(self, demand: Demand, site: Site) -> Sized | CannotServe:
        """Return the footing for one demand."""
        ...

    def needs(self, sized: Sequence[Sized], site: Site) -> tuple[Need, ...]:
        """Return what has to be bought for all footings of the job, the concrete left out."""
        ...

    def risks(self, sized: Sequence[Sized], site: Site) -> tuple[Risk, ...]:
        """Return what can go wrong with this method on this ground."""
        ...

    def cautions(self, sized: Sequence[Sized], site: Site) -> tuple[Caution, ...]:
        """Return what has to be said once of all footings together."""
        ...
