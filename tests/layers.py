"""The layers of the application, from the outermost in."""

from __future__ import annotations

from typing import Any, TypeVar

Layer = TypeVar("Layer")


def layer(app: Any, kind: type[Layer]) -> Layer:
    """The layer of a kind: each holds the next one in."""
    while not isinstance(app, kind):
        app = app.inner
    return app
