"""From light to pictures: exposure, views, stills, loops, and the files they are kept in."""
