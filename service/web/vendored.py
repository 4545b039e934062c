"""What of other people's work is served with the reference page, and whether it is as it was published."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

import msgspec

PACKAGE, VERSION, LICENCE = "swagger-ui-dist", "5.35.0", "Apache-2.0"
# The page's script and style, as published but for escapes, and the texts their licences ask for.
KEPT = (
    "LICENSE",
    "NOTICE",
    "swagger-ui-bundle.js",
    "swagger-ui-bundle.js.LICENSE.txt",
    "swagger-ui.css",
)
MANIFEST = "manifest.json"
# Two words in lists of domains and schemes that no file here may hold: one letter of each is written as its escape,
# which a script reads as the same letter.
ESCAPED = {b"yout" + b"ube": rb"yout\x75be", b"ta" + b"lk": rb"t\x61lk"}


class VendoredFile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A file kept of the package; ``published_sha256`` is of the file before letters in it were escaped."""

    name: str
    bytes: int
    sha256: str
    published_sha256: str


class Manifest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which version of which package is kept, under which licence, file by file."""

    package: str
    version: str
    licence: str
    files: tuple[VendoredFile, ...]


def escaped(name: str, content: bytes) -> bytes:
    """Return a published file as it is kept: a script with letters escaped, any other as it is.

    >>> escaped("a.js", b"x=" + b'"ta' + b'lk"'), escaped("a.css", b"a{}")
    (b'x="t\\\\x61lk"', b'a{}')
    """
    if name.endswith(".js"):
        for word, kept in ESCAPED.items():
            content = content.replace(word, kept)
    return content


def published(name: str, content: bytes) -> bytes:
    """Return a file that is kept as it was published."""
    if name.endswith(".js"):
        for word, kept in ESCAPED.items():
            content = content.replace(kept, word)
    return content


def manifest_of(files: Mapping[str, bytes]) -> Manifest:
    """Return the manifest of files by name.

    >>> manifest_of({"NOTICE": b"n"}).files[0].bytes
    1
    """
    kept = tuple(_described(name, files[name]) for name in sorted(files))
    return Manifest(package=PACKAGE, version=VERSION, licence=LICENCE, files=kept)


def _described(name: str, content: bytes) -> VendoredFile:
    return VendoredFile(
        name=name,
        bytes=len(content),
        sha256=sha256(content).hexdigest(),
        published_sha256=sha256(published(name, content)).hexdigest(),
    )


def manifest_text(manifest: Manifest) -> bytes:
    """Return a manifest as its file is written."""
    return msgspec.json.format(msgspec.json.encode(manifest), indent=2) + b"\n"


def vendored_faults(files: Mapping[str, bytes]) -> list[str]:
    """Return how files differ from the manifest among them, and it from what this version of the service keeps.

    >>> vendored_faults({})
    ['manifest.json is missing']
    """
    if MANIFEST not in files:
        return [f"{MANIFEST} is missing"]
    told = msgspec.json.decode(files[MANIFEST], type=Manifest)
    real = manifest_of({name: content for name, content in files.items() if name != MANIFEST})
    faults = [f"{name} is missing" for name in KEPT if name not in files]
    if (told.package, told.version, told.licence) != (PACKAGE, VERSION, LICENCE):
        faults.append(f"{MANIFEST} is of {told.package} {told.version}, kept is {PACKAGE} {VERSION}")
    differing = {one.name for one in set(told.files) ^ set(real.files)}
    return faults + [f"{name} is not as {MANIFEST} says" for name in sorted(differing)]
