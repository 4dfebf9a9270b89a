#!/bin/sh
# Checks that every C file is laid out as .clang-format says. Usage: format.sh ROOT CLANG-FORMAT
set -eu
cd "$1"
find src tests bench -name '*.[ch]' ! -path '*/node_modules/*' | LC_ALL=C sort | xargs "$2" --dry-run --Werror
