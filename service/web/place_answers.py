"""What is told of the versions of a place's law, and of drafts of it."""

from __future__ import annotations

from typing import Any

from service.contract.rule_drafts import DraftFacts, JurisdictionVersion, JurisdictionVersionSummary
from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction
from service.rules.toml_text import read_toml
from service.store.rule_drafts import Draft
from service.web.desk import Desk


def place_summary(place: Jurisdiction, desk: Desk) -> JurisdictionVersionSummary:
    """Return a published version in short."""
    return JurisdictionVersionSummary(**_summary(place, desk))


def place_version(place: Jurisdiction, desk: Desk) -> JurisdictionVersion:
    """Return a published version with its document."""
    return JurisdictionVersion(**_summary(place, desk), document=place.text, draft=None)


def place_draft_summary(draft: Draft) -> JurisdictionVersionSummary:
    """Return a draft in short."""
    return JurisdictionVersionSummary(**_draft_summary(draft))


def place_draft(draft: Draft) -> JurisdictionVersion:
    """Return a draft with its document."""
    facts = DraftFacts(based_on=draft.based_on, valid=draft.digest is not None, written_by=draft.written_by)
    return JurisdictionVersion(**_draft_summary(draft), document=str(draft.content), draft=facts)


def _summary(place: Jurisdiction, desk: Desk) -> dict[str, Any]:
    shelf, key = desk.snapshot.jurisdictions, (place.id, place.version)
    days = shelf.days.get(key)
    return {
        "id": place.id,
        "version": place.version,
        "name": place.name,
        # the day it is there, by which its versions follow each other
        "state": shelf.state_on(key, desk.today(place)),
        "in_force_from": days and days.first,
        "in_force_to": days and days.last,
        "published_on": shelf.published.get(key),
        "digest": place.digest,
        "url": f"/v1/jurisdictions/{place.id}/versions/{place.version}",
    }


def _draft_summary(draft: Draft) -> dict[str, Any]:
    return {
        "id": draft.id,
        "version": draft.version,
        "name": _name(str(draft.content)),
        "state": "draft",
        "in_force_from": None,
        "in_force_to": None,
        "published_on": None,
        "digest": draft.digest,
        "url": f"/v1/jurisdictions/{draft.id}/versions/{draft.version}",
    }


def _name(document: str) -> str | None:
    """The name a document gives its place; None where it gives none, or cannot be read."""
    try:
        name = read_toml(document, "document").get("name")
    except TableRefused:
        return None
    return name if isinstance(name, str) else None
