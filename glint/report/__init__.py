"""Reports of what was measured: pictures side by side, and one page that holds everything."""
