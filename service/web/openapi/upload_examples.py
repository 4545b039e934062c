"""Bodies of the calls that take a price book, with examples; the prices are invented."""

from __future__ import annotations

from typing import Any

from service.rules.price_book import EXAMPLE
from service.web.openapi.rule_operations import (
    DRAFT_CHANGE,
    NEW_DRAFT,
    NEW_PLACE_DRAFT,
    PLACE_CHANGE,
    PUBLICATION,
)

Json = dict[str, Any]
NEW_BOOK: Json = {"id": "tollgate-yard"}
NEW_PRICES: Json = {
    "currency": "USD",
    "effective_from": "2027-03-01",
    "tax_included": False,
    "lines": [
        {
            "item": "lumber.2x8.hem_fir.no_2.uc3b",
            "sku": "L-28-12",
            "description": "2x8 12 ft",
            "unit": "piece",
            "length_ft": 12,
            "unit_price": "14.20",
            "breaks": [{"at_least": 10, "unit_price": "13.90"}],
            "availability": "in_stock",
        },
        {
            "item": "concrete.bag.60lb",
            "sku": "C-60",
            "description": "Concrete 60 lb",
            "unit": "bag",
            "unit_price": "5.45",
            "pack_quantity": 56,
            "availability": "in_stock",
        },
    ],
}
_NOT_IN_AN_UPLOAD = ("#id:", "#version:", "#organisation:")
NEW_PRICES_CSV = "".join(
    line.replace("2026-11-01", "2027-03-01").replace("2027-01-31", "2027-12-31")
    for line in EXAMPLE.splitlines(keepends=True)
    if not line.startswith(_NOT_IN_AN_UPLOAD)
)


def _json(schema: str, summary: str, value: Json) -> Json:
    return {
        "schema": {"$ref": f"#/components/schemas/{schema}"},
        "examples": {"one": {"summary": summary, "value": value}},
    }


UPLOADS: dict[str, Json] = {
    "createPriceBook": {
        "application/json": _json("PriceBookSpec", "A book of the organisation tollgate", NEW_BOOK)
    },
    "uploadPriceBookVersion": {
        "application/json": _json(
            "PriceBookUpload", "Two lines that hold until they are replaced", NEW_PRICES
        ),
        "text/csv": {
            "schema": {"type": "string", "minLength": 1},
            "examples": {"one": {"summary": "Two lines with a last day", "value": NEW_PRICES_CSV}},
        },
    },
    "createRulebookDraft": {
        "application/json": _json("RulebookDraftSpec", "One span of a published version corrected", NEW_DRAFT)
    },
    "changeRulebookDraft": {
        "application/json": _json("RulebookDraftChange", "A note for readers", DRAFT_CHANGE)
    },
    "publishRulebookVersion": {
        "application/json": _json("PublicationSpec", "In force from a day on", PUBLICATION)
    },
    "createJurisdictionDraft": {
        "application/json": _json("JurisdictionDraftSpec", "Begun as the law in force is", NEW_PLACE_DRAFT)
    },
    "changeJurisdictionDraft": {
        "application/json": _json("JurisdictionDraftChange", "Another document", PLACE_CHANGE)
    },
    "publishJurisdictionVersion": {
        "application/json": _json("PublicationSpec", "In force from a day on", PUBLICATION)
    },
}
