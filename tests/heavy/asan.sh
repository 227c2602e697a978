#!/bin/sh
# The whole suite under AddressSanitizer and UndefinedBehaviorSanitizer.
exec make BUILD="${BUILD:-build}/asan" OPT="-O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all" test
