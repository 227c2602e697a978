recheck examples/past-cases.jsonl
