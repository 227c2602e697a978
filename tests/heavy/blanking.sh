#!/bin/sh
# Not knowing something never makes a plan more permissive: 2000 drawn cases, every leaf. Run by `make check-all`.
BUILD=${BUILD:-build}
make -s BUILD="$BUILD" "$BUILD/tests/heavy/blanking" && "$BUILD/tests/heavy/blanking" "${CASES:-2000}"
