"""glint foretells the light of hand-made mirrored polyhedra before a tile is glued."""

__version__ = "0.1.0"
