"""Light as geometry: beams, spots and light maps from plain arrays.

Every compiled kernel of glint lives in this folder. Nothing here knows of scene files,
balls or pictures: polygons, lamps and charts come in as arrays, light goes out as arrays.
"""
