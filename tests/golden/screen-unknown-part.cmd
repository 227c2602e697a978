plan examples/minimal.json --only powers
