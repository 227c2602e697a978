check tests/inputs/site-contradictions.json
