"""Laws of every footing method: more load, deeper frost or weaker soil never make a lesser footing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.foundations.demand import Demand
from service.foundations.method import CannotServe, FootingMethod, Sized
from service.foundations.methods.belled_pier import BelledPier
from service.foundations.methods.helical_pile import HelicalPile
from service.foundations.methods.pad_and_pier import PadAndPier
from service.foundations.methods.post_on_buried_pad import PostOnBuriedPad
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import Site
from tests.context import EDITIONS, criteria, facts

POURED: tuple[FootingMethod, ...] = (TubeFormPier(), PadAndPier(), BelledPier(), PostOnBuriedPad())
ALL: tuple[FootingMethod, ...] = (*POURED, HelicalPile("none"))
LOADS = st.floats(150.0, 9000.0)
named = pytest.mark.parametrize("edition", EDITIONS)
poured = pytest.mark.parametrize("method", POURED, ids=lambda method: method.name)
every = pytest.mark.parametrize("method", ALL, ids=lambda method: method.name)


def _site(edition: str, frost_in: float = 32.0, bearing_psf: float = 2000.0) -> Site:
    return Site(criteria(edition, frost_depth_in=frost_in, soil_bearing_psf=bearing_psf), facts())


def _sized(method: FootingMethod, load_lb: float, site: Site) -> Sized | CannotServe:
    demand = Demand(
        footing_id="main.footing-1-1", mark="F1-1", post="main.post-1-1", serves="main.post-1-1", x_ft=4.0, y_ft=40.0,
        load_lb=load_lb, sizing_load_lb=load_lb, post_size="6x6", grade_height_in=0.0, attached=True,
        post_height_in=30.0,
    )  # fmt: skip
    return method.size(demand, site)


def _bearing_sqin(found: Sized | CannotServe) -> float:
    """What stands on the ground; without end where no such footing is made."""
    if isinstance(found, CannotServe):
        return math.inf
    footing = found.footing
    if footing.pile:
        return sum(helix**2 for helix in footing.pile.helices) * math.pi / 4
    assert footing.concrete
    square = footing.concrete.base_shape == "square"
    return footing.width_in**2 * (1.0 if square else math.pi / 4)


def _cuft(found: Sized | CannotServe) -> float:
    if isinstance(found, CannotServe):
        return math.inf
    assert found.footing.concrete
    return found.footing.concrete.volume_cuft


def _depth_in(found: Sized | CannotServe) -> float:
    assert isinstance(found, Sized)
    return -found.footing.bottom_height_in


@named
@every
@given(load_lb=LOADS, more_lb=st.floats(0.0, 4000.0))
def test_more_load_never_a_smaller_footing(
    method: FootingMethod, edition: str, load_lb: float, more_lb: float
) -> None:
    site = _site(edition)
    less, more = (_sized(method, load, site) for load in (load_lb, load_lb + more_lb))
    assert _bearing_sqin(less) <= _bearing_sqin(more)


@named
@poured
@given(load_lb=LOADS, more_lb=st.floats(0.0, 4000.0))
def test_more_load_never_less_concrete(
    method: FootingMethod, edition: str, load_lb: float, more_lb: float
) -> None:
    site = _site(edition)
    less, more = (_sized(method, load, site) for load in (load_lb, load_lb + more_lb))
    # A straight pier holds more than the base under a narrow shaft that takes over from it.
    if method.name == "tube_form_pier" and _has_base(less) != _has_base(more):
        return
    assert _cuft(less) <= _cuft(more) + 1e-9


def _has_base(found: Sized | CannotServe) -> bool:
    return isinstance(found, Sized) and bool(found.footing.concrete and found.footing.concrete.base_size_in)


@named
@every
@given(frost_in=st.floats(0.0, 72.0), more_in=st.floats(0.0, 40.0))
def test_deeper_frost_never_a_shallower_footing(
    method: FootingMethod, edition: str, frost_in: float, more_in: float
) -> None:
    shallow, deep = (
        _sized(method, 2600.0, _site(edition, frost_in=frost)) for frost in (frost_in, frost_in + more_in)
    )
    assert _depth_in(shallow) <= _depth_in(deep) + 1e-9
    assert _depth_in(deep) >= frost_in + more_in - 1e-9


@named
@every
@given(load_lb=LOADS, bearing_psf=st.floats(600.0, 6000.0), less_psf=st.floats(0.0, 2000.0))
def test_weaker_soil_never_a_smaller_footing(
    method: FootingMethod, edition: str, load_lb: float, bearing_psf: float, less_psf: float
) -> None:
    weak_psf = max(500.0, bearing_psf - less_psf)
    strong, weak = (
        _sized(method, load_lb, _site(edition, bearing_psf=psf)) for psf in (bearing_psf, weak_psf)
    )
    assert _bearing_sqin(strong) <= _bearing_sqin(weak)


@named
@poured
@given(load_lb=LOADS)
def test_a_poured_footing_bears_its_load_and_is_as_thick_as_it_stands_out(
    method: FootingMethod, edition: str, load_lb: float
) -> None:
    found = _sized(method, load_lb, _site(edition))
    if isinstance(found, CannotServe):
        return
    # The tables are rounded to the nearest inch: up to 5 % over the bearing they are made for.
    assert load_lb <= 2000.0 * _bearing_sqin(found) / 144.0 * 1.05
    made = found.footing.concrete
    assert made
    if made.base_size_in:
        out_in = (made.base_size_in - (made.shaft_diameter_in or 5.5)) / 2
        assert (made.thickness_in or 0.0) + (made.bell_height_in or 0.0) >= max(6.0, out_in) - 1e-9
