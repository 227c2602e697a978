plan tests/inputs/typing-mistakes.json
