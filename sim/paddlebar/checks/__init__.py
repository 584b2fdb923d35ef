"""Before flying: weights, strength, drive, balance, clearance, doubtful entries; each tells what to do."""
