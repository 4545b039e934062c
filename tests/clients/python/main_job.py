"""The main job with a client generated from the document: design, read, order, draw, many at once, own prices."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from typing import Any

import httpx
from deck_client import AuthenticatedClient
from deck_client.api.designs import create_design, create_takeoff, draw_sheet
from deck_client.api.prices import create_price_book, upload_price_book_version
from deck_client.models import (
    DeckSpec,
    DesignBatchResult,
    DesignReport,
    DrawingRequest,
    LevelSpec,
    PriceBookPublication,
    PriceBookSpec,
    PriceBookUpload,
    Problem,
    StreamEnd,
    StreamProblem,
)

Line = DesignBatchResult | StreamProblem | StreamEnd
KINDS: dict[str, Callable[[Any], Line]] = {
    "result": DesignBatchResult.from_dict,
    "problem": StreamProblem.from_dict,
    "end": StreamEnd.from_dict,
}
PRICES = {
    "currency": "USD",
    "effective_from": "2099-01-01",
    "tax_included": False,
    "lines": [
        {
            "item": "concrete.bag.60lb",
            "sku": "C-60",
            "description": "Concrete",
            "unit": "bag",
            "unit_price": "5.45",
            "availability": "in_stock",
        }
    ],
}


def deck(width_ft: float = 16, jurisdiction: str = "alder-county") -> DeckSpec:
    level = LevelSpec(width_ft=width_ft, projection_ft=12, surface_height_in=34)
    spec = DeckSpec(jurisdiction=jurisdiction, levels=[level], price_book="brindlemoor-yard")
    return DeckSpec.from_dict({**spec.to_dict(), "as_of": "2026-11-25"})


def lines(client: AuthenticatedClient, specs: list[DeckSpec]) -> Iterator[Line]:
    """Post many decks, one a line, and read what comes back line by line."""
    body = "".join(json.dumps(spec.to_dict()) + "\n" for spec in specs)
    headers = {"Content-Type": "application/x-ndjson"}
    with client.get_httpx_client().stream(
        "POST", "/v1/design-batches", content=body, headers=headers
    ) as answer:
        for line in answer.iter_lines():
            value = json.loads(line)
            yield KINDS[value["kind"]](value)


def main(address: str, key: str) -> None:
    client = AuthenticatedClient(base_url=address, token=key, timeout=httpx.Timeout(120))
    report = create_design.sync(client=client, body=deck())
    assert isinstance(report, DesignReport)
    assert report.verdict.status == "prescriptive"
    assert report.footings

    takeoff = create_takeoff.sync_detailed(client=client, body=deck())
    assert takeoff.headers["Deck-Design-Id"] == report.design_id

    asked = {"spec": deck().to_dict(), "sheet": "framing_plan", "paper": "letter"}
    drawing = draw_sheet.sync(client=client, body=DrawingRequest.from_dict(asked))
    assert isinstance(drawing, str)
    assert "<svg" in drawing

    refused = create_design.sync(client=client, body=deck(width_ft=1))
    assert isinstance(refused, Problem)
    assert (refused.status, refused.code) == (422, "invalid_spec")
    assert refused.errors[0].pointer == "/levels/0/width_ft"

    result, problem, end = lines(client, [deck(), deck(jurisdiction="nowhere")])
    assert isinstance(result, DesignBatchResult)
    assert isinstance(problem, StreamProblem)
    assert isinstance(end, StreamEnd)
    assert (end.results, end.problems) == (1, 1)

    create_price_book.sync_detailed(client=client, body=PriceBookSpec(id="tollgate-python"))
    made = upload_price_book_version.sync(
        "tollgate-python", client=client, body=PriceBookUpload.from_dict(PRICES)
    )
    assert isinstance(made, PriceBookPublication)
    assert made.outcome == "created"
    sys.stdout.write("done\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
