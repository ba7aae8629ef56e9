"""How a process knows that another one of ours started it."""

CHILD = "GLINT_CHILD"
"""Set in its environment."""
