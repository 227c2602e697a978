check no-such-file.json examples/minimal.json
