check examples
