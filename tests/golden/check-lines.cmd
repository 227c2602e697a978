check -
