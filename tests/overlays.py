"""A place and its amendments, some or all of them, with what a design there is made by."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files

from context import context

from service.choice.level.context import Context
from service.rules.amend import apply_amendments
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction

LAW = "Test code (invented)"
MARK = "[[amendments]]\n"


@cache
def fellmarch() -> tuple[str, tuple[str, ...]]:
    """The file of the borough with an amendment of every sort: what stands before them, and each of them."""
    text = (files("service") / "rulebooks" / "jurisdictions" / "fellmarch-borough.toml").read_text("utf-8")
    head, *each = text.split(MARK)
    return head, tuple(each)


def block(name: str, table: str, match: str, given: str, change: str = "changed") -> str:
    """One amendment as it is written in a file; ``given`` are its values."""
    cite = f'{{ document = "{LAW}", section = "{name}", status = "one_source" }}'
    values = f"values = {{ {given} }}\n" if given else ""
    return (
        f'id = "{name}"\ntitle = "{name}"\ntable = "{table}"\nmatch = {{ {match} }}\nchange = "{change}"\n{values}'
        f"citation = {cite}\n"
    )


def place_of(*amendments: str) -> Jurisdiction:
    """The borough with these amendments and no other."""
    return parse_jurisdiction(MARK.join((fellmarch()[0], *amendments)), "fellmarch-borough.toml")


def named(*ids: str) -> Jurisdiction:
    """The borough with those of its own amendments."""
    return place_of(*(one for one in fellmarch()[1] if one.split('"')[1] in ids))


def context_of(place: Jurisdiction, rulebook: str = "irc-2021") -> Context:
    """What a spec is designed against in a place."""
    plain = context(None, rulebook)
    amended = apply_amendments(plain.rulebook, place)
    return replace(plain, rulebook=amended, jurisdiction=place, in_force=rulebook)
