"""Everything besides the spec that a design depends on: rules, place, prices and facts, all versioned."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from service.choice.level.watch import UNWATCHED, Watch
from service.foundations.facts import FoundationFacts
from service.rules.framing_minutes import FramingMinutes
from service.rules.jurisdiction import Jurisdiction
from service.rules.price_book import PriceBook
from service.rules.rulebook import Rulebook
from service.timber.values import TimberData


@dataclass(frozen=True)
class Context:
    """What a spec is designed against. ``rulebook`` is already amended for the jurisdiction.

    ``in_force`` is the rulebook in force in the jurisdiction on ``as_of`` (None without a jurisdiction).
    ``watch`` changes no answer.
    """

    rulebook: Rulebook
    guide: Rulebook
    jurisdiction: Jurisdiction | None
    prices: PriceBook | None
    facts: FoundationFacts
    timber: TimberData
    minutes: FramingMinutes
    as_of: dt.date
    in_force: str | None
    engine_version: str
    watch: Watch = field(default=UNWATCHED, compare=False, repr=False)
