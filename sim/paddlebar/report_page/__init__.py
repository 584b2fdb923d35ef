"""The account of one flight as a page or on paper."""
