check tests/inputs/folder
