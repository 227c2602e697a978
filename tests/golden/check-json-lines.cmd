check - --format json
