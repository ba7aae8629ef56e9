"""Where the sheet's defaults and formulae come from, as the sheet prints them."""

from __future__ import annotations

SOURCES = (
    (
        "Glass",
        "soda-lime float glass has 2.5 g/cm³ (EN 572-1, from memory); foil and paint on its back "
        "are not counted",
    ),
    (
        "Panels",
        "solid PLA has 1.24 g/cm³, as makers of filament state it (common practice); mitred, so "
        "that their sides meet. Hollow or ribbed prints weigh less: weigh one and set panel_g_cm3",
    ),
    ("Glue", "density, film under a tile and bead along a joint are common practice"),
    (
        "Curing",
        "24 h before handling and 72 h to full strength are common practice for solvent-based "
        "craft adhesives. The tube says it better",
    ),
    ("Times", "seconds a tile and a joint and minutes a panel are common practice: time your own"),
    (
        "Tilt",
        "a body on one cord comes to rest with its centre of mass straight below the hold; the "
        "cord, hook and motor have no weight here",
    ),
    (
        "Swing",
        "a compound pendulum, small swings, T = 2π √((l² + k²) / (g l)) (Huygens 1673), with "
        "g = 9.80665 m/s² (CGPM 1901)",
    ),
    (
        "Wind",
        "tan of the lean = drag / weight, a pendulum in uniform wind, cord without weight or drag. "
        "Drag = ½ ρ v² c A on the largest silhouette, with ρ = 1.225 kg/m³ (ISO 2533:1975). "
        "c: a sphere 0.47 for ring-laid balls, a cube face on 1.05 for bodies of panels, a cup "
        "open to the wind 1.42 for those with openings (Hoerner, Fluid-Dynamic Drag, 1965, "
        "chapter 3, from memory), which is on the safe side for round bodies. A steady push that "
        "comes all at once swings a pendulum out twice as far as it leans (first principles). "
        "Beaufort's forces are those of WMO-No. 306 (from memory); when to take a ball down is "
        "common practice",
    ),
    (
        "Loop",
        "the least perimeter of the body's shadow over all directions. A loop this long passes "
        "straight over; one worked over askew may do with a little less",
    ),
    (
        "Rating",
        "the factor for hook, cord and safety line is common practice for loads over people; "
        "what the local code asks for comes first",
    ),
)
"""What it is about, and the source."""
