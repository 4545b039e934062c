"""What the examples in docstrings may use without building it: rulebooks, a place, and criteria."""

from __future__ import annotations

from typing import Any

import pytest
