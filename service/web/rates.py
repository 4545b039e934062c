"""How often a publishable key may be used from one address: a bucket for each pair, held in this process alone."""

from __future__ import annotations

import ipaddress
import math
import time
from collections import OrderedDict
from collections.abc import Callable

from service.contract.problem import Rejected

MOST_BUCKETS = 10_000
# A page asks for several things at once: what may be chosen, a design, its drawings.
BURST_S = 20.0
# Who has one IPv6 address has a whole network of this size.
IPV6_PREFIX = 64
# The name of the one limit there is, in headers.
POLICY = "publishable"
# Seconds added up again and again are off by less.
_LITTLE = 1e-6


class TooOften(Rejected):
    """A publishable key is used too often from one address.

    Attributes:
        wait_s: after so many seconds it may be used again
    """

    def __init__(self, wait_s: float) -> None:
        super().__init__("too_many_requests", "this key was used too often from one address: wait, and go on")
        self.wait_s = wait_s


class Rates:
    """Lets in so many requests a minute, and as many at once as come in `BURST_S` seconds.

    A bucket is one number: the moment at which it will be full again. One that is full says nothing that a missing
    one does not, and is let go; where there are too many all the same, the one used longest ago is.

    Args:
        per_minute: requests a minute for each key and address
        most: how many buckets are held
        clock: seconds, from any beginning

    >>> rates = Rates(6, clock=lambda: 0.0)
    >>> [rates.wait_s("key", "192.0.2.1") for _ in range(3)], rates.wait_s("key", "192.0.2.2")
    ([0.0, 0.0, 10.0], 0.0)
    """

    def __init__(
        self, per_minute: int, *, most: int = MOST_BUCKETS, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._every_s = 60.0 / per_minute
        self._slack_s = max(BURST_S - self._every_s, 0.0)
        self._most = most
        self._clock = clock
        self._full_at: OrderedDict[tuple[str, str], float] = OrderedDict()

    def wait_s(self, key_id: str, address: str) -> float:
        """Return nought for a request that may come in, which is counted; else the seconds after which one may."""
        now, name = self._clock(), (key_id, network_of(address))
        full_at = max(self._full_at.get(name, now), now)
        wait_s = full_at - now - self._slack_s
        if wait_s > 0:
            return wait_s
        self._full_at[name] = full_at + self._every_s
        self._full_at.move_to_end(name)
        self._let_go(now)
        return 0.0

    def headers(self, key_id: str, address: str) -> dict[str, str]:
        """Return what an answer says of the rate, by draft-ietf-httpapi-ratelimit-headers.

        ``q`` requests in ``w`` seconds are promised, as many as may come at once; ``r`` of them may come now, and
        after ``t`` seconds all of them.

        >>> rates = Rates(6, clock=lambda: 0.0)
        >>> [rates.wait_s("key", "192.0.2.1"), rates.headers("key", "192.0.2.1")]
        [0.0, {'RateLimit-Policy': '"publishable";q=2;w=20', 'RateLimit': '"publishable";r=1;t=10'}]
        """
        now = self._clock()
        busy_s = max(self._full_at.get((key_id, network_of(address)), now) - now, 0.0)
        most = math.floor(self._slack_s / self._every_s + _LITTLE) + 1
        room = max(math.floor((self._slack_s - busy_s) / self._every_s + _LITTLE) + 1, 0)
        policy = f'"{POLICY}";q={most};w={math.ceil(most * self._every_s - _LITTLE)}'
        return {"RateLimit-Policy": policy, "RateLimit": f'"{POLICY}";r={room};t={math.ceil(busy_s)}'}

    def __len__(self) -> int:
        """How many buckets are held."""
        return len(self._full_at)

    def _let_go(self, now: float) -> None:
        while len(self._full_at) > 1:
            oldest, full_at = next(iter(self._full_at.items()))
            if full_at > now and len(self._full_at) <= self._most:
                return
            del self._full_at[oldest]


def network_of(address: str) -> str:
    """Return what stands for one client: its IPv4 address, or the network of its IPv6 address.

    >>> network_of("::ffff:192.0.2.7"), network_of("2001:db8::1:2:3"), network_of("")
    ('192.0.2.7', '2001:db8::', '')
    """
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address[:64]
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((int(found), IPV6_PREFIX), strict=False).network_address)
