#!/bin/sh
# Checks that what README.md shows is what the program says: of each block that begins with "$ COMMAND", every line must
# come in the command's output, in this order; a line of "…" stands for what was left out.
# Usage: readme.sh README GRIPLINE
set -eu
readme=$1
gripline=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

awk -v folder="$work" '
  /^```/ { inside = 0; fence = !fence; first = fence; next }
  first && /^\$ / { inside = 1; blocks++; print substr($0, 3) > (folder "/" blocks ".command") }
  inside && !first { print > (folder "/" blocks ".shown") }
  { first = 0 }' "$readme"

faults=0
shown=0
for command in "$work"/*.command; do
  [ -f "$command" ] || break
  shown=$((shown + 1))
  # Some of them show what the program says of a fault, so their exit status is not looked at.
  sed "s|build/gripline|'$gripline'|g" "$command" > "$work/run"
  sh "$work/run" > "$work/output" 2>&1 < /dev/null || true
  awk -v place="$readme: $(cat "$command")" '
    FNR == NR { if ($0 != "…") wanted[++count] = $0; next }
    found < count && $0 == wanted[found + 1] { found++ }
    END {
      if (found < count || count == 0) {
        print place ": not in the output: " wanted[found + 1]
        exit 1
      }
    }' "${command%.command}.shown" "$work/output" || faults=$((faults + 1))
done
echo "$shown commands of $readme checked, $faults faults"
[ "$faults" -eq 0 ] && [ "$shown" -gt 0 ]
