"""Small specs with something wrong in them, and what is found; shared by the tests of faults."""

from __future__ import annotations

import json
from typing import Any

from service.contract.faults import deck_spec
from service.contract.problem import Fault, Rejected


def level(**fields: Any) -> dict[str, Any]:
    return {"width_ft": 16, "projection_ft": 12, "surface_height_in": 34} | fields


def outlined(*corners: tuple[float, float], **fields: Any) -> dict[str, Any]:
    return {"outline_ft": [list(corner) for corner in corners], "surface_height_in": 34} | fields


def spec(*levels: dict[str, Any], **fields: Any) -> dict[str, Any]:
    return {"jurisdiction": "alder-county", "levels": list(levels or (level(),))} | fields


def faults(given: dict[str, Any]) -> tuple[Fault, ...]:
    try:
        deck_spec(json.dumps(given).encode())
    except Rejected as refused:
        if refused.code != "invalid_spec":
            raise
        return refused.faults
    return ()


def found(given: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one.code, one.pointer) for one in faults(given)]


def tub(**fields: Any) -> dict[str, Any]:
    size = {"x_ft": 8, "y_ft": 2, "width_ft": 7, "length_ft": 7}
    return {"kind": "hot_tub", "filled_weight_lb": 4600} | size | fields


SQUARE = ((0, 0), (8, 0), (8, 8), (0, 8))
L_SHAPE = ((0, 0), (12, 0), (12, 4), (4, 4), (4, 12), (0, 12))
