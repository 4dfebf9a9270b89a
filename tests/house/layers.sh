#!/bin/sh
# Checks every #include of src/ against LAYERS:
#   - a room includes its own headers and those of rooms that LAYERS lets it use, which stand on lower floors;
#   - a *_internal.h stays in its room;
#   - a foreign library's header stands only in a file that carries the library's name, in a room that declares
#     the library; the rooms of the pure floors include none of the headers that reach files, clock or threads.
# Usage: layers.sh ROOT. Prints each fault as file:line: what is wrong; exits 1 when there is one.
set -eu
cd "$1"

find src -name '*.[chS]' | LC_ALL=C sort | xargs awk '
function fault(place, text) {
  print place ": " text
  faults++
}

# Header prefix, what the file name must contain, what LAYERS must declare.
function foreign_library(prefix, in_name, declared) {
  foreign_count++
  foreign_prefix[foreign_count] = prefix
  foreign_name[foreign_count] = in_name
  foreign_declared[foreign_count] = declared
}

BEGIN {
  foreign_library("cairo", "cairo", "cairo")
  foreign_library("pango/", "cairo|pango", "pango")
  foreign_library("fontconfig/", "cairo|pango|fontconfig", "fontconfig")
  foreign_library("jansson.h", "jansson", "jansson")
  foreign_library("sndfile.h", "sndfile", "sndfile")
  foreign_library("fluidsynth", "fluid", "fluidsynth")
  foreign_library("expat.h", "expat", "expat")
  foreign_library("minizip/", "minizip", "minizip")
  foreign_library("libxml/", "xml2", "libxml-2.0")
  foreign_library("sqlite3.h", "sqlite", "sqlite3")
  foreign_library("microhttpd.h", "mhd", "libmicrohttpd")
  foreign_library("libical/", "ical", "libical")
  foreign_library("utf8proc.h", "utf8proc", "libutf8proc")

  # ISO C17; those that reach outside the process or hide control flow are apart.
  pure = "assert errno float inttypes limits math stdalign stdarg stdbool stddef stdint stdio stdlib string"
  reaching = "dirent dlfcn fcntl getopt locale poll pthread signal spawn sys/ioctl sys/mman sys/random sys/select" \
    " sys/socket sys/stat sys/time sys/types sys/wait termios time unistd"
  split(pure, names, " ")
  for (i in names)
    standard["<" names[i] ".h>"] = "pure"
  split(reaching, names, " ")
  for (i in names)
    standard["<" names[i] ".h>"] = "reaching"
  last_pure_floor = 3

  while ((getline line < "LAYERS") > 0) {
    if (line !~ /^[0-9]/)
      continue
    split(line, column, /[ \t]+/)
    room = column[2]
    floor[room] = column[1]
    libraries[room] = column[4]
    count = split(column[3], used, ",")
    for (i = 1; i <= count; i++) {
      if (used[i] == "-")
        continue
      if (!(used[i] in floor))
        fault("LAYERS", room " may use " used[i] ", which stands nowhere below it")
      else if (floor[used[i]] >= floor[room])
        fault("LAYERS", room " on floor " floor[room] " may not use " used[i] " on floor " floor[used[i]])
      may_use[room, used[i]] = 1
    }
  }

  for (i = 1; i < ARGC; i++) {
    parts = split(ARGV[i], part, "/")
    room = part[2]
    if (!(room in floor) && !((room) in undeclared)) {
      undeclared[room] = 1
      fault("LAYERS", "src/" room " has no line")
    }
    if (ARGV[i] ~ /\.h$/) {
      if (part[parts] in owner)
        fault(ARGV[i], "src/" owner[part[parts]] " has a header of the same name")
      owner[part[parts]] = room
    }
  }
}

FNR == 1 {
  split(FILENAME, part, "/")
  room = part[2]
  base_name = FILENAME
  sub(/.*\//, "", base_name)
}

function check_own(name) {
  if (!(name in owner))
    fault(FILENAME ":" FNR, "no room has a header " name)
  else if (owner[name] == room)
    return
  else if (name ~ /_internal\.h$/)
    fault(FILENAME ":" FNR, name " belongs to the inside of " owner[name])
  else if (!((room, owner[name]) in may_use))
    fault(FILENAME ":" FNR, room " may not use " owner[name] " (LAYERS)")
}

function check_foreign(name,    i) {
  if (name in standard) {
    if (standard[name] == "reaching" && floor[room] <= last_pure_floor)
      fault(FILENAME ":" FNR, name " reaches files, clock or threads; floor " floor[room] " is pure")
    return
  }
  for (i = 1; i <= foreign_count; i++) {
    if (index(name, "<" foreign_prefix[i]) != 1)
      continue
    if (base_name !~ ("_(" foreign_name[i] ")"))
      fault(FILENAME ":" FNR, name " belongs in a file named *_" foreign_name[i] ".c")
    if (index(libraries[room], foreign_declared[i]) == 0)
      fault(FILENAME ":" FNR, "LAYERS does not give " room " the library " foreign_declared[i])
    return
  }
  fault(FILENAME ":" FNR, name " is in no table of tests/house/layers.sh")
}

/^[ \t]*#[ \t]*include/ {
  checked++
  if (match($0, /"[^"]*"/))
    check_own(substr($0, RSTART + 1, RLENGTH - 2))
  else if (match($0, /<[^>]*>/))
    check_foreign(substr($0, RSTART, RLENGTH))
  else
    fault(FILENAME ":" FNR, "an #include without a name")
}

END {
  print checked + 0 " includes checked, " faults + 0 " faults"
  exit faults > 0 || checked == 0
}'
