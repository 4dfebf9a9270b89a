# What the tests of the program from outside share, read in by them: the first argument is the program.
set -u
gripline=$1
gripline_path=$(realpath "$gripline")
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
trap 'exit 1' INT TERM
checked=0
failed=0
export XDG_DATA_HOME="$folder/data" # the user's own record stays out of it

fail() {
  failed=$((failed + 1))
  echo "FAILED: $*"
  sed 's/^/    /' "$folder/err" | head -n 8
}

# expect STATUS PATTERN COMMAND...: the exit status, and a basic regular expression that a line of standard error has;
# an empty PATTERN wants no message at all.
expect() {
  status=$1
  pattern=$2
  shift 2
  checked=$((checked + 1))
  "$@" > "$folder/out" 2> "$folder/err" < /dev/null
  got=$?
  [ "$got" -eq "$status" ] || fail "$*: status $got, not $status"
  if [ -z "$pattern" ]; then
    [ ! -s "$folder/err" ] || fail "$*: unexpected message"
  else
    grep -q -e "$pattern" "$folder/err" || fail "$*: no message like: $pattern"
  fi
  # Nothing for a program to stumble over: no results beside a failure, one document beside success.
  if [ "$status" -ge 2 ] && [ -s "$folder/out" ]; then
    fail "$*: results in spite of the failure"
  fi
}

# says PATTERN: standard output of the last call has such a line.
says() {
  checked=$((checked + 1))
  grep -q -e "$1" "$folder/out" || fail "standard output has no line like: $1"
}

# chart TEXT: a chart file of this text (printf escapes).
chart() {
  printf "$1" > "$folder/song.chart"
}

song=$folder/song.chart

# The last line of a test.
finish() {
  echo "$checked checked, $failed failed"
  exit $((failed > 0))
}
