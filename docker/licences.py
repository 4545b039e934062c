"""Write docker/licences.md: the licence of every library in docker/requirements.lock, as its own metadata says.

How: `python docker/licences.py` from the top, where what is locked is installed; `--check` only compares.
"""

from __future__ import annotations

import re
import sys
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docker" / "licences.md"
# What a licence is called in a library's metadata, where it is not called by its SPDX name there.
NAMES = {
    "3-Clause BSD License": "BSD-3-Clause",
    "Apache 2.0": "Apache-2.0",
    "Apache License, Version 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL-3.0-only",
    "MIT License": "MIT",
    "MIT license": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}
ALLOWED = frozenset(
    {
        "0BSD", "Apache-2.0", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "ISC", "LGPL-3.0-only", "MIT",
        "MPL-2.0", "PSF-2.0", "Zlib",
    }
)  # fmt: skip
ELSEWHERE = ("colorama",)  # for Windows alone, in no image
INSIDE = """
Some wheels carry libraries of others, linked as they are and not changed: GEOS (LGPL-2.1) in shapely; OpenBLAS
(BSD-3-Clause) and the run-time of GCC (GPL-3.0 with its run-time exception) in numpy; HiGHS (MIT) in highspy; libpq
(PostgreSQL) with OpenSSL (Apache-2.0), Kerberos (MIT) and others in psycopg-binary; libuv (MIT) in uvloop; the crates
and fonts of typst. The base image is Debian's, with the licences under `/usr/share/doc` there, and CPython (PSF-2.0).
Swagger UI (Apache-2.0) is vendored with its licence in `service/web/assets/swagger-ui/`.
"""


def locked() -> list[str]:
    """Names in the lock file, in its order."""
    return re.findall(
        r"^([a-z0-9-]+)==", (ROOT / "docker" / "requirements.lock").read_text("utf-8"), re.MULTILINE
    )


def licence_of(found: Distribution) -> str:
    """The licence a library states: by an SPDX expression, else by a classifier, else by a word.

    Raises:
        ValueError: it states none
    """
    stated = found.metadata.get_all("License-Expression") or []
    for line in found.metadata.get_all("Classifier") or []:
        if line.startswith("License ::") and not line.endswith("OSI Approved"):
            stated.append(line.rpartition(" :: ")[2])
    stated += [text.splitlines()[0] for text in found.metadata.get_all("License") or []]
    if not stated:
        raise ValueError(f"{found.metadata['Name']} states no licence")
    return NAMES.get(stated[0], stated[0])


def strangers(expression: str) -> list[str]:
    """Licences of an expression that are not allowed: all joined by AND, every way joined by OR.

    >>> strangers("MIT OR GPL-3.0-only"), strangers("MIT AND GPL-3.0-only"), strangers("MIT-0")
    ([], ['GPL-3.0-only'], ['MIT-0'])
    """
    ways = [[part.strip(" ()") for part in way.split(" AND ")] for way in expression.split(" OR ")]
    left = [[one for one in way if one not in ALLOWED] for way in ways]
    return min(left, key=len)


def page() -> str:
    """The page as it should be.

    Raises:
        ValueError: a library is not installed, states no licence, or one that is not allowed
    """
    lines = ["# Licences of what the image holds", "", "| library | licence |", "|---|---|"]
    for name in dict.fromkeys(locked()):
        if name in ELSEWHERE:
            continue
        try:
            licence = licence_of(distribution(name))
        except PackageNotFoundError:
            raise ValueError(f"{name} is locked and not installed") from None
        if strangers(licence):
            raise ValueError(f"{name}: {strangers(licence)} may not be used")
        lines.append(f"| {name} | {licence} |")
    return "\n".join([*lines, INSIDE.rstrip(), ""])


def main() -> int:
    """Write the page, or compare it; return the exit code."""
    wanted = page()
    if "--check" in sys.argv[1:]:
        return 0 if PAGE.is_file() and PAGE.read_text("utf-8") == wanted else 1
    PAGE.write_text(wanted, "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
