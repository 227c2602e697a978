plan examples/wrong-lens.json --site examples/site.json --full
