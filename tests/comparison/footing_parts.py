"""What the tests of footing methods have in common."""

from __future__ import annotations

from service.contract.report_frame import Concrete
from service.foundations.demand import Demand
from service.foundations.method import CannotServe, FootingMethod, Sized
from service.foundations.site import Site
from service.units.finding import Finding


def served(method: FootingMethod, demand: Demand, site: Site) -> Sized:
    found = method.size(demand, site)
    assert not isinstance(found, CannotServe), found
    return found


def refused(method: FootingMethod, demand: Demand, site: Site) -> CannotServe:
    found = method.size(demand, site)
    assert isinstance(found, CannotServe), found
    return found


def concrete(one: Sized) -> Concrete:
    assert one.footing.concrete
    return one.footing.concrete


def check(one: Sized, name: str, basis: str) -> Finding:
    (found,) = [f for f in one.findings if (f.check, f.basis) == (name, basis)]
    return found


def needs(method: FootingMethod, sized: list[Sized], site: Site) -> dict[str, float]:
    return {need.item: need.quantity for need in method.needs(sized, site)}
