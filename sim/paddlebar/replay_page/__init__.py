"""A flight to look at: page for a browser, film."""
