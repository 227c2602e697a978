ask examples/minimal.json
