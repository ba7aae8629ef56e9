"""What the maker wrote: the scene file, its defaults, and every way in which it can be wrong."""
