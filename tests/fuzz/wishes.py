"""What a scene may say beside its light: titles, the workshop, candidates, and what is free."""

from __future__ import annotations

from random import Random

from glint.schema.describe import bounds_of
from glint.schema.tables import WorkshopTable
from tests.fuzz.shapes import shape
from tests.fuzz.toml import Tables

WORDS = [
    *("quince", "Quitte", "quitté", "айва", "マルメロ", "سفرجل", "חבוש", "木瓜"),
    *("q\u0300\u0301\u0316", "<b>&amp;", "$x_1$", "%s{0}", "\\frac", "'\"`", "--", "-", ";", "="),
    *("\u200b", "\u200d", "\u2060", "\u00ad", "\u00a0", "\u3000", "\ufffd", "\ue000"),
    *("\U0001f34f", "\U0010ffff", "a" * 60),
]


def title(r: Random) -> str:
    """A few words in any script, and signs that mean something to some program or other."""
    some = r.choices(WORDS, k=r.choice([1, 1, 2, 5]))
    if r.random() < 0.2:
        some.append("".join(chr(r.randrange(0xA1, 0x2000)) for _ in range(4)))
    return r.choice(["", " ", " "]).join(some)[:119]


def workshop(r: Random) -> Tables:
    """Some of the workshop's keys, each with a number that may stand there."""
    found: Tables = {}
    for key in r.sample(sorted(WorkshopTable.model_fields), r.choice([1, 3, 8])):
        field = WorkshopTable.model_fields[key]
        least, most = bounds_of(field).least, bounds_of(field).most
        if key == "cord_m":
            found[key] = r.choice([0.05, 0.1, 0.2])
        elif key in ("hands", "machines"):
            found[key] = r.choice([int(least), int(most), 2])
        elif key not in ("handling_h", "full_cure_h"):
            found[key] = r.choice([least, most, r.uniform(least, most)])
    if r.random() < 0.3:
        found |= {"handling_h": r.choice([0.0, 1e-310, 5.0]), "full_cure_h": 5.0}
    return found


def candidates(r: Random) -> list[Tables]:
    """One to three other balls for the first one's place."""
    found = []
    for _ in range(r.choice([1, 2, 3])):
        one: Tables = {"shape": shape(r).shape}
        if r.random() < 0.5:
            one["name"] = title(r)[:50].strip() or "quince"
        if r.random() < 0.3:
            one["tile"] = {"panel_edge_mm": 40.0, "edge_mm": 30.0}
        found.append(one)
    return found


def free(r: Random, tables: Tables) -> list[Tables]:
    """One or two numbers that `place` may choose, mostly within reason."""
    ball = tables["ball"][0]
    name, height = ball.get("name", "ball 1"), ball["hang"]["height_m"]
    ranges = {
        "height_m": (0.8 * height, 1.2 * height),
        "x_m": (-0.3, 0.3),
        "y_m": (-0.3, 0.3),
        "rpm": (-3.0, 6.0),
        "panel_edge_mm": (tables["tile"]["edge_mm"], 2.0 * tables["tile"]["edge_mm"]),
    }
    if "diameter_m" in ball["shape"]:
        ranges = ranges | {"diameter_m": (0.1, 0.5)}
    rows = [{"ball": name, "key": key, "least": low, "most": high}
            for key, (low, high) in ranges.items()]  # fmt: skip
    if "lamp" in tables:
        x, y, z = tables["lamp"][0]["at_m"]
        for key, low, high in (("x_m", 0.5 * x, 0.9 * x), ("y_m", 0.5 * y, 0.9 * y),
                               ("z_m", 0.5 * z, 2.0 * z), ("beam_deg", 2.0, 60.0),
                               ("aim_z_m", 0.5 * height, height)):  # fmt: skip
            row = {"lamp": "lamp 1", "key": key, "least": min(low, high), "most": max(low, high)}
            rows.append(row)
    chosen = r.sample(rows, r.choice([1, 1, 2]))
    for row in chosen:
        if r.random() < 0.15:  # beyond reason: most of what is tried cannot be built
            row |= r.choice([{"least": -1e6}, {"most": 1e6}, {"least": 0.0, "most": 5e-324}])
    return [row for row in chosen if row["least"] < row["most"]]


def goal(r: Random) -> Tables:
    """Weights and limits, some of which nothing can keep."""
    found: Tables = {"seed": r.choice([0, 7, 2**32 - 1])}
    for key in r.sample(["spots", "evenness", "cover"], r.randrange(4)):
        found[key] = r.choice([0.0, 1.0, 1000.0, 5e-324])
    if r.random() < 0.8:
        found["clearance_m"] = r.choice([0.0, 0.5, 1.5])
    if r.random() < 0.5:
        found["speed_at_most_m_s"] = r.choice([1.0, 1000.0, 1e-6])
    if r.random() < 0.3:
        found["passes_at_most_per_s"] = r.choice([1.0, 1e-6])
    if r.random() < 0.3:
        found |= {"peak_at_most_lux": r.choice([1e9, 1e-6]), "peak_at_least_lux": 5e-324}
    if r.random() < 0.3:
        found["tiles_at_most"] = r.choice([1, 100, 10**7])
    return found
