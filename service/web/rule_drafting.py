"""What a request makes of a draft: whole tables, then changes of rows, and what the version says of itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any

import msgspec

from service.contract.problem import Allowed, Fault, Rejected, pointer
from service.contract.rule_drafts import (
    JurisdictionDraftChange,
    JurisdictionDraftSpec,
    RulebookDraftChange,
    RulebookDraftSpec,
)
from service.rules.kinds import KINDS
from service.rules.meta_text import meta_text, numbered_text, owned_text
from service.rules.row_changes import apply_row_changes
from service.rules.rulebook import RulebookMeta, parse_meta
from service.store.rule_drafts import Draft
from service.store.texts import RulebookText

MOST_BYTES = 8_388_608
_SAID = ("edition", "title", "document", "notes")
_NEEDED = ("edition", "title", "kind", "document")
Content = RulebookText | str


def begun_rulebook(
    spec: RulebookDraftSpec, id: str, day: date
) -> Callable[[Content | None, int], RulebookText]:
    """Return what makes a draft's texts of those it is based on and its number.

    Args:
        spec: what is asked for
        id: whose version it is to be
        day: when it is written
    """

    def begin(base: Content | None, version: int) -> RulebookText:
        if not isinstance(base, RulebookText):
            meta = _meta_of(spec, id, version, day)
            return changed_texts(meta, {}, spec)
        based = msgspec.structs.replace(parse_meta(base.meta), id=id, version=version, published_on=day)
        tables = {name: owned_text(text, id) for name, text in base.tables.items()}
        kind = {} if spec.kind is None else {"kind": spec.kind}
        return changed_texts(msgspec.structs.replace(based, **kind), tables, spec)

    return begin


def changed_rulebook(change: RulebookDraftChange, day: date) -> Callable[[Draft], RulebookText]:
    """Return what changes a draft's texts; see `begun_rulebook`."""

    def write(draft: Draft) -> RulebookText:
        if isinstance(draft.content, str):
            raise TypeError(f"{draft.reference} is no rulebook")
        meta = msgspec.structs.replace(parse_meta(draft.content.meta), published_on=day)
        return changed_texts(meta, draft.content.tables, change)

    return write


def changed_texts(meta: RulebookMeta, tables: Mapping[str, str], change: RulebookDraftChange) -> RulebookText:
    """Return the texts of a rulebook after a change.

    Raises:
        Rejected: invalid_upload with every fault, or too_large
    """
    given: dict[str, Any] = {name: said for name in _SAID if (said := getattr(change, name)) is not None}
    faults = [*_table_faults(change, tables)]
    whole = {**tables, **{one.name: one.text for one in change.tables}}
    kept = {name: text for name, text in whole.items() if name not in change.removed_tables}
    try:
        kept = apply_row_changes(kept, change.changes)
    except Rejected as refused:
        faults += refused.faults
    if faults:
        raise Rejected(
            "invalid_upload", "1 fault" if len(faults) == 1 else f"{len(faults)} faults", tuple(faults)
        )
    if sum(map(len, kept.values())) > MOST_BYTES:
        raise Rejected("too_large", f"the tables of a draft have at most {MOST_BYTES} characters together")
    return RulebookText(meta_text(msgspec.structs.replace(meta, **given)), kept)


def _table_faults(change: RulebookDraftChange, tables: Mapping[str, str]) -> Iterator[Fault]:
    names = [one.name for one in change.tables]
    for at, name in enumerate(names):
        if name not in KINDS:
            said = f"{name} is no known kind of table; known are {', '.join(KINDS)}"
            yield Fault(pointer("tables", at, "name"), "not_in_list", said, Allowed(one_of=tuple(KINDS)))
        elif name in names[:at]:
            yield Fault(pointer("tables", at, "name"), "duplicate_table", f"{name} is given twice")
    for at, name in enumerate(change.removed_tables):
        if name not in tables:
            known = tuple(sorted(tables))
            said = f"there is no table {name} to take out; there are {', '.join(known)}"
            yield Fault(pointer("removed_tables", at), "not_in_list", said, Allowed(one_of=known))
        elif name in names:
            yield Fault(pointer("removed_tables", at), "both_given", f"{name} is also given whole")


def _meta_of(spec: RulebookDraftSpec, id: str, version: int, day: date) -> RulebookMeta:
    missing = [name for name in _NEEDED if getattr(spec, name) is None]
    if missing:
        said = "this field is needed where a draft begins from nothing"
        faults = tuple(Fault(pointer(name), "missing", said) for name in missing)
        raise Rejected("invalid_upload", "a draft from nothing says what it is", faults)
    return RulebookMeta(
        id=id,
        edition=spec.edition or "",
        title=spec.title or "",
        kind=spec.kind or "code",
        document=spec.document or "",
        version=version,
        published_on=day,
        notes=spec.notes or (),
    )


def begun_place(spec: JurisdictionDraftSpec) -> Callable[[Content | None, int], str]:
    """Return what makes a draft's document of the one it is based on and its number.

    Raises:
        Rejected: invalid_upload where there is neither a document nor a version to begin from
    """
    if spec.document is None and spec.based_on is None:
        fault = Fault("/document", "missing", "a document is needed where a draft begins from nothing")
        raise Rejected("invalid_upload", "1 fault", (fault,))

    def begin(base: Content | None, version: int) -> str:
        return numbered_text(spec.document if spec.document is not None else str(base), version)

    return begin


def changed_place(change: JurisdictionDraftChange, version: int) -> Callable[[Draft], str]:
    """Return what puts another document in the place of a draft's, under its number."""
    document = numbered_text(change.document, version)
    return lambda _: document
