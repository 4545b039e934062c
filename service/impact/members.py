"""The members of two designs, compared by their ids."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import msgspec

from service.contract.report import DesignReport
from service.contract.rule_impact import MOST_TOLD, FieldChange, MemberChanges
from service.impact.parts import differences, is_member


def member_changes(before: DesignReport, after: DesignReport) -> MemberChanges:
    """Return which members come, go, and change; an id that both designs have is one member."""
    old, new = members_of(before), members_of(after)
    added = [id for id in new if id not in old]
    removed = [id for id in old if id not in new]
    changed = [one for id in old if id in new for one in _changed(id, old[id], new[id])]
    return MemberChanges(
        added=tuple(added[:MOST_TOLD]),
        removed=tuple(removed[:MOST_TOLD]),
        changed=tuple(changed[:MOST_TOLD]),
        added_left_out=len(added[MOST_TOLD:]),
        removed_left_out=len(removed[MOST_TOLD:]),
        changed_left_out=len(changed[MOST_TOLD:]),
    )


def members_of(report: DesignReport) -> dict[str, msgspec.Struct]:
    """Return every member of a design by its id, in the report's order."""
    parts = (report.levels, report.posts, report.footings, report.stairs)
    return {str(getattr(one, "id", "")): one for one in _members(parts)}


def _members(value: Any) -> Iterator[msgspec.Struct]:
    if isinstance(value, tuple):
        for one in value:
            yield from _members(one)
    elif isinstance(value, msgspec.Struct):
        if is_member(value):
            yield value
        for name in value.__struct_fields__:
            yield from _members(getattr(value, name))


def _changed(id: str, before: msgspec.Struct, after: msgspec.Struct) -> Iterator[FieldChange]:
    for field, old, new in differences(before, after):
        yield FieldChange(member=id, field=field, from_=old, to=new)
