plan examples/child.json --site examples/site.json
