check tests/inputs/unusual.json
