"""What the balls are: panels, the mirror tiles glued on them, and what hangs up."""
