"""The kinds of surfaces, as numbers that the kernels tell apart.

To add one: a number here, a file like `cap` beside this one, and a line in each of `equal_area`'s
`point` and `ray_cast`'s `_path_to` and `locate`.
"""

from __future__ import annotations

CAP, REVOLUTION, RECTANGLE = 0, 1, 2
