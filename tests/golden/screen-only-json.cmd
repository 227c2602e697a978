plan examples/minimal.json --only note --format json
