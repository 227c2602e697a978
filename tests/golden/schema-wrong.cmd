schema cases
