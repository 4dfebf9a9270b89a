#!/bin/sh
# Checks that every C file is laid out as .clang-format says. Usage: format.sh ROOT CLANG-FORMAT
set -eu
cd "$1"
faults=0
for file in $(find . -name '*.[ch]' ! -path './build*' ! -path '*/node_modules/*' | LC_ALL=C sort); do
  if ! "$2" --dry-run --Werror "$file" 2> /dev/null; then
    echo "$file: run $(basename "$2") -i on it"
    faults=$((faults + 1))
  fi
done
exit $((faults > 0))
