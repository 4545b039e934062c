"""What may be done by a write, as the audit tells it; the triggers of the database write these words."""

from __future__ import annotations

from service.contract.words.word import WordList, open_list

AUDIT_LISTS: tuple[WordList, ...] = (
    open_list(
        "audit.action",
        {
            "draft_created": "A draft of a rulebook or jurisdiction was begun.",
            "draft_changed": "A draft was changed.",
            "draft_removed": "A draft was removed, or became the version published.",
            "published": "A version was published, and stays as it is from then on.",
            "days_changed": "The days a published version is in force were changed.",
            "state_announced": "A version was announced.",
            "state_in_force": "A version was marked as in force.",
            "state_superseded": "A version was marked as followed by another.",
            "state_withdrawn": "A version was withdrawn.",
            "created": "A price book was made.",
            "changed": "A price book was changed.",
            "granted": "Another organisation was given a price book to read.",
            "grant_withdrawn": "A grant of a price book was taken back.",
            "key_created": "A key was made.",
            "key_changed": "A key was given an end, or changed otherwise.",
            "key_revoked": "A key was revoked.",
        },
    ),
)
