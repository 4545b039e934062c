"""What a rulebook says of itself, as the text of its `rulebook.toml`; and whose a table says it is."""

from __future__ import annotations

import json
import re

from service.rules.rulebook import RulebookMeta

_VERSION = re.compile(r"(?m)^version = .*$")
_OWNER = re.compile(r"(?m)\A((?:#.*\n)*?)#rulebook:.*$")


def meta_text(meta: RulebookMeta) -> str:
    """Return the text that says this; read back it says the same, and it is written one way.

    >>> from datetime import date
    >>> meta = RulebookMeta("a-code", "1", "A", "code", "B", 1, date(2026, 12, 1), ("Read it.",))
    >>> print(meta_text(meta).splitlines()[-3:])
    ['notes = [', '  "Read it.",', ']']
    """
    lines = [
        f"{name} = {_quoted(getattr(meta, name))}" for name in ("id", "edition", "title", "kind", "document")
    ]
    lines += [f"version = {meta.version}", f"published_on = {meta.published_on}", "notes = ["]
    lines += [*(f"  {_quoted(note)}," for note in meta.notes), "]"]
    return "".join(f"{line}\n" for line in lines)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def numbered_text(text: str, version: int) -> str:
    r"""Return a TOML text with another version number, the rest byte for byte.

    >>> numbered_text('id = "a-town"\nversion = 1\n', 2)
    'id = "a-town"\nversion = 2\n'
    """
    return _VERSION.sub(f"version = {version}", text, count=1)


def owned_text(text: str, rulebook: str) -> str:
    r"""Return a table's text that says it is of another rulebook, the rest byte for byte.

    >>> owned_text("#table: joist_spans\n#rulebook: irc-2021\n#document: D\n", "a-code")
    '#table: joist_spans\n#rulebook: a-code\n#document: D\n'
    """
    return _OWNER.sub(rf"\g<1>#rulebook: {rulebook}", text, count=1)
