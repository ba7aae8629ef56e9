"""The page and its socket, served safely."""
