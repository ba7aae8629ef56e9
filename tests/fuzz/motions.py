"""How balls turn, swing and twist; mostly fast, so that loops are short."""

from __future__ import annotations

from random import Random

from tests.fuzz.toml import Tables

SPEEDS = [0.0, 1.5, 3.0, 10.0, 20.0, -30.0, 60.0, 120.0, -120.0, 1e-6, 7.123456789, 1e-3]


def motion(r: Random) -> Tables:
    """Turning, and now and then a swing, a twist or both."""
    found: Tables = {}
    if r.random() < 0.8:
        found["rpm"] = r.choice(SPEEDS)
    if r.random() < 0.3:
        found["phase_deg"] = r.choice([0.0, 90.0, -360.0, r.uniform(0.0, 360.0)])
    if r.random() < 0.2:
        found["swing_deg"] = r.choice([0.5, 3.0, 3.0, 8.0, 1e-9, 5e-324])
        if r.random() < 0.5:
            found |= {"swing_towards_deg": r.uniform(-360.0, 360.0), "swing_phase_deg": 90.0}
    if r.random() < 0.2:
        found |= {
            "twist_turns": r.choice([0.25, 2.0, 100.0, 1e-9, 5e-324]),
            "twist_period_s": r.choice([1.0, 2.5, 60.0, 3600.0, 1.0000001]),
        }
        if r.random() < 0.5:
            found["twist_phase_deg"] = r.choice([0.0, 180.0, -360.0])
    return found
