"""One page that holds everything: pictures, table, plots, definitions and cautions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from glint.analysis.definitions import definition_of
from glint.analysis.measure import Measures
from glint.analysis.verdict import on_strings, sentences, wins
from glint.build.cautions import CAUTIONS, DEFERENCE
from glint.report import plots
from glint.report.candidate import Answer
from glint.report.embedded import as_data
from glint.report.pictures import HEADINGS, strips_of
from glint.report.table import columns_of, left_out, mean_of, measured
from glint.schema.tables import LampTable, SceneFile
from glint.version import VERSION


def page(answers: Sequence[Answer], file: SceneFile, apart: Sequence[str] = ()) -> str:
    """The report as one HTML page that fetches nothing. file: the scene that was asked
    about. apart: what the candidates do not have in common."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, PrefixLoader
    from markupsafe import Markup

    found = measured(answers)
    strips = strips_of(answers)
    # "build/..." is a template of the build sheet, which has the same cautions.
    shared = PrefixLoader({"build": PackageLoader("glint.build")})
    loader = ChoiceLoader([PackageLoader("glint.report"), shared])
    environment = Environment(loader=loader, autoescape=True, trim_blocks=True)
    best = {win.key: {win.number, *win.tied} for win in wins(found)}
    keys = list(dict.fromkeys(key for one in found for key in one.figures))
    drawn = []
    if any("spots" in one.figures for one in found):
        drawn = [
            ("Spots against tiles used", plots.spots_against_tiles(found)),
            ("Density from the zenith down", plots.density_from_zenith(found)),
            ("Unevenness", plots.unevenness(found)),
        ]
    return environment.get_template("page.html").render(
        title=file.title,
        version=VERSION,
        verdict=sentences(found),
        strings=on_strings(found),
        left_out=left_out(answers),
        apart=apart,
        lamps="; and by ".join(map(_lamp, file.lamp)) or "strings alone",
        hanging=_point((*file.ball[0].hang.at_m, file.ball[0].hang.height_m)),
        rpm=file.ball[0].motion.rpm,
        columns=[definition_of(key) for key in columns_of(found)],
        rows=[_row(one, number, columns_of(found), best) for number, one in enumerate(found)],
        strips=[
            (strip.title, strip.figures, [as_data(picture) for picture in strip.pictures])
            for strip in strips.strips
        ],
        headings=HEADINGS,
        densest=strips.densest,
        plots=[(name, Markup(svg)) for name, svg in drawn],
        every=[definition_of(key) for key in keys],
        details=[_details(one, keys) for one in found],
        cautions=CAUTIONS,
        deference=DEFERENCE,
    )


def _row(
    one: Measures, number: int, keys: Sequence[str], best: dict[str, set[int]]
) -> dict[str, Any]:
    return {
        "title": one.title,
        "tiles": one.tiles,
        "grams": one.grams,
        "cells": [
            {
                "value": mean_of(one, key),
                "text": text_of(mean_of(one, key)),
                "best": number in best.get(key, ()),
            }
            for key in keys
        ],
    }


def _details(one: Measures, keys: Sequence[str]) -> dict[str, Any]:
    rows = []
    for key in keys:
        definition, figure = definition_of(key), one.figures.get(key)
        if figure is not None:
            factor = 100.0 if definition.unit == "%" else 1.0
            cells = [text_of(factor * value) for value in figure[:3]]
            rows.append((definition, cells, text_of(100.0 * figure.error)))
    return {"measures": one, "rows": rows}


def text_of(value: float) -> str:
    """A figure of three digits, without an exponent, so that a column is as precise in every row;
    a dash where there is none.
    """
    if math.isnan(value):
        return "–"
    if value == 0.0:
        return "0"
    if abs(value) < 1e-4:
        return "< 0.0001"
    return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:#.3g}".removesuffix(".")


def _point(place: Sequence[float]) -> str:
    return f"({', '.join(f'{value:g}' for value in place)})"


def _lamp(lamp: LampTable) -> str:
    if lamp.file is not None:
        return f"{lamp.name} at {_point(lamp.at_m)} m, {lamp.file}"
    power = f"{lamp.peak_cd:,.6g} cd" if lamp.peak_cd is not None else f"{lamp.lumens:,.6g} lm"
    return f"{lamp.name} at {_point(lamp.at_m)} m, {lamp.beam_deg:g}° beam, {power}"
