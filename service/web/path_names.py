"""Names in paths that several resources have."""

from __future__ import annotations

from typing import Annotated

from litestar.params import PathParameter, QueryParameter

PINNED_PATTERN = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*@[1-9][0-9]{0,5}$"


def id_in_path(of: str, example: str) -> PathParameter:
    """Return the parameter of an id: ``of`` says whose, as in "a price book".

    >>> id_in_path("a rulebook", "irc-2021").description
    'Id of a rulebook'
    """
    return PathParameter(
        description=f"Id of {of}",
        pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$",
        min_length=3,
        max_length=40,
        schema_extra={"examples": [example]},
    )


VersionNumber = Annotated[
    int, PathParameter(description="Version, from 1", ge=1, le=999_999, schema_extra={"examples": [1]})
]


def named_version(reference: str) -> tuple[str, int]:
    """Return the id and number in a text of `PINNED_PATTERN`, whether there is such a version or not.

    >>> named_version("irc-2021@2")
    ('irc-2021', 2)
    """
    id, _, number = reference.partition("@")
    return id, int(number)


def compared_with(of: str, example: str) -> QueryParameter:
    """Return the parameter that names the version another one is compared with."""
    return QueryParameter(
        name="with",
        description=f"The other version, also of another {of}",
        pattern=PINNED_PATTERN,
        max_length=48,
        schema_extra={"examples": [example]},
    )
