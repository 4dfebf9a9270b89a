#!/bin/sh
# Checks the text of the tree:
#   - no source, script or page has more than 800 lines;
#   - no banned function is called in src/, and no number is printed in the locale's form;
#   - no file holds a path of one machine or the host of a package registry;
#   - every link between pages leads to a file, and to a heading of it; docs/README.md leads to every page of docs/,
#     and a page that is named is there;
#   - no blanks at the end of a line of ours.
# Usage: text.sh ROOT. Prints each fault as file:line: what is wrong; exits 1 when there is one.
set -eu
cd "$1"

list=$(mktemp)
trap 'rm -f "$list"' EXIT
if [ -e .git ]; then
  git ls-files
else
  find . -type f | sed 's|^\./||'
fi | LC_ALL=C sort | while read -r file; do
  # Deleted but not yet committed, and bytes that are no text, have no lines to check.
  if [ -f "$file" ]; then
    case $file in
    *.png | *.otf | *.ttf | *.pdf | *.mid | *.wav | *.sf2 | *.gz | *.mxl | *.o | *.a | tests/fuzz/corpus/*) ;;
    *) echo "$file" ;;
    esac
  fi
done > "$list"

xargs awk '
function fault(text) {
  print FILENAME ":" FNR ": " text
  faults++
}

BEGIN {
  banned = "atoi|atol|atoll|atof|strtod|strtof|strtold|strtok|strtok_r|strcpy|strcat|stpcpy|sprintf|vsprintf|gets" \
    "|scanf|fscanf|sscanf|alloca|setlocale|isalpha|isdigit|isspace|isupper|islower|isalnum|ispunct|toupper|tolower"
}

# The slug of a heading as Markdown hosts make it: lower case, blanks to hyphens, signs gone.
function slug(heading,    text) {
  text = tolower(heading)
  gsub(/[^a-z0-9 _-]/, "", text)
  gsub(/ /, "-", text)
  return text
}

function check_size(file, lines) {
  if (lines > 800 && file ~ /\.(c|h|S|sh|md|mjs|js|cmake)$/) {
    print file ": " lines " lines; 800 are the most"
    faults++
  }
}

FNR == 1 {
  if (files++ > 0)
    check_size(previous, previous_lines)
  exists[FILENAME] = 1
  fenced = 0
  data = FILENAME ~ /^(data|assets|examples)\// || FILENAME ~ /^tests\/(golden|outside\/data)\// || FILENAME ~ /^LICENSE/
}

{
  previous = FILENAME
  previous_lines = FNR
}

FILENAME ~ /^src\/.*\.[ch]$/ {
  rest = $0
  while (match(rest, "(^|[^A-Za-z0-9_])(" banned ")[ ]*[(]")) {
    name = substr(rest, RSTART, RLENGTH)
    gsub(/[^A-Za-z0-9_]/, "", name)
    fault(name " is banned; base has what to call")
    rest = substr(rest, RSTART + RLENGTH)
  }
  # base/buffer.c alone may: it prints whole numbers so, which have no decimal point.
  if (FILENAME != "src/base/buffer.c" && $0 ~ /"[^"]*%[-+#0-9.*]*l?[aefgAEFG][^"]*"/)
    fault("a number in the locale'"'"'s form; use gln_buffer_add_number")
}

/(^|[^A-Za-z0-9_.~])\/([w]ork|[r]oot|[h]ome|[t]mp|[U]sers)\/[A-Za-z0-9_.]/ && !/XXXXXX/ { # a template of mkstemp is no such path
  fault("a path of one machine")
}

/"[r]esolved":|[r]egistry\.npmjs|[d]eb\.debian\.org|[p]roxy\.golang|[p]ypi\.org/ {
  fault("a registry host")
}

/[ \t]+$/ && !data && FILENAME !~ /\.tsv$/ {
  fault("blanks at the end of the line")
}

/docs\/[a-z-]+\.md/ && FILENAME !~ /^tests\/house\// {
  rest = $0
  while (match(rest, /docs\/[a-z-]+\.md/)) {
    page = substr(rest, RSTART, RLENGTH)
    rest = substr(rest, RSTART + RLENGTH)
    named[page] = FILENAME ":" FNR
  }
}

FILENAME ~ /\.md$/ && /^```/ {
  fenced = !fenced
}

FILENAME ~ /\.md$/ && !fenced {
  if ($0 ~ /^#+ /) {
    heading = $0
    sub(/^#+ +/, "", heading)
    headings[FILENAME "#" slug(heading)] = 1
  }
  rest = $0
  gsub(/`[^`]*`/, "", rest)
  while (match(rest, /\]\([^)]+\)/)) {
    target = substr(rest, RSTART + 2, RLENGTH - 3)
    rest = substr(rest, RSTART + RLENGTH)
    if (target ~ /^[a-z]+:/)
      continue
    links++
    link_from[links] = FILENAME
    link_line[links] = FNR
    link_to[links] = target
  }
}

# A path with its "." and ".." steps taken.
function normal(path,    count, part, i, kept, result) {
  count = split(path, part, "/")
  kept = 0
  for (i = 1; i <= count; i++) {
    if (part[i] == "" || part[i] == ".")
      continue
    if (part[i] == ".." && kept > 0)
      kept--
    else
      stack[++kept] = part[i]
  }
  result = ""
  for (i = 1; i <= kept; i++)
    result = result (i > 1 ? "/" : "") stack[i]
  return result
}

END {
  check_size(previous, previous_lines)
  for (file in exists) {
    folder = file
    while (sub(/\/[^\/]*$/, "", folder))
      exists[folder] = 1
  }
  for (i = 1; i <= links; i++) {
    folder = link_from[i]
    if (!sub(/\/[^\/]*$/, "", folder))
      folder = "."
    path = link_to[i]
    anchor = ""
    if (match(path, /#/)) {
      anchor = substr(path, RSTART + 1)
      path = substr(path, 1, RSTART - 1)
    }
    file = path == "" ? link_from[i] : normal(folder "/" path)
    if (link_from[i] == "docs/README.md")
      mapped[file] = 1
    if (!(file in exists) && system("test -e \"" file "\"") != 0 || anchor != "" && !((file "#" anchor) in headings)) {
      print link_from[i] ":" link_line[i] ": the link " link_to[i] " leads nowhere"
      faults++
    }
  }
  for (page in named)
    if (!(page in exists)) {
      print named[page] ": there is no page " page
      faults++
    }
  for (file in exists)
    if (file ~ /^docs\/[^\/]*\.md$/ && file != "docs/README.md" && ("docs/README.md" in exists) && !(file in mapped)) {
      print file ": the map docs/README.md does not lead to it"
      faults++
    }
  print files + 0 " files and " links + 0 " links checked, " faults + 0 " faults"
  exit faults > 0 || files == 0
}' < "$list"
