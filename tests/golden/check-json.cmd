check examples/minimal.json tests/inputs/typing-mistakes.json tests/inputs/unusual.json no-such-file.json --format json
