#!/bin/sh
# sh circuits/run.sh [CIRCUIT.lua]: builds the program and predicts a circuit. Without an argument:
# a motorcycle while cranking, good and with one corroded ground, side by side.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
. "$root/tests/setup.sh"

# shellcheck disable=SC2119 # nothing more than to build
need
build "$root/build" strapline_program -DCMAKE_C_COMPILER=gcc -DSL_SANITIZE= \
    -DSL_TESTS=OFF -DSL_BENCH=OFF
if [ $# -gt 0 ]; then
    exec "$root/build/strapline" predict "$@"
fi
exec "$root/build/strapline" predict "$root/circuits/wicken_410.lua" --condition crank \
    --fault "corroded engine ground" --beside-good
