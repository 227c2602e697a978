template power-error --short
