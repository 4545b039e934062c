"""The request of a permit package: a spec, the paper of its sheets, and what the caller wants printed of the job."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import Paper
from service.contract.price_book import Text
from service.contract.spec import DeckSpec


class Job(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whose job it is and where, as it is to be printed: never kept, and no part of the design's id.

    Each text begins with a letter or digit, in Unicode form NFC, without control characters.
    """

    owner: Annotated[Text | None, Meta(description="Who owns the house", examples=["R. Example"])] = None
    site_address: Annotated[
        Text | None, Meta(description="Where the deck is built", examples=["12 Invented Lane, Alder"])
    ] = None
    parcel: Annotated[Text | None, Meta(description="Parcel or lot number", examples=["Lot 7, block 3"])] = (
        None
    )
    builder: Annotated[Text | None, Meta(description="Who builds it", examples=["Example Decks"])] = None
    builder_licence: Annotated[
        Text | None, Meta(description="The builder's licence number", examples=["ED-0042"])
    ] = None
    prepared_for: Annotated[
        Text | None,
        Meta(description="Whom the package is for", examples=["Alder County, building department"]),
    ] = None
    note: Annotated[
        Text | None, Meta(description="A remark on the cover", examples=["Second set; replaces the first"])
    ] = None


class PermitPackageRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A deck to be designed and printed for the building department."""

    spec: Annotated[DeckSpec, Meta(description="The deck")]
    paper: Annotated[
        Paper, Meta(description="Paper of the drawings; all else is on letter", examples=["letter"])
    ]
    job: Annotated[Job | None, Meta(description="What is printed of the job; null: nothing")] = None
