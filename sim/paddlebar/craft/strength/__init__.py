"""Will stick and boom take it: handbook formulas, materials, which parts bear the load, by how much the load may grow."""
