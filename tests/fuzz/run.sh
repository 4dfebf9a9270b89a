#!/bin/sh
# Runs a libFuzzer program for GRIPLINE_FUZZ_SECONDS (2) from a copy of its corpus, so that the tree stays as it is.
# What it finds stays in FOLDER: inputs that reach new code in FOLDER/corpus, those that fail beside it.
# Usage: run.sh PROGRAM CORPUS FOLDER
set -eu
program=$1
corpus=$2
folder=$3
if [ -z "$(ls -A "$corpus" 2> /dev/null)" ]; then
  echo "run.sh: no corpus for $(basename "$program")"
  exit 1
fi
mkdir -p "$folder/corpus"
exec "$program" -max_total_time="${GRIPLINE_FUZZ_SECONDS:-2}" -timeout=10 -rss_limit_mb=2048 -print_final_stats=1 \
  -verbosity=1 -artifact_prefix="$folder/" "$folder/corpus" "$corpus"
