plan examples/minimal.json --language xx
