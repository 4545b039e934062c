"""How often a publishable key may be used: how many at once, how soon again, and in how much memory."""

from __future__ import annotations

from service.web.rates import BURST_S, Rates


class Clock:
    """A clock that stands until it is set on."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_as_many_at_once_as_come_in_the_burst_and_then_one_by_one() -> None:
    clock = Clock()
    rates = Rates(60, clock=clock)
    waits = [rates.wait_s("key", "192.0.2.1") for _ in range(int(BURST_S) + 1)]
    assert waits == [0.0] * int(BURST_S) + [1.0]
    # being refused uses up nothing
    assert rates.wait_s("key", "192.0.2.1") == 1.0
    clock.now += 1.0
    assert [rates.wait_s("key", "192.0.2.1") for _ in range(2)] == [0.0, 1.0]


def test_over_an_hour_no_more_come_in_than_were_promised() -> None:
    clock = Clock()
    rates, let_in = Rates(30, clock=clock), 0
    for _ in range(36_000):
        let_in += rates.wait_s("key", "192.0.2.1") == 0.0
        clock.now += 0.1
    assert 30 * 60 <= let_in <= 30 * 60 + 10


def test_each_key_and_address_has_a_bucket_and_a_network_has_one() -> None:
    rates = Rates(1, clock=Clock())
    pairs = [
        ("a", "192.0.2.1"),
        ("b", "192.0.2.1"),
        ("a", "192.0.2.2"),
        ("a", "2001:db8::1"),
        ("a", "2001:db8:0:1::1"),
    ]
    assert [rates.wait_s(*pair) for pair in pairs] == [0.0] * 5
    for same in ("192.0.2.1", "::ffff:192.0.2.1", "2001:db8::ffff:1:2"):
        assert rates.wait_s("a", same) > 0


def test_full_buckets_are_let_go_and_there_are_never_too_many() -> None:
    clock = Clock()
    rates = Rates(60, most=100, clock=clock)
    for number in range(1000):
        rates.wait_s("key", f"198.51.{number // 250}.{number % 250}")
        assert len(rates) <= 100
    clock.now += 2.0
    rates.wait_s("key", "192.0.2.1")
    assert len(rates) == 1


def test_what_is_let_go_first_was_used_longest_ago() -> None:
    rates = Rates(1, most=2, clock=Clock())
    for address in ("192.0.2.1", "192.0.2.2", "192.0.2.3"):
        assert rates.wait_s("key", address) == 0.0
    assert rates.wait_s("key", "192.0.2.3") > 0
    assert rates.wait_s("key", "192.0.2.2") > 0
    assert rates.wait_s("key", "192.0.2.1") == 0.0
