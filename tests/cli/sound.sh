#!/bin/sh
# What the program makes of sound: without a soundfont, on a device or without one, and in a pack.
#   sound.sh GRIPLINE WITHOUT_SOUNDFONT, a library that hides the machine's soundfonts
. "$(dirname "$0")/expect.sh"
hidden=$2

# ---- without a soundfont --------------------------------------------------------------------------------------------
# A sanitizer wants to be first among the libraries; here something goes before it.
without() {
  LD_PRELOAD="$hidden" ASAN_OPTIONS="${ASAN_OPTIONS:+$ASAN_OPTIONS:}verify_asan_link_order=0" "$@"
}
chart '[A]\n| C | Am |\n'
expect 4 'no soundfont is installed.*the package timgm6mb-soundfont' without "$gripline" play "$song" -o "$folder/mute.wav"
grep -q 'note: .*mute.mid is written in its place' "$folder/err" || fail 'no word of the MIDI file'
"$gripline" play "$song" -o "$folder/direct.mid"
checked=$((checked + 1))
cmp -s "$folder/mute.mid" "$folder/direct.mid" || fail 'the MIDI file in the place of sound is another'
[ ! -e "$folder/mute.wav" ] || fail 'a sound file without a soundfont'
expect 4 'timgm6mb-soundfont' without "$gripline" play "$song" --live
expect 4 'timgm6mb-soundfont' without "$gripline" pack "$song" -o "$folder/mute"
for ending in pdf txt mid; do
  [ -s "$folder/mute/song.$ending" ] || fail "pack without a soundfont: no song.$ending"
done
[ ! -e "$folder/mute/song.wav" ] || fail 'pack: a sound file without a soundfont'

# ---- feels of one's own ---------------------------------------------------------------------------------------------
printf 'feel: mine\nmeter: 4/4\nsteps: 4\nthumb: | b - f - |\n' > "$folder/mine.feel"
printf 'feel: mine\nmeter: 4/4\nsteps: 4\nthumb: | b - q - |\n' > "$folder/wrong.feel"
expect 0 '' "$gripline" play "$song" --feel "$folder/mine.feel" --even -o "$folder/mine.mid"
"$gripline" play "$song" --feel straight --only thumb --even -o "$folder/thumb.mid"
checked=$((checked + 1))
cmp -s "$folder/mine.mid" "$folder/thumb.mid" || fail 'a feel of its own plays other notes than it says'
chart 'feel: mine.feel\n[A]\n| C | Am |\n'
expect 0 '' "$gripline" play "$song" --even -o "$folder/beside.mid"
cmp -s "$folder/mine.mid" "$folder/beside.mid" || fail 'the feel beside the chart plays other notes'
expect 0 '' "$gripline" convert "$song" "$folder/song.musicxml"
expect 3 'wrong.feel:4:14: error: "q" is no stroke' "$gripline" play "$song" --feel "$folder/wrong.feel" -o "$folder/x.mid"
expect 3 'none.feel: error: ' "$gripline" play "$song" --feel "$folder/none.feel" -o "$folder/x.mid"
chart 'feel: ../mine.feel\n[A]\n| C | Am |\n'
expect 3 'beside the chart' "$gripline" play "$song" -o "$folder/x.mid"
chart 'feel: bosa\n[A]\n| C | Am |\n'
expect 0 'song.chart:1:7: warning: no feel is called "bosa"' "$gripline" play "$song" -o "$folder/x.mid"
expect 0 '^gripline: warning: no feel is called "samba d' "$gripline" play "$song" --feel 'samba du' -o "$folder/x.mid"
chart '[A]\n| C | Am |\n'

if [ ! -f /usr/share/sounds/sf2/TimGM6mb.sf2 ]; then
  echo "the rest is skipped: no soundfont is installed; tools/install-deps installs one"
  finish
fi

# ---- live -----------------------------------------------------------------------------------------------------------
expect 4 'no audio device that gripline could play on; write a file with -o' "$gripline" play "$song" --live --device none-such
if [ ! -e /dev/snd ]; then
  expect 4 'no audio device' "$gripline" play "$song" --live --device alsa
fi
# A device that every FluidSynth has: what would be heard goes to fluidsynth.wav, in the time it takes to play.
checked=$((checked + 1))
chart 'tempo: 240\n[A]\n| C | G |\n'
(cd "$folder" && "$gripline_path" play song.chart --live --device file) 2> "$folder/err" || fail 'live on a device'
loudest=$(tail -c +45 "$folder/fluidsynth.wav" | od -An -v -t d2 -w2 | sort -n | tail -n 1)
[ "${loudest:-0}" -gt 2000 ] || fail "live on a device: nothing is heard, $loudest at most"

# ---- pack -----------------------------------------------------------------------------------------------------------
printf '[A]\n| C | Am | F | G7 |\n' > "$folder/good.chart"
printf '[A]\n| C | Xx9 |\n' > "$folder/bad.chart"
expect 2 'pack needs -o FOLDER' "$gripline" pack "$folder/good.chart"
expect 2 'pack needs a FILE' "$gripline" pack -o "$folder/hand-outs"
expect 2 'would write over each other' "$gripline" pack "$folder/good.chart" "$folder/./good.chart" -o "$folder/hand-outs"
expect 2 'is a file, not a folder' "$gripline" pack "$folder/good.chart" -o "$folder/bad.chart"
expect 0 '' "$gripline" pack "$folder/good.chart" examples/late-tram-blues.chart -o "$folder/hand-outs"
says '^2 songs in '
for name in good late-tram-blues; do
  for ending in pdf txt mid wav; do
    [ -s "$folder/hand-outs/$name.$ending" ] || fail "pack: no $name.$ending"
  done
done
"$gripline" play "$folder/good.chart" -o "$folder/good.wav"
cmp -s "$folder/good.wav" "$folder/hand-outs/good.wav" || fail "pack: other sound than play"
rm -rf "$folder/hand-outs"
expect 3 'bad.chart is not packed, or not whole' "$gripline" pack "$folder/bad.chart" "$folder/good.chart" -o "$folder/hand-outs"
[ -s "$folder/hand-outs/good.wav" ] || fail "pack: a bad song stopped the good one"
[ "$(find "$folder/hand-outs" -name 'bad*' | wc -l)" -eq 0 ] || fail "pack: something of the bad song"
# Plan sheets: for whoever begins, then for each student on record; a name that is no file's name harms nothing.
expect 0 '' "$gripline" pack "$folder/good.chart" -o "$folder/plans" --plans --start 2028-02-26
says 'and a plan for 1 student '
[ -s "$folder/plans/good.plan.me.pdf" ] || fail 'pack: no plan for whoever begins'
"$gripline" log "$folder/good.chart" --student Ann --item 1 --rating good > /dev/null
"$gripline" log "$folder/good.chart" --student '../Bo/50%' --item 2 --rating hard --strain pain > /dev/null
expect 0 '' "$gripline" pack "$folder/good.chart" examples/late-tram-blues.chart -o "$folder/plans" --plans --start 2028-02-26
says 'and a plan for 2 students '
for name in good late-tram-blues; do
  for student in Ann '..%2FBo%2F50%25'; do
    [ -s "$folder/plans/$name.plan.$student.pdf" ] || fail "pack: no plan of $name for $student"
  done
done
"$gripline" plan "$folder/good.chart" --student Ann --start 2028-02-26 -o "$folder/ann.pdf"
checked=$((checked + 1))
cmp -s "$folder/ann.pdf" "$folder/plans/good.plan.Ann.pdf" || fail 'pack: another plan than plan makes'
if cmp -s "$folder/plans/good.plan.Ann.pdf" "$folder/plans/good.plan.me.pdf"; then
  fail 'pack: the plan does not go by the record'
fi
expect 2 'there is no such day' "$gripline" pack "$folder/good.chart" -o "$folder/plans" --plans --start 2027-02-30
printf 'spoilt' > "$XDG_DATA_HOME/gripline/progress.db"
expect 3 'progress.db: this store is damaged' "$gripline" pack "$folder/good.chart" -o "$folder/plans" --plans

finish
