"""Many flights: steps in compiled code, and the workers that fly them."""
