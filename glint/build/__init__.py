"""What a maker needs at the bench: what a stock of tiles makes, and how a ball is built."""
