"""Live load on some bays and not on others, and the worst that follows."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from service.mechanics.beam import Beam, Load, Uniform
from service.mechanics.response import Peak, Response, analyse

Pattern = tuple[bool, ...]


class Envelope(msgspec.Struct, frozen=True):
    """The worst of several load patterns, each with its place.

    Source: statics. Reactions in lb (``min`` negative is uplift), moments in lb-ft, shear in lb,
    deflections in in, downward positive, one a bay.

    >>> Envelope((), (), Peak(1.0, 2.0), Peak(0.0, 0.0), Peak(0.0, 0.0), (), ()).max_moment_lb_ft.at_ft
    2.0
    """

    max_reactions_lb: tuple[float, ...]
    min_reactions_lb: tuple[float, ...]
    max_moment_lb_ft: Peak
    min_moment_lb_ft: Peak
    max_shear_lb: Peak
    max_deflections_in: tuple[Peak, ...]
    min_deflections_in: tuple[Peak, ...]


def governing_patterns(bays: int) -> tuple[Pattern, ...]:
    """Return the bay patterns that give every bay-wise extreme of a continuous beam.

    Source: influence lines of continuous beams (Müller-Breslau): alternate bays give the largest span
    moments, two neighbouring bays and alternates beyond give the largest moment and reaction over their
    support, and the complements give the smallest. No unit: a pattern says for each bay whether it is loaded.

    Args:
        bays: number of bays, overhangs counted.

    Returns:
        The distinct patterns, all bays loaded first.

    >>> governing_patterns(2)
    ((True, True), (True, False), (False, False), (False, True))
    """
    every: list[Pattern] = [(True,) * bays, tuple(i % 2 == 0 for i in range(bays))]
    for left in range(bays - 1):
        pair = tuple((left - i) % 2 == 0 if i <= left else (i - left - 1) % 2 == 0 for i in range(bays))
        every.append(pair)
    # Complements give the least reactions: uplift.
    every.extend([tuple(not loaded for loaded in pattern) for pattern in every])
    return tuple(dict.fromkeys(every))


def bay_loads(beam: Beam, pattern: Pattern, load_plf: float) -> list[Load]:
    """Return a uniform load on the bays a pattern names.

    Source: statics.

    Args:
        beam: the beam, ft.
        pattern: which bays are loaded, one a bay.
        load_plf: the load, plf.

    Returns:
        The loads, positions in ft.

    >>> bay_loads(Beam(12.0, (0.0, 10.0)), (False, True), 50.0)
    [Uniform(start_ft=10.0, end_ft=12.0, load_plf=50.0)]
    """
    return [
        Uniform(start, end, load_plf)
        for (start, end), loaded in zip(beam.bays_ft, pattern, strict=True)
        if loaded
    ]


def pattern_responses(
    beam: Beam,
    dead: Sequence[Load],
    live_plf: float,
    stiffness_lb_in2: float,
    live_points: Sequence[Load] = (),
    patterns: Sequence[Pattern] | None = None,
) -> list[Response]:
    """Return the beam solved for dead load with live load bay by bay.

    Source: the patterns are those of `governing_patterns` unless given. Each extra live load is tried on its
    own, with the dead load.

    Args:
        beam: the beam, ft.
        dead: the loads that are always there, plf and lb.
        live_plf: the uniform live load, plf.
        stiffness_lb_in2: E I, lb-in2.
        live_points: further live loads, each acting alone, lb and plf.
        patterns: bay patterns to try instead of all.

    Returns:
        One solved beam a case: lb, lb-ft, in.

    Limits of validity: as `analyse`; a bay is loaded whole or not at all.

    >>> len(pattern_responses(Beam(12.0, (0.0, 10.0)), [Uniform(0.0, 12.0, 10.0)], 40.0, 1e8))
    4
    """
    tried = patterns if patterns is not None else governing_patterns(len(beam.bays_ft))
    cases = [[*dead, *bay_loads(beam, pattern, live_plf)] for pattern in tried]
    cases += [[*dead, load] for load in live_points]
    return [analyse(beam, loads, stiffness_lb_in2) for loads in cases]


def envelope(
    beam: Beam,
    dead: Sequence[Load],
    live_plf: float,
    stiffness_lb_in2: float,
    live_points: Sequence[Load] = (),
    patterns: Sequence[Pattern] | None = None,
) -> Envelope:
    """Return the worst moments, shears, reactions and deflections of dead load with live load bay by bay.

    Source: superposition. Arguments and limits as `pattern_responses` (ft, plf, lb, lb-in2).

    Returns:
        The extremes with places, lb, lb-ft, in.

    >>> found = envelope(Beam(12.0, (0.0, 10.0)), [Uniform(0.0, 12.0, 10.0)], 40.0, 1e8)
    >>> [round(r, 1) for r in found.max_reactions_lb + found.min_reactions_lb]
    [248.0, 360.0, 40.0, 72.0]
    """
    return worst(pattern_responses(beam, dead, live_plf, stiffness_lb_in2, live_points, patterns))


def worst(responses: Sequence[Response]) -> Envelope:
    """Return the extremes over several solved load cases of one beam.

    Source: comparison of the cases. Units as `Envelope`: lb, lb-ft, in.

    Args:
        responses: the solved cases, at least one.

    Returns:
        The extremes with places.

    >>> beam = Beam(10.0, (0.0, 10.0))
    >>> worst([analyse(beam, [Uniform(0.0, 10.0, w)], 1e8) for w in (10.0, 20.0)]).max_reactions_lb
    (100.0, 100.0)
    """
    reactions = list(zip(*(r.reactions_lb for r in responses), strict=True))
    bent = list(zip(*(r.bay_deflections_in for r in responses), strict=True))
    return Envelope(
        tuple(max(values) for values in reactions),
        tuple(min(values) for values in reactions),
        max((r.max_moment_lb_ft for r in responses), key=lambda peak: peak.value),
        min((r.min_moment_lb_ft for r in responses), key=lambda peak: peak.value),
        max((r.max_shear_lb for r in responses), key=lambda peak: peak.value),
        tuple(max(peaks, key=lambda peak: peak.value) for peaks in bent),
        tuple(min(peaks, key=lambda peak: peak.value) for peaks in bent),
    )
