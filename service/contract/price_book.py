"""A version of a price book as it is uploaded, and what is told of books and versions."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from service.contract.money import Currency, UnitPrice
from service.contract.price_sections import MOST_SECTIONS, PriceBookSection, PriceBookSectionSpec

MOST_LINES, MOST_BREAKS = 20_000, 20
Availability = Literal["in_stock", "to_order", "out"]
QuantityUnit = Literal[
    "each", "piece", "lineal_ft", "sqft", "cuft", "cuyd", "bag", "box", "roll", "lb", "day", "hour", "lot"
]
Id = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", min_length=3, max_length=40)]
Text = Annotated[str, Meta(pattern=r"^[^\W_]", max_length=120)]
Digest = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
Length = Annotated[float, Meta(ge=1, le=99.99)]
Version = Annotated[int, Meta(ge=1, le=999_999)]
Count = Annotated[int, Meta(ge=1, le=999_999)]


class PriceBookSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A price book to be made; its versions are uploaded afterwards."""

    id: Annotated[
        Id,
        Meta(
            description="Id of the book: that of your organisation, alone or followed by a hyphen and more",
            examples=["tollgate-yard"],
        ),
    ]


class PriceBreakSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A lower price from a quantity on."""

    at_least: Annotated[Count, Meta(description="How many have to be bought", examples=[10])]
    unit_price: Annotated[
        UnitPrice, Meta(description="Price of one unit then, lower than the one before", examples=["13.90"])
    ]


class PriceLineSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One item in one stock length."""

    item: Annotated[
        str,
        Meta(
            pattern=r"^[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}$",
            description="Item code; GET /v1/options lists the forms",
            examples=["lumber.2x8.hem_fir.no_2.uc3b"],
        ),
    ]
    sku: Annotated[
        str,
        Meta(
            pattern=r"^[A-Za-z0-9][A-Za-z0-9._/-]{0,39}$",
            description="Supplier's own number",
            examples=["L-28-12"],
        ),
    ]
    description: Annotated[
        Text, Meta(description="What people call it; first a letter or digit", examples=["2x8 12 ft"])
    ]
    unit: Annotated[QuantityUnit, Meta(description="What the price is for", examples=["piece"])]
    length_ft: Annotated[
        Length | None, Meta(description="Stock length, feet; null where the item has none", examples=[12.0])
    ] = None
    unit_price: Annotated[UnitPrice, Meta(description="Price of one unit", examples=["14.20"])]
    breaks: Annotated[
        tuple[PriceBreakSpec, ...],
        Meta(max_length=MOST_BREAKS, description="Lower prices, each for more at a lower price"),
    ] = ()
    pack_quantity: Annotated[
        Count | None, Meta(description="How many are in a box, roll or lb, or in a bundle", examples=[100])
    ] = None
    availability: Annotated[Availability, Meta(description="Whether it can be had", examples=["in_stock"])]
    note: Annotated[Text | None, Meta(description="A remark; first a letter or digit")] = None


class PriceBookUpload(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A version to be published: what `GET` gives of one may be sent back changed.

    `id`, `organisation`, `version` and `digest` may be left out; given, they have to be those of what is made.
    """

    id: Annotated[Id | None, Meta(description="Id of the price book", examples=["tollgate-yard"])] = None
    version: Annotated[Version | None, Meta(description="Number of the version", examples=[2])] = None
    digest: Annotated[Digest | None, Meta(description="SHA-256 of the canonical text")] = None
    organisation: Annotated[Id | None, Meta(description="Whose book it is", examples=["tollgate"])] = None
    currency: Annotated[Currency, Meta(description="Currency of every price", examples=["USD"])]
    effective_from: Annotated[
        dt.date,
        Meta(
            description="First day of the prices, from today in UTC to 2099-12-31",
            examples=["2027-01-01"],
        ),
    ]
    effective_to: Annotated[
        dt.date | None,
        Meta(
            description="Last day, up to 2099-12-31; null: until a later version",
            examples=["2027-12-31"],
        ),
    ] = None
    tax_included: Annotated[bool, Meta(description="Whether prices include tax", examples=[False])]
    lines: Annotated[
        tuple[PriceLineSpec, ...],
        Meta(min_length=1, max_length=MOST_LINES, description="What is sold, a line an item and length"),
    ]
    sections: Annotated[
        tuple[PriceBookSectionSpec, ...],
        Meta(
            max_length=MOST_SECTIONS,
            description="Section tables: laminated veneer lumber and light-gauge steel with allowable values",
        ),
    ] = ()


class PriceBookSummary(msgspec.Struct, frozen=True, kw_only=True):
    """A price book."""

    id: str
    organisation: str
    public: bool
    versions: int
    url: str


class PriceBookList(msgspec.Struct, frozen=True, kw_only=True):
    """The price books the key may read."""

    items: tuple[PriceBookSummary, ...]
    next: str | None


class PriceBookVersionSummary(msgspec.Struct, frozen=True, kw_only=True):
    """A version of a price book without its lines."""

    id: str
    version: int
    digest: str
    organisation: str
    currency: str
    effective_from: dt.date
    effective_to: dt.date | None
    tax_included: bool
    line_count: int
    url: str


class PriceBookVersionList(msgspec.Struct, frozen=True, kw_only=True):
    """The versions of a price book."""

    items: tuple[PriceBookVersionSummary, ...]
    next: str | None


class EndedVersion(msgspec.Struct, frozen=True, kw_only=True):
    """The open-ended version that ends where the new one begins."""

    version: int
    effective_to: dt.date


class PriceBookPublication(PriceBookVersionSummary, frozen=True, kw_only=True):
    """What an upload made, found or would make."""

    outcome: Literal["created", "existing", "would_create"]
    ends: EndedVersion | None


class PriceBookBreak(msgspec.Struct, frozen=True, kw_only=True):
    """A lower price from a quantity on."""

    at_least: int
    unit_price: str


class PriceBookLine(msgspec.Struct, frozen=True, kw_only=True):
    """One item in one stock length."""

    item: str
    sku: str
    description: str
    unit: str
    length_ft: float | None
    unit_price: str
    breaks: tuple[PriceBookBreak, ...]
    pack_quantity: int | None
    availability: Availability
    note: str | None


class PriceBookVersion(msgspec.Struct, frozen=True, kw_only=True):
    """A whole version of a price book."""

    id: str
    version: int
    digest: str
    organisation: str
    currency: str
    effective_from: dt.date
    effective_to: dt.date | None
    tax_included: bool
    lines: tuple[PriceBookLine, ...]
    sections: tuple[PriceBookSection, ...]
