"""Arguments and options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

SCENE = click.argument("scene", type=click.Path(path_type=Path))

AT = click.option(
    "--at",
    "degrees",
    type=click.FloatRange(-1e6, 1e6),
    default=0.0,
    metavar="DEG",
    help="Turned by so many degrees; several balls turn in the ratio of their speeds.",
)

AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")

FORCE = click.option("--force", is_flag=True, help="Replace an existing file.")

EV = click.option(
    "--ev",
    type=click.FloatRange(-20, 20),
    default=0.0,
    metavar="STOPS",
    help="So many stops brighter than the automatic exposure.",
)

VIEW = click.option(
    "--view",
    type=click.Choice(["dome", "floor"]),
    default="dome",
    show_default=True,
    help="The dome as seen lying on one's back, or the floor as seen from above.",
)

WORKERS = click.option(
    "--workers",
    type=click.IntRange(0, 256),
    default=0,
    help="Processes on this machine; 0, the default, for one a processor.",
)

SCHEDULER = click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="A running dask.distributed cluster does the work, as tcp://host:8786.",
)
