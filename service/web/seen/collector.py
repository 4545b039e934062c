"""Where spans go, and which of them: told without the libraries that take them there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

SAMPLERS = (
    "always_on",
    "always_off",
    "traceidratio",
    "parentbased_always_on",
    "parentbased_always_off",
    "parentbased_traceidratio",
)


@dataclass(frozen=True)
class Collector:
    """An OTLP/HTTP collector, and what is sent to it.

    Attributes:
        endpoint: its base URL
        service_name: name of this service among others
        headers: sent with every batch
        attributes: others of the service
        sampler: one of `SAMPLERS`
        ratio: of traces kept, 0 to 1, where the sampler goes by one
    """

    endpoint: str
    service_name: str = "deck-framing"
    headers: Mapping[str, str] = field(default_factory=dict)
    attributes: Mapping[str, str] = field(default_factory=dict)
    sampler: str = "parentbased_always_on"
    ratio: float = 1.0
