"""The page that one touches: `glint live`, its session, its wire and its server."""
