plan examples/site.json
