plan examples/two-lenses.json --site examples/site.json --full
