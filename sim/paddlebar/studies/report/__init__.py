"""All that the report of one flight tells."""
