plan examples/no-lens.json --site examples/site.json --full
