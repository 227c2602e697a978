template displaced --short
