#!/bin/sh
# Checks every call between rooms by the symbols of the built libraries against LAYERS:
#   - what a room leaves undefined is defined in it or in a room that LAYERS lets it use;
#   - what a room defines for others begins with gln_, and no two rooms define the same;
#   - no room calls a banned function, and the rooms of the pure floors reach no file, clock, chance or thread.
# Usage: symbols.sh LAYERS FOLDER-OF-LIBRARIES [NM]. Prints each fault; exits 1 when there is one.
set -eu
layers=$1
folder=$2
nm=${3:-nm}

list=$(mktemp)
trap 'rm -f "$list"' EXIT
for library in "$folder"/libgln_*.a; do
  room=${library##*/libgln_}
  # POSIX form: name, type, value, size. An upper-case type is seen from outside.
  "$nm" -P -g "$library" | awk -v room="${room%.a}" 'NF >= 2 && $2 ~ /^[A-Z]$/ { print room, $1, $2 }' >> "$list"
done

awk '
function fault(text) {
  if (text in said)
    return
  said[text] = 1
  print text
  faults++
}

BEGIN {
  # Unsafe, or swayed by the locale; base has what to call instead.
  count = split("atoi atol atoll atof strtod strtof strtold strtok strtok_r strcpy strcat stpcpy sprintf vsprintf" \
    " gets scanf fscanf sscanf alloca setlocale isalpha isdigit isspace isupper islower isalnum ispunct toupper tolower" \
    " __ctype_b_loc __ctype_tolower_loc __ctype_toupper_loc __isoc99_sscanf __isoc99_fscanf __isoc99_scanf" \
    " rand srand random drand48 asctime ctime localtime gmtime system popen tmpnam mktemp", names, " ")
  for (i = 1; i <= count; i++)
    banned[names[i]] = 1
  count = split("fopen fdopen freopen fread fwrite fputs fputc putc puts putchar printf vprintf fprintf vfprintf fflush" \
    " open openat close read write stat fstat opendir unlink rename mkdir remove getenv time clock clock_gettime" \
    " gettimeofday getrandom getline getc fgetc fgets stdin stdout stderr pthread_create setjmp _setjmp longjmp" \
    " qsort_r fork execvp exit abort signal sigaction socket nanosleep sleep", names, " ")
  for (i = 1; i <= count; i++)
    reaching[names[i]] = 1
  last_pure_floor = 3
}

FNR == NR {
  if ($0 ~ /^[0-9]/) {
    floor[$2] = $1
    count = split($3, used, ",")
    for (i = 1; i <= count; i++)
      may_use[$2, used[i]] = 1
  }
  next
}

$3 != "U" {
  if ($3 == "W" || $3 == "V" || $2 ~ /^_/)
    next
  if ($2 !~ /^(gln|GLN)_/)
    fault($1 ": defines " $2 " for all to see; name it gln_ or make it static")
  if (($2 in owner) && owner[$2] != $1)
    fault($1 ": defines " $2 ", as " owner[$2] " does")
  owner[$2] = $1
  next
}

{
  calls++
  caller[calls] = $1
  called[calls] = $2
}

END {
  for (i = 1; i <= calls; i++) {
    room = caller[i]
    name = called[i]
    if (!(room in floor))
      fault(room ": has no line in LAYERS")
    if (name in banned)
      fault(room ": calls the banned " name)
    if ((name in reaching) && floor[room] <= last_pure_floor)
      fault(room ": calls " name " on a pure floor")
    if (name !~ /^(gln|GLN)_/)
      continue
    if (!(name in owner))
      fault(room ": calls " name ", which no room defines")
    else if (owner[name] != room && !((room, owner[name]) in may_use))
      fault(room ": calls " name " of " owner[name] ", which it may not use")
  }
  print calls + 0 " calls checked, " faults + 0 " faults"
  exit faults > 0 || calls == 0
}' "$layers" "$list"
