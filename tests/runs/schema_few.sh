#!/bin/sh
# schema.sh with few cases and mutants.
FEW=1 exec sh tests/runs/schema.sh
