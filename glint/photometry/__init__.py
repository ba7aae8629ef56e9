"""What shines: lamps, their photometry and their colour."""
