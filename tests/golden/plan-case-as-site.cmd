plan examples/minimal.json --site examples/minimal.json
