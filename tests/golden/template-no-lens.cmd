template no-lens --short
