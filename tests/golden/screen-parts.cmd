plan examples/silicone-oil.json --site examples/site.json --only decide,theatre,note
