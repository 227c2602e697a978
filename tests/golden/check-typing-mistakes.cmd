check tests/inputs/typing-mistakes.json
