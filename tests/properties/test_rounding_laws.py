"""Rounding looks only at what can hold a figure by its type; a walk over every value finds the same."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from context import context

from service.contract.spec import DeckSpec
from service.pipeline import design
from service.units import rounding
from service.units.rounding import number, places, rounded

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
DECKS = ("low-ground", "hillside", "two-levels", "hot-tub")


class Mark(msgspec.Struct, frozen=True):
    """A struct of every form a field may have, its figures too fine by a half."""

    x_ft: float
    name: str = "a"
    along_ft: tuple[float, float] | None = None
    marks: tuple[Mark, ...] = ()
    unit: str | None = None
    value: float | int | None = None


def figures(value: Any, name: str = "", unit: str | None = None) -> list[tuple[str, float]]:
    """Every float under a value with the unit it is rounded by, found by walking everything."""
    if isinstance(value, msgspec.Struct):
        own = getattr(value, "unit", None)
        return [
            one
            for field in value.__struct_fields__
            for one in figures(getattr(value, field), field, own if field in rounding.BY_UNIT else None)
        ]
    if isinstance(value, (list, tuple)):
        return [one for item in value for one in figures(item, name, unit)]
    return [(unit or name, value)] if isinstance(value, float) else []


@pytest.mark.parametrize("deck", DECKS)
def test_every_figure_of_a_report_is_rounded_by_its_unit(deck: str, monkeypatch: pytest.MonkeyPatch) -> None:
    body = json.loads((EXAMPLES / f"{deck}.json").read_text("utf-8"))
    where = context(body.pop("jurisdiction", None))
    spec = msgspec.convert(body, DeckSpec)
    with monkeypatch.context() as patch:
        patch.setattr("service.pipeline.rounded", lambda report: report)
        exact = design(spec, where)
    found, wanted = figures(rounded(exact)), [(u, number(v, u)) for u, v in figures(exact)]
    assert len(found) > 300
    assert found == wanted
    assert any(places(unit) < 4 and value != 0 for unit, value in found)


def test_every_form_of_a_field_is_rounded() -> None:
    fine = 1.00004999
    inner = Mark(fine, along_ft=(fine, 2.0), unit="lb", value=10.16)
    found = rounded(Mark(fine, marks=(inner,), value=-0.0))
    assert found == Mark(1.0, marks=(Mark(1.0, along_ft=(1.0, 2.0), unit="lb", value=10.2),), value=0.0)
    assert str(found.value) == "0.0"


def test_whole_figures_are_handed_back_as_they_are() -> None:
    mark = Mark(2.0, along_ft=(1.0, 2.0), marks=(Mark(3.0),))
    assert rounded(mark) is mark


def test_a_figure_that_is_not_finite_is_refused() -> None:
    with pytest.raises(ValueError, match="x_ft figure is not finite"):
        rounded(Mark(float("inf")))
