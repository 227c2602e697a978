plan examples/silicone-oil.json --format html
