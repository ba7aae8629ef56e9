"""The judge: a brute-force photon tracer that shares no code with the package it judges.

It reads an exported GLB (nodes `mirrors` and `panels`), throws photons from a lamp at it through
Embree, and counts where they end: absorbed by mirrors, caught by panels, cut off after too many
mirrors, or landed on the room, whose dome, wall and floor it works out by its own formulae.

    geometry = read_glb("ball.glb")
    lamp = Lamp((3, 0, 1.6), axis=(-3, 0, 0.8), radius=0.03, candela=lambda gamma: ...)
    room = Room(radius=4.0, rise=4.0)
    dome = DomeMap(room, 1024)
    tally = trace(geometry, lamp, room, 2_000_000, aim=geometry.bounds(), sinks=[dome])
    tally.landed[1].lumens, dome.lux()

`peer.photons_for_rms` says how long this tracer takes to come within a given error of a light map.
"""

from tests.judge.geometry import Geometry, Target, read_glb
from tests.judge.lamp import Lamp
from tests.judge.maps import DomeMap, FloorMap, Record
from tests.judge.peer import PeerRun, photons_for_rms, rms_error
from tests.judge.room import Room
from tests.judge.spots import SpotRow, spots
from tests.judge.tally import Estimate, Tally
from tests.judge.trace import trace

__all__ = [
    "DomeMap",
    "Estimate",
    "FloorMap",
    "Geometry",
    "Lamp",
    "PeerRun",
    "Record",
    "Room",
    "SpotRow",
    "Tally",
    "Target",
    "photons_for_rms",
    "read_glb",
    "rms_error",
    "spots",
    "trace",
]
