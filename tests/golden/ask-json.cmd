ask examples/wrong-lens.json --format json
