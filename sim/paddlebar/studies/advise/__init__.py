"""Changes that make a poor craft fly: each is flown before it is said."""
