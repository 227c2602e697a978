sources formulas
