#!/bin/sh
# Checks the program against docs/contracts.md: the same commands with the same words as `gripline --help`, every
# promised key in the JSON, the promised exit statuses, nothing but the document on standard output.
# Usage: contracts.sh GRIPLINE CONTRACTS.md CHART
set -eu
gripline=$1
contracts=$2
chart=$3
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
faults=0
export XDG_DATA_HOME="$work/data" # the user's own record stays out of it

fault() {
  echo "$*"
  faults=$((faults + 1))
}

# --- the table of commands
"$gripline" --help | awk '
  /^commands$/ { inside = 1; next }
  inside && /^$/ { exit }
  inside && /^  [a-z]/ { lines++; line[lines] = $0; next }
  inside { sub(/^ +/, ""); line[lines] = line[lines] " " $0 }
  END {
    for (i = 1; i <= lines; i++) {
      sub(/^ +/, "", line[i])
      sub(/  +/, "|", line[i])
      print line[i]
    }
  }' > "$work/help"
awk -F ' *[|] *' '
  /^## / { inside = $0 == "## The command line" }
  inside && $2 ~ /^`/ { gsub(/`/, "", $2); print $2 "|" $3 }' "$contracts" > "$work/promised"
[ -s "$work/help" ] || fault "gripline --help lists no command"
diff "$work/promised" "$work/help" > "$work/diff" || fault "commands promised (<) and those of --help (>) differ:
$(cat "$work/diff")"

# --- the keys of the JSON
awk -F ' *[|] *' '
  /^## / { inside = $0 == "## JSON" }
  inside && $2 ~ /^`/ {
    gsub(/`/, "", $2)
    gsub(/\[\]|\{…\}|[`:;]/, " ", $3)
    gsub(/,/, " ", $3)
    print $2, $3
  }' "$contracts" > "$work/keys"
[ -s "$work/keys" ] || fault "$contracts promises no keys"
printf '[A]\n| C6/9@x32133 |\n' > "$work/slip.chart"
while read -r command keys; do
  goal=
  promised=0
  case $command in
  grips) operand='C7(b9)' ;;
  name) operand=x32233 ;;
  reduce) operand=$chart goal=--grips=16 ;;
  transpose) operand=$chart goal=--to=Eb ;;
  proof) operand=$work/slip.chart promised=1 ;;
  *) operand=$chart ;;
  esac
  status=0
  "$gripline" "$command" ${goal:+"$goal"} --json "$operand" > "$work/json" < /dev/null || status=$?
  if [ "$status" -ne "$promised" ]; then
    fault "gripline $command --json $operand: exit status $status, not $promised"
    continue
  fi
  head -c 200 "$work/json" | tr -d ' \n' | grep -q "^{\"schema\":\"gripline/$command/1\"" ||
    fault "gripline $command --json does not begin with its schema"
  for key in $keys; do
    grep -q "\"$key\" *:" "$work/json" || fault "gripline $command --json has no key $key"
  done
done < "$work/keys"

# --- exit statuses
status_of() {
  promised=$1
  shift
  status=0
  "$@" > "$work/out" 2> "$work/err" < /dev/null || status=$?
  [ "$status" -eq "$promised" ] || fault "exit status $status, not $promised: $*"
  if [ "$promised" -ge 2 ]; then
    [ ! -s "$work/out" ] || fault "something on standard output though it failed: $*"
    [ -s "$work/err" ] || fault "no message though it failed: $*"
  fi
}
printf '[A]\n| Hx9 |\n' > "$work/bad.chart"
status_of 0 "$gripline" --version
status_of 0 "$gripline" arrange "$chart"
status_of 2 "$gripline" no-such-command
status_of 2 "$gripline" arrange --no-such-option "$chart"
status_of 3 "$gripline" arrange "$work/bad.chart"
grep -q '^.*bad\.chart:2:3: error: .*' "$work/err" || fault "a message without file:line:column: $(cat "$work/err")"
status_of 3 "$gripline" arrange "$work/none.chart"
status_of 4 "$gripline" sheet "$chart" -o "$work/none/sheet.pdf"
status_of 4 sh -c '"$0" arrange "$1" > /dev/full' "$gripline" "$chart"

# --- the same bytes
for run in 1 2; do
  "$gripline" arrange --json "$chart" > "$work/line.$run"
  "$gripline" sheet "$chart" -o "$work/sheet.$run.pdf" 2> /dev/null > /dev/null
  "$gripline" play "$chart" -o "$work/play.$run.mid" 2> /dev/null > /dev/null
done
cmp "$work/line.1" "$work/line.2" || fault "the same chart gave another line"
cmp "$work/sheet.1.pdf" "$work/sheet.2.pdf" || fault "the same chart gave another sheet"
cmp "$work/play.1.mid" "$work/play.2.mid" || fault "the same chart gave another MIDI file"

echo "$(wc -l < "$work/help") commands checked, $faults faults"
[ "$faults" -eq 0 ]
