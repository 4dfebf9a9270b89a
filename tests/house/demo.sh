#!/bin/sh
# Runs ./demo as a newcomer would, and looks at what it leaves.
set -eu
./demo < /dev/null
name=out/ferry-at-low-tide
head -c 5 "$name.pdf" | grep -q '%PDF-'
head -c 4 "$name.mid" | grep -q 'MThd'
