"""What is said of the calls that write rules: who may make them, what they are refused with, entity tags, examples."""

from __future__ import annotations

from typing import Any

from service.web.openapi.wire import TAG_PATTERN, header

Json = dict[str, Any]
_KEY, _BODY = (401, 403, 404), (400, 408, 413, 415)
_SEEN = (409, 412, 428)
_KINDS = ("Rulebook", "Jurisdiction")
RULE_READS = (
    "listRulebookVersions", "compareVersions", "listJurisdictionVersions", "getJurisdictionVersion",
    "compareJurisdictionVersions",
)  # fmt: skip
BEGINS_A_DRAFT = tuple(f"create{kind}Draft" for kind in _KINDS)
CHANGES_A_DRAFT = (
    *(f"change{kind}Draft" for kind in _KINDS),
    *(f"discard{kind}Draft" for kind in _KINDS),
    *(f"publish{kind}Version" for kind in _KINDS),
)
RULE_SCOPES = {
    **{
        f"{verb}{kind}Draft": "rules:write"
        for verb in ("create", "change", "discard", "validate")
        for kind in _KINDS
    },
    **{f"{verb}{kind}Version": "rules:publish" for verb in ("publish", "withdraw") for kind in _KINDS},
}
RULE_STATUSES: dict[str, tuple[int, ...]] = {
    **dict.fromkeys(RULE_READS, (401, 404)),
    "compareJurisdictionVersions": (401, 404, 409),
    **{f"create{kind}Draft": (*_KEY, *_BODY) for kind in _KINDS},
    **{f"change{kind}Draft": (*_KEY, *_BODY, *_SEEN) for kind in _KINDS},
    **{f"discard{kind}Draft": (401, 403, 404, *_SEEN) for kind in _KINDS},
    **{f"validate{kind}Draft": (*_KEY, 409) for kind in _KINDS},
    **{f"publish{kind}Version": (*_KEY, *_BODY, *_SEEN) for kind in _KINDS},
    **{f"withdraw{kind}Version": (*_KEY, 409) for kind in _KINDS},
}
IF_MATCH: Json = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "description": "Entity tag the draft was read with; 412 where it has changed since",
    "schema": {"type": "string", "pattern": r'^("[^"]+"|\*)$', "examples": ["*"]},
}
DRAFT_TAG: Json = {"ETag": header("Entity tag of the draft, for If-Match", TAG_PATTERN)}
_SPAN_KEY = [
    {"column": "load_psf", "value": "40"},
    {"column": "species_group", "value": "southern_pine"},
    {"column": "nominal_size", "value": "2x8"},
    {"column": "spacing_in", "value": "16"},
]
NEW_DRAFT: Json = {
    "from": "irc-2021@1",
    "changes": [
        {
            "table": "joist_spans",
            "change": "changed",
            "key": _SPAN_KEY,
            "cells": [{"column": "max_span_in", "value": "138"}],
        }
    ],
}
DRAFT_CHANGE: Json = {"notes": ["Corrected after a second reading of the printed table."]}
NEW_PLACE_DRAFT: Json = {"from": "alder-county@1"}
PLACE_CHANGE: Json = {"document": 'id = "alder-county"\nname = "Alder County (invented)"\nversion = 2\n'}
PUBLICATION: Json = {"in_force_from": "2027-07-01"}
