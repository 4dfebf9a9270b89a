#!/bin/sh
# Checks that every C file is laid out as .clang-format says. Usage: format.sh ROOT CLANG-FORMAT
set -eu
cd "$1"
list=$(mktemp)
trap 'rm -f "$list"' EXIT
find . -name '*.[ch]' ! -path './build*' ! -path '*/node_modules/*' > "$list"
if xargs "$2" --dry-run --Werror < "$list" 2> "$list.faults"; then
  echo "$(wc -l < "$list") files checked"
  rm "$list.faults"
  exit 0
fi
sed -n 's/^\.\/\([^:]*\):[0-9].*/\1/p' "$list.faults" | LC_ALL=C sort -u | sed 's/$/: run clang-format -i on it/'
rm "$list.faults"
exit 1
