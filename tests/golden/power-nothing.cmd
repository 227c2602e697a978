power
