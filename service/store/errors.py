"""What can go wrong in the store, each with a message a person can act on."""

from __future__ import annotations


class StoreError(RuntimeError):
    """The store cannot do what was asked; the message says why and what to do."""


class OutcomeUnknown(StoreError):
    """The database was lost while a transaction was being committed: all of it was written, or nothing."""


class EmbeddedServerError(StoreError):
    """The embedded PostgreSQL server cannot be started or stopped."""


class FolderInUse(EmbeddedServerError):
    """Another process runs a server in the same data folder."""


class LoadRefused(StoreError):
    """A bundled file contradicts what is already published under the same version number."""


class PublishingConflict(StoreError):
    """A version cannot be published beside those that are; the message names the one in the way and its days."""


class NotAsSaid(StoreError):
    """What is to be published is not what its sender said it was.

    Attributes:
        key: what was said wrongly: `version` or `digest`
    """

    def __init__(self, key: str, text: str) -> None:
        super().__init__(text)
        self.key = key


class ChangedSince(StoreError):
    """A draft is not what its sender saw; the message has its entity tag."""


class SecondKeyNeeded(StoreError):
    """Who publishes wrote some of the draft himself."""


class DamagedVersion(StoreError):
    """A stored version no longer has the text its digest was taken from, or cannot be parsed."""


class NotServed(LookupError):
    """No version answers to a reference: unknown, not in force on that day, or damaged in the store."""
