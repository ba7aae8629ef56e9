"""What the page is sent, as arrays and facts."""
