#!/bin/sh
# Shows that each check of this folder can fail, and passes what is right: small trees are written that break one
# rule each, and the check must name the fault.
# Usage: self_test.sh FOLDER-OF-CHECKS CC AR NM
set -eu
checks=$(cd "$1" && pwd)
cc=$2
ar=$3
nm=$4
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
shown=0

# A tree of two rooms that keeps every rule.
fresh_tree() {
  rm -rf "$work/tree"
  mkdir -p "$work/tree/src/low" "$work/tree/src/side" "$work/tree/src/high" "$work/tree/docs"
  cd "$work/tree"
  printf '%s\n' '0 low - -' '1 side low -' '1 high low jansson' > LAYERS
  echo '#include <stddef.h>' > src/low/low.h
  echo 'int gln_low(void); int gln_low(void) { return 1; }' > src/low/low.c
  printf '%s\n' '#include "low.h"' > src/side/side.h
  echo 'int gln_low(void); int gln_side(void); int gln_side(void) { return gln_low(); }' > src/side/side.c
  printf '%s\n' '#include "low.h"' '#include <string.h>' > src/high/high.h
  echo 'int gln_low(void); int gln_high(void); int gln_high(void) { return gln_low(); }' > src/high/high.c
  echo 'int gln_hidden(void);' > src/high/high_internal.h
}

build_libraries() {
  for room in low side high; do
    rm -f "libgln_$room.a"
    for source in src/$room/*.c; do
      "$cc" -fno-builtin -c "$source" -o "${source%.c}.o"
      "$ar" qc "libgln_$room.a" "${source%.c}.o" 2> /dev/null
    done
  done
}

passes() {
  if ! output=$("$@" 2>&1); then
    echo "self_test: should pass: $*"
    echo "$output"
    exit 1
  fi
  shown=$((shown + 1))
}

# fails WORDS COMMAND...: the command must fail, and say these words.
fails() {
  words=$1
  shift
  if output=$("$@" 2>&1); then
    echo "self_test: should fail with \"$words\": $*"
    echo "$output"
    exit 1
  fi
  case $output in
  *"$words"*) shown=$((shown + 1)) ;;
  *)
    echo "self_test: failed, but not with \"$words\": $*"
    echo "$output"
    exit 1
    ;;
  esac
}

layers() {
  sh "$checks/layers.sh" .
}

symbols() {
  build_libraries
  sh "$checks/symbols.sh" LAYERS . "$nm"
}

# --- layers.sh
fresh_tree
passes layers
echo '#include "high.h"' >> src/low/low.c
fails 'src/low/low.c:2: low may not use high' layers
fresh_tree
echo '#  include  "side.h"' >> src/high/high.c
fails 'high may not use side' layers
fresh_tree
printf '%s\n' '0 low high -' '1 side low -' '1 high low -' > LAYERS
fails 'low may use high, which stands nowhere below it' layers
fresh_tree
printf '%s\n' '0 low - -' '1 side low -' '1 high low,side jansson' > LAYERS
fails 'high on floor 1 may not use side on floor 1' layers
fresh_tree
echo '#include "../high/high_internal.h"' >> src/side/side.c
fails 'no room has a header ../high/high_internal.h' layers
fresh_tree
printf '%s\n' '0 low - -' '1 high low jansson' '2 side low,high -' > LAYERS
echo '#include "high_internal.h"' >> src/side/side.c
fails 'high_internal.h belongs to the inside of high' layers
fresh_tree
echo '#include <jansson.h>' > src/high/json_jansson.c
passes layers
echo '#include <jansson.h>' >> src/high/high.c
fails 'belongs in a file named *_jansson.c' layers
fresh_tree
echo '#include <jansson.h>' > src/side/json_jansson.c
fails 'LAYERS does not give side the library jansson' layers
fresh_tree
echo '#include <curses.h>' >> src/high/high.c
fails '<curses.h> is in no table' layers
fresh_tree
echo '#include <time.h>' >> src/high/high.c
fails 'floor 1 is pure' layers
fresh_tree
mkdir src/shed
echo '#include "low.h"' > src/shed/shed.c
fails 'src/shed has no line' layers
fresh_tree
cp src/low/low.h src/high/low.h
fails 'has a header of the same name' layers

# --- symbols.sh
fresh_tree
passes symbols
echo 'int gln_high(void); int gln_up(void); int gln_up(void) { return gln_high(); }' >> src/low/low.c
fails 'low: calls gln_high of high, which it may not use' symbols
fresh_tree
echo 'int gln_side(void); int gln_to_side(void); int gln_to_side(void) { return gln_side(); }' >> src/high/high.c
fails 'high: calls gln_side of side, which it may not use' symbols
fresh_tree
echo 'int gln_gone(void); int gln_call(void); int gln_call(void) { return gln_gone(); }' >> src/high/high.c
fails 'high: calls gln_gone, which no room defines' symbols
fresh_tree
echo 'int helper(void); int helper(void) { return 1; }' >> src/high/high.c
fails 'high: defines helper for all to see' symbols
fresh_tree
echo 'int gln_low(void); int gln_low(void) { return 2; }' > src/high/second.c
fails 'defines gln_low, as' symbols
fresh_tree
printf '%s\n' 'int atoi(const char *); int gln_number(void);' 'int gln_number(void) { return atoi("1"); }' >> src/high/high.c
fails 'high: calls the banned atoi' symbols
fresh_tree
printf '%s\n' 'long time(long *); long gln_now(void);' 'long gln_now(void) { return time(0); }' >> src/high/high.c
fails 'high: calls time on a pure floor' symbols

# --- text.sh
text() {
  sh "$checks/text.sh" .
}
fresh_tree
echo '# A page' > README.md
passes text
awk 'BEGIN { for (i = 0; i < 801; i++) print "/* line */" }' > src/high/long.c
fails 'src/high/long.c: 801 lines' text
fresh_tree
echo 'int f(char *a) { strcpy(a, "x"); return 0; }' > src/high/copy.c
fails 'src/high/copy.c:1: strcpy is banned' text
fresh_tree
echo 'int f(void) { printf("%5.2f", 1.0); return 0; }' > src/high/float.c
fails 'src/high/float.c:1: a number in the locale' text
fresh_tree
printf 'see %swork/shared\n' / > docs/page.md
fails 'docs/page.md:1: a path of one machine' text
fresh_tree
printf '{"%s": "x"}\n' resolved > package-lock.json
fails 'package-lock.json:1: a registry host' text
fresh_tree
echo '[a map](docs/map.md)' > README.md
fails 'README.md:1: the link docs/map.md leads nowhere' text
fresh_tree
printf '%s\n' '# A page' '[below](#a-part)' '## A part' > README.md
passes text
echo '[below](#no-part)' >> README.md
fails 'README.md:4: the link #no-part leads nowhere' text
fresh_tree
printf '# A page\n' | tee docs/page.md > docs/README.md
fails 'docs/page.md: the map docs/README.md does not lead to it' text
echo '[page](page.md)' >> docs/README.md
passes text
fresh_tree
echo '/* docs/moves.md says why. */' > src/high/note.c
fails 'src/high/note.c:1: there is no page docs/moves.md' text
fresh_tree
printf 'int x;  \n' > src/high/blank.c
fails 'src/high/blank.c:1: blanks at the end of the line' text

# --- contracts.sh, against a program that keeps its promises and some that do not
program() {
  cat > gripline << PROGRAM
#!/bin/sh
case "\$*" in
--help) printf "commands\\n  arrange FILE    choose\\n                  the line\\n  grips CHORD     grips\\n\\n" ;;
--version) echo 1 ;;
"arrange --json tide.chart") echo '{"schema": "gripline/arrange/1", "slots": [], "$1": 1}' ;;
grips*) echo '{"schema": "gripline/grips/1", "grips": []}' ;;
"arrange tide.chart") echo line 2> /dev/null || { echo no >&2; exit 4; } ;;
*bad.chart) echo "bad.chart:2:3: error: no" >&2; exit 3 ;;
*none.chart) echo "none.chart: error: no" >&2; exit $2 ;;
*none/*) echo no >&2; exit 4 ;;
"sheet "* | "play "*) echo "$3" > "\$4" ;;
*) echo no >&2; exit 2 ;;
esac
PROGRAM
  chmod +x gripline
}
contracts() {
  printf '%s\n' '## The command line' '| `arrange FILE` | choose the line |' "| \`grips CHORD\` | $1 |" '## JSON' \
    '| `arrange` | `slots[]`, `total` |' '| `grips` | `grips[]` |' > contracts.md
  sh "$checks/contracts.sh" ./gripline contracts.md tide.chart
}
fresh_tree
program total 3 same
passes contracts grips
fails 'commands promised' contracts 'all grips'
program sum 3 same
fails 'arrange --json has no key total' contracts grips
program total 1 same
fails 'exit status 1, not 3' contracts grips
program total 3 '$$'
fails 'the same chart gave another sheet' contracts grips

# --- readme.sh
fresh_tree
printf '%s\n' '```' '$ echo a; echo b; echo c' a '…' c '```' > README.md
passes sh "$checks/readme.sh" README.md gripline
printf '%s\n' '```' '$ echo a; echo b' b a '```' >> README.md
fails 'not in the output: a' sh "$checks/readme.sh" README.md gripline

echo "self_test: $shown shown"
