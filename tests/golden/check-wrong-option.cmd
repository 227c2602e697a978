check examples/minimal.json --strict
