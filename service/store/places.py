"""Reads the documents of places: strictly, and with the time zones this machine knows."""

from __future__ import annotations

from functools import cache
from zoneinfo import available_timezones

from service.rules.faults import TableRefused
from service.rules.jurisdiction import Jurisdiction, parse_jurisdiction, zone_faults


@cache
def time_zones() -> frozenset[str]:
    """Return the names of the time zones that days can be told by.

    >>> "America/New_York" in time_zones(), "America/new_york" in time_zones()
    (True, False)
    """
    return frozenset(available_timezones())


def read_place(text: str, file_name: str) -> Jurisdiction:
    """Return the place in a document, on whose days the service can tell the date.

    Raises:
        TableRefused: with file and line, also for a time zone that is not known here
    """
    place = parse_jurisdiction(text, file_name)
    faults = zone_faults(place, file_name, time_zones())
    if faults:
        raise TableRefused(faults)
    return place
