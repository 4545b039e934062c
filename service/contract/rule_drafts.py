"""Drafts of rulebooks and of places' law as they are sent, and what is told of drafts and versions."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from service.contract.row_change import MOST_CHANGES, RowChange, TableName
from service.contract.structure import LINES_PATTERN

MOST_TABLES, MOST_NOTES, LONGEST_TABLE, LONGEST_DOCUMENT = 40, 20, 2_000_000, 200_000
_FROM = {"based_on": "from"}
RuleState = Literal["draft", "announced", "in_force", "superseded", "withdrawn"]
Pinned = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*@[1-9][0-9]{0,5}$", max_length=48)]
Words = Annotated[str, Meta(min_length=1, max_length=400)]
Edition = Annotated[str, Meta(min_length=1, max_length=60)]
Notes = Annotated[tuple[Words, ...], Meta(max_length=MOST_NOTES)]
Changes = Annotated[
    tuple[RowChange, ...],
    Meta(max_length=MOST_CHANGES, description="Changes of rows, made in this order after whole tables"),
]
Removed = Annotated[
    tuple[TableName, ...], Meta(max_length=MOST_TABLES, description="Tables that are taken out")
]
Toml = Annotated[
    str,
    Meta(
        pattern=LINES_PATTERN,
        min_length=1,
        max_length=LONGEST_DOCUMENT,
    ),
]
_DOCUMENT = Meta(
    description="The whole document as TOML (application/toml); its version is set to the draft's",
    examples=['id = "alder-county"\n'],
)


class TableSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A whole table, in place of the one of its name or beside the others."""

    name: Annotated[TableName, Meta(description="Name of the table", examples=["joist_spans"])]
    text: Annotated[
        str,
        Meta(
            pattern=LINES_PATTERN,
            min_length=1,
            max_length=LONGEST_TABLE,
            description="Its canonical text, as `GET` of the table gives it as text/csv",
            examples=["#table: joist_spans\n"],
        ),
    ]


class RulebookDraftChange(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What of a draft changes; what is left out stays."""

    edition: Annotated[Edition | None, Meta(description="Edition of the code", examples=["2021"])] = None
    title: Annotated[
        Words | None, Meta(description="What people call it", examples=["Residential code 2021, decks"])
    ] = None
    document: Annotated[
        Words | None, Meta(description="The document it is read from", examples=["Residential Code"])
    ] = None
    notes: Annotated[Notes | None, Meta(description="What readers have to know")] = None
    tables: Annotated[tuple[TableSpec, ...], Meta(max_length=MOST_TABLES, description="Whole tables")] = ()
    removed_tables: Removed = ()
    changes: Changes = ()


class RulebookDraftSpec(
    RulebookDraftChange, frozen=True, kw_only=True, forbid_unknown_fields=True, rename=_FROM
):
    """A draft to be begun: from a published version, also of another rulebook, or from nothing."""

    based_on: Annotated[
        Pinned | None,
        Meta(
            description="Published version it begins from; without one, edition, title, kind and document are needed",
            examples=["irc-2021@1"],
        ),
    ] = None
    kind: Annotated[
        Literal["code", "guide"] | None,
        Meta(description="A code, or a guide beside codes", examples=["code"]),
    ] = None


class JurisdictionDraftChange(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Another document in the place of a draft's."""

    document: Annotated[Toml, _DOCUMENT]


class JurisdictionDraftSpec(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, rename=_FROM
):
    """A draft of a place's law to be begun; without a document it begins as the version it is from."""

    based_on: Annotated[
        Pinned | None, Meta(description="Published version it begins from", examples=["alder-county@1"])
    ] = None
    document: Annotated[Toml | None, _DOCUMENT] = None


class PublicationSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """From when on a draft is to be in force."""

    in_force_from: Annotated[
        dt.date, Meta(description="First day it is in force, today at the earliest", examples=["2027-07-01"])
    ]


class DraftFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What only a draft has. Nobody named in `written_by` may publish it."""

    based_on: str | None
    valid: bool
    written_by: tuple[str, ...]


class RuleFault(msgspec.Struct, frozen=True, kw_only=True):
    """A fault of a draft; `table` is null for what the version says of itself, and for a place's document."""

    table: str | None
    line: int
    column: str | None
    text: str


class UnappliedAmendment(msgspec.Struct, frozen=True, kw_only=True):
    """A local amendment in force that finds no row in the draft: designs there would need an engineer."""

    jurisdiction: str
    amendment: str


class DraftCheck(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a draft could be published, and every fault of it."""

    id: str
    version: int
    valid: bool
    digest: str | None
    faults: tuple[RuleFault, ...]
    unapplied: tuple[UnappliedAmendment, ...]


class JurisdictionVersionSummary(msgspec.Struct, frozen=True, kw_only=True):
    """One version of a place's law.

    It is in force from a day, null where it was so before anything was answered, to a day, null where none is set.
    """

    id: str
    version: int
    name: str | None
    state: RuleState
    in_force_from: dt.date | None
    in_force_to: dt.date | None
    published_on: dt.date | None
    digest: str | None
    url: str


class JurisdictionVersionList(msgspec.Struct, frozen=True, kw_only=True):
    """The versions of a place's law, oldest first."""

    items: tuple[JurisdictionVersionSummary, ...]
    next: str | None


class JurisdictionVersion(JurisdictionVersionSummary, frozen=True, kw_only=True):
    """A version of a place's law with its document; `draft` is null once it is published."""

    document: str
    draft: DraftFacts | None
