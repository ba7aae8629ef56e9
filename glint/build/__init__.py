"""What a maker needs at the bench and in other programs."""
