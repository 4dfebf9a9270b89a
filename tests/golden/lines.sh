#!/bin/sh
# The lines of the examples as text, compared with the ones kept here, so that a change of weights is seen.
# Usage: lines.sh compare|rewrite GRIPLINE. Run from the source root; rewritten by hand alone.
set -eu
what=$1
gripline=$2
kept=tests/golden/lines
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

compared=0
for chart in examples/*.chart; do
  name=$(basename "$chart" .chart)
  "$gripline" arrange "$chart" > "$work/$name.txt"
  if [ "$what" = rewrite ]; then
    cp "$work/$name.txt" "$kept/$name.txt"
  else
    diff -u "$kept/$name.txt" "$work/$name.txt"
  fi
  compared=$((compared + 1))
done
[ "$compared" -ge 3 ]
echo "$compared lines: $what"
