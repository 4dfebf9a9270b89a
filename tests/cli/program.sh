#!/bin/sh
# The program from outside: what it answers, what it says of bad input and where, and its exit status.
#   program.sh GRIPLINE
. "$(dirname "$0")/expect.sh"

# ---- usage ----------------------------------------------------------------------------------------------------------
expect 2 'give one of --to KEY, --by INTERVAL' "$gripline" transpose x.chart
expect 2 'more than one goal is named' "$gripline" transpose --to C --by 2 x.chart
expect 2 '--tune needs the singer' "$gripline" transpose --to C --tune C4-E4 x.chart
expect 2 'gripline: error: say what to do' "$gripline"
expect 2 'did you mean arrange?' "$gripline" arange x.chart
expect 2 'did you mean --help?' "$gripline" help
expect 2 'there is no command "frobnicate"' "$gripline" frobnicate
expect 2 'did you mean --texture?' "$gripline" arrange --texure shell x.chart
expect 2 'there is no option --zzzzzz here; see gripline grips --help' "$gripline" grips --zzzzzz C
expect 2 'there is no option -z' "$gripline" grips -z C
expect 2 'arrange needs a FILE' "$gripline" arrange
expect 2 'takes one CHORD' "$gripline" grips C 7
expect 2 '--aim does not know "fast"; choose one of smooth, easy' "$gripline" arrange --aim fast x.chart
expect 2 '--texture does not know "thick"; choose from shell' "$gripline" grips --texture shell,thick C
expect 2 '--tempo needs a value' "$gripline" arrange x.chart --tempo
expect 2 '--tempo "quick" is not a number from 20 to 400' "$gripline" arrange --tempo quick x.chart
expect 2 '--tempo "0" is not a number' "$gripline" arrange --tempo 0 x.chart
expect 2 '--capo "2.5" is not a whole number' "$gripline" arrange --capo 2.5 x.chart
expect 2 '--json takes no value' "$gripline" grips --json=yes C
expect 2 '--hand is given twice' "$gripline" grips --hand small --hand large C
expect 2 '--frets "9-3": the first fret must not lie above' "$gripline" grips --frets 9-3 C
expect 2 '--frets "low": not a stretch of the neck' "$gripline" grips --frets low C
expect 2 '"9" is no string from 1 to 8' "$gripline" grips --strings 9,1 C
expect 2 'this instrument has 6 strings' "$gripline" grips --strings 7,1 C
expect 2 'gripline knows no such tuning' "$gripline" grips --tuning wobbly C
expect 2 'sheet needs -o FILE; end the name in .pdf, .svg or .png' "$gripline" sheet x.chart
expect 2 'sheet cannot write "x.doc"; end the name in .pdf, .svg or .png' "$gripline" sheet x.chart -o x.doc
expect 2 'sheet cannot write "pdf"' "$gripline" sheet x.chart -o pdf
expect 2 'play cannot write "x.aiff"; .* \.mid, \.wav, \.flac, \.ogg or \.mp3' "$gripline" play x.chart -o x.aiff
expect 2 '--after' "$gripline" grips C --after x3
expect 2 '--top: F# is no note of Cmaj7; choose from C E G B' "$gripline" grips Cmaj7 --top 'F#'
expect 2 '--bass "H" is no note' "$gripline" grips C --bass H

expect 0 '' "$gripline" --help
says 'arrange FILE'
expect 0 '' "$gripline" --version
says '^gripline [0-9]'
for command in arrange grips name sheet play; do
  expect 0 '' "$gripline" $command --help
  says "usage:   gripline $command"
done
expect 0 '' "$gripline" --man
says '^\.TH GRIPLINE 1'
for shell in bash zsh fish; do
  expect 0 '' "$gripline" --completion $shell
  says 'right-hand'
done
expect 2 '--completion does not know "tcsh"' "$gripline" --completion tcsh

# ---- grips ----------------------------------------------------------------------------------------------------------
expect 3 'CHORD:1:' "$gripline" grips Cmja7
expect 3 'silence' "$gripline" grips N.C.
expect 1 'no grip of C does all that' "$gripline" grips C --frets 12-12 --strings 6-5
expect 0 '' "$gripline" grips C --all
says 'x32010'
expect 0 '' "$gripline" grips C --json
says '"schema": "gripline/grips/1"'
expect 0 '' "$gripline" grips G7 --after x02210
says 'x02210'

# On a ukulele all four strings are strummed: the whole grip comes before the one with a silent string.
for pair in 'Dm 2210' 'Bb 3211' 'F 2010' 'A 2100'; do
  expect 0 '' "$gripline" grips "${pair% *}" --tuning ukulele --csv
  checked=$((checked + 1))
  sed -n 2p "$folder/out" | tr -d ' ' | grep -q ",${pair#* }," || fail "ukulele: $pair is not first"
done

# ---- name -----------------------------------------------------------------------------------------------------------
expect 2 'name needs a FRETS' "$gripline" name
expect 2 'put quotes around' "$gripline" name x32010 x02210
expect 2 'exclude each other' "$gripline" name x32010 --notes 'C E G'
expect 3 'FRETS:1:3: error: expected a fret number' "$gripline" name x3a010
expect 3 'FRETS:1:9: error: more than eight strings' "$gripline" name x320100000
expect 3 'x3201 has 5 strings, not 6' "$gripline" name x3201
expect 3 'FRETS:1:3: error: no neck has a fret this high; the limit is 24' "$gripline" name x-99-0-0-0-0
expect 3 'FRETS:1:1: error: no string sounds' "$gripline" name xxxxxx
expect 3 'FRETS:1:1: error: no grip in this line' "$gripline" name ''
expect 3 'FRETS:1:8: error: ' "$gripline" name 'x32010 y02210'
expect 1 'x1xxxx: one note is no chord; it is B♭' "$gripline" name x1xxxx
expect 1 'no common name; the notes are F♯, G and A♭: a cluster' "$gripline" name --notes 'F# G Ab'
expect 1 'no common name; the notes are C and E: a major third' "$gripline" name x32xxx
expect 1 'x32xxx: no common name' "$gripline" name 'x32010 x32xxx'
expect 3 '010000, string 5: the string begins above this fret' "$gripline" name 010000 --capo 2:5-3
expect 2 '--capo "2:" does not say which strings it covers' "$gripline" name x32010 --capo 2:
expect 2 '--capo "2:7": the capo covers a string that this instrument does not have' "$gripline" grips C --capo 2:7
expect 2 '--notes:1:3: error: this is no note' "$gripline" name --notes 'C H'
expect 2 '--notes is empty' "$gripline" name --notes ''
expect 2 '--key "H" is no key' "$gripline" name x32010 --key H
expect 2 'after:1:2: error: ' "$gripline" name x32010 --after Cq
expect 2 '--after and --before go with one grip' "$gripline" name 'x32010 x02210' --after C
expect 3 'none.txt: error: there is no such file' "$gripline" name --line "$folder/none.txt"
expect 0 '' "$gripline" name x32233
says '^ 1  C6/9 '
expect 0 '' "$gripline" name 'x 3 2 2 3 3'
says '^ 1  C6/9 '
expect 0 '' "$gripline" name 2x231x --after Gm7 --before F
says '^ 1  G♭7♭5 '
expect 0 '' "$gripline" name 2x231x --after F#m7 --before B
says '^ 1  F♯7♭5 '
expect 0 '' "$gripline" name 'x32010 x02210 | xx0211 320003'
says '^C major'
says 'xx0211 *Dm7 *ii7'
printf 'x32010 x02210\n| xx0211 320003\n' > "$folder/line.txt"
expect 0 '' "$gripline" name --line "$folder/line.txt"
says '320003 *G *V '
expect 0 '' "$gripline" name --json x32233
says '"schema": "gripline/name/1"'
expect 1 'no common name' "$gripline" name --json x32xxx
says '"names": \[\]'
# ---- proof ----------------------------------------------------------------------------------------------------------
printf 'C6/9  x32233\nGm7: 3-x-3-3-3-y\nAm: x0221\nD7 xx0213\n' > "$folder/pasted.txt"
expect 1 'pasted.txt:2:16: error: this is no fret' "$gripline" proof "$folder/pasted.txt"
says 'pasted.txt:4:4: error: D7: string 1 sounds G'
says '^2 grips read, 1 with a fault; 2 could not be read$'
expect 1 'pasted.txt:3:5: error: these frets are for 5 strings' "$gripline" proof --json "$folder/pasted.txt"
says '"unreadable": 2'
printf 'Gm7: 3-x-3-3-3-y\n' > "$folder/pasted.txt"
expect 3 'pasted.txt:1:16: error: this is no fret' "$gripline" proof "$folder/pasted.txt"
chart '[A]\n| C@x32010 Am@x0221z | D@xx0213 |\n'
expect 1 'song.chart:2:14: error: "x0221z" is not a grip' "$gripline" proof "$song"
says '^2 grips read, 1 with a fault; 1 could not be read'

# ---- harmony and keys -----------------------------------------------------------------------------------------------
chart '| Dm7 | G7 | Cmaj7 | %% |\n'
expect 0 '' "$gripline" explain "$song"
says 'C major'
says 'ii–V–I (bars 1–4)'
expect 0 'C to E♭, 3 semitones up; sounds the same: capo 1 with the shapes of D' "$gripline" transpose --to Eb "$song"
says '^| Fm7 | Bb7 | Ebmaj7 | % |$'
expect 0 '5 semitones down' "$gripline" transpose --by -P4 "$song"
says '^| Am7 | D7 | Gmaj7 | % |$'
expect 0 'C to A' "$gripline" transpose --range G3-C5 --tune C4-D5 "$song"
expect 1 'the tune spans 14 semitones and the singer 5' "$gripline" transpose --range G3-C4 --tune C4-D5 "$song"
expect 2 'the chart has no ^ notes' "$gripline" transpose --range G3-C5 "$song"
expect 2 '--to "Cm": the song is in a major key' "$gripline" transpose --to Cm "$song"
expect 2 '--by "m4": not an interval' "$gripline" transpose --by m4 "$song"
expect 0 'chosen' "$gripline" transpose --easiest "$song"
chart '| C7 | %% |\n'
expect 0 '' "$gripline" explain "$song"
says 'no clear key'
expect 3 'names no key and its chords make none clear' "$gripline" transpose --to D "$song"
expect 0 '2 semitones up' "$gripline" transpose --by 2 "$song"
says '^| D7 | % |$'
chart '| N.C. |\n'
expect 0 '' "$gripline" explain "$song"
says 'no chord sounds'

# ---- stand-ins ------------------------------------------------------------------------------------------------------
expect 2 'standins needs a FILE' "$gripline" standins
expect 2 '--chord needs --key' "$gripline" standins --chord G7
expect 2 'takes a FILE or --chord' "$gripline" standins --chord G7 --key C x.chart
expect 2 '--key and --before go with --chord' "$gripline" standins --key C x.chart
expect 2 '--key "H" is no key' "$gripline" standins --chord G7 --key H
expect 3 'chord:1:1: error: .*H7' "$gripline" standins --chord H7 --key C
expect 3 '--chord is silence' "$gripline" standins --chord N.C. --key C
expect 0 '' "$gripline" standins --chord G7 --key C --before Cmaj7
says '^    Db7 .* 13   2   tritone substitute$'
says '^    Dm7 G7 .* related ii$'
says '^    Bb9 .* backdoor$'
says 'The backdoor: Bb9 keeps'
expect 0 '' "$gripline" standins --chord G7 --key C --json
says '"schema": "gripline/standins/1"'
chart '| Dm7 | G7^G4 | Cmaj7 | %% |\n'
expect 0 '' "$gripline" standins "$song"
says '^dominant in C major: G7$'
says 'The G on top'
expect 0 '' "$gripline" standins "$song" --try 2=Db7
says '^bar 2, beat 1: Db7 in place of G7$'
says 'same guide tones'
says 'tried without that wish'
expect 0 '' "$gripline" standins "$song" --try '2=Dm7 G7'
says 'Dm7 .* G7 '
expect 0 '' "$gripline" standins "$song" --try 2=Db7 --json
says '"trial": {'
expect 2 'names no slot and chord' "$gripline" standins "$song" --try Db7
expect 2 'two chords for a slot at most' "$gripline" standins "$song" --try '2=Dm7 G7 C7'
expect 3 'there is no chord in bar 9' "$gripline" standins "$song" --try 9=Db7
expect 3 'no chord begins on beat 3 of bar 2' "$gripline" standins "$song" --try 2.3=Db7
expect 3 'try:1:1: error: ' "$gripline" standins "$song" --try 2=H7
chart '| C7 | %% |\n'
expect 0 '' "$gripline" standins "$song"
says 'No key is clear'
chart '| N.C. |\n'
expect 0 '' "$gripline" standins "$song"
says 'no chord sounds'

# ---- openings, turnarounds, endings -----------------------------------------------------------------------------------
chart '| C | Am | F | G |\n| C | Am | F / G / | C |\n'
expect 0 '' "$gripline" frame "$song"
says '^openings, into C in bar 1$'
says '^turnarounds in place of bars 7–8, after Am in bar 6, back to C in bar 1$'
says '^endings, after C in bar 8$'
says 'more with --all'
expect 0 '' "$gripline" frame "$song" --json
says '"schema": "gripline/frame/1"'
expect 0 'The form goes round once more' "$gripline" frame "$song" --apply opening=key-of-the-dominant,turnaround=one-six,ending=tag
says '^form: opening chorus-turnaround chorus ending$'
says '^| G | Em | *Am | D7 | G | G7 |$\|^| G Em | Am D7 | G | G7 |$'
says '^| C | Am | C Am | Dm G7 |$'
says '^| Em A7 | Dm G7 | C |$'
expect 0 '' "$gripline" frame "$song" --apply ending=best -o "$folder/framed.chart"
expect 0 '' "$gripline" arrange "$folder/framed.chart"
expect 2 'no chart to write without --apply' "$gripline" frame "$song" -o "$folder/framed.chart"
expect 2 'names no part and frame' "$gripline" frame "$song" --apply tag
expect 3 'no ending for this song is called "foo"' "$gripline" frame "$song" --apply ending=foo
chart '| C7 | %% |\n'
expect 3 'names no key and its chords make none clear' "$gripline" frame "$song"
chart '| N.C. |\n'
expect 3 'no chord sounds' "$gripline" frame "$song"

# ---- fewer chords -------------------------------------------------------------------------------------------------------
chart '# mine\n| C / C#dim7 / | Dm7@x5756x | G7 | C |\n'
expect 0 '3 chords in place of 4' "$gripline" reduce --chords 3 "$song"
says '^# mine$'
says '^| C | Dm7@x5756x | G7 | C |$'
expect 0 'without C' "$gripline" reduce --level beginner "$song"
says '^| C | Dm | G7 | C |$'
expect 0 '' "$gripline" reduce --chords 3 --json "$song"
says '"distinct_chords": 3'
says '"left_out": true'
expect 0 '' "$gripline" reduce --chords 2 "$song" -o "$folder/few.chart"
says '^2 chords in place of 4'
expect 0 '' "$gripline" arrange "$folder/few.chart"
expect 2 'reduce needs one of' "$gripline" reduce "$song"
expect 2 'reduce needs one of' "$gripline" reduce --chords 3 --grips 4 "$song"
expect 2 'a picture of a curve alone' "$gripline" reduce --grips 4 "$song" -o "$folder/few.pdf"
expect 0 '' "$gripline" reduce --grips 2 "$song" -o "$folder/few.chart"
says 'are simplified'
expect 0 '' "$gripline" sheet "$folder/few.chart" -o "$folder/few.svg"
expect 0 '' "$gripline" arrange "$folder/few.chart"
says '^5 chords on 2 grips'
chart '| N.C. |\n'
expect 3 'no chord sounds' "$gripline" reduce --chords 3 "$song"

# ---- charts that are wrong ------------------------------------------------------------------------------------------
chart '| C | Fmja7 | G |\n'
expect 3 'song.chart:1:[0-9]*: error: .*Fmja7' "$gripline" arrange "$song"
chart 'form: A B\n[A]\n| C |\n'
expect 3 'song.chart:1:9: error: ' "$gripline" arrange "$song"
chart '| C |\n|: G |\n'
expect 3 'song.chart:2:1: error: a repeat that never closes' "$gripline" arrange "$song"
chart '| C@x32033 |\n'
expect 3 'song.chart:1:[0-9]*: error: ' "$gripline" arrange "$song"
chart '| C | G@3x-0-0-15-x |\n'
expect 3 'song.chart:1:[0-9]*: error: ' "$gripline" arrange "$song"
chart '| C | Am^F# |\n'
expect 3 'song.chart:1:[0-9]*: error: ' "$gripline" arrange "$song"
chart 'tuning: wobbly\n| C |\n'
expect 3 'song.chart:1:9: error: gripline knows no such tuning' "$gripline" arrange "$song"
chart '| C | F |\n'
expect 2 'a string was asked for' "$gripline" arrange --strings 7 "$song"
expect 3 'song.chart:1:3: error: no grip of C .*strings' "$gripline" arrange --strings 6 "$song"
chart ''
expect 3 'song.chart' "$gripline" arrange "$song"
chart '\n\n  \n'
expect 3 'song.chart' "$gripline" arrange "$song"
chart '| C | \000 F |\n'
expect 3 'song.chart:1:7: error: ' "$gripline" arrange "$song"
chart '| C | \377\376 |\n'
expect 3 'song.chart:1:7: error: ' "$gripline" arrange "$song"
# Two faults are both told.
chart '| Cqq | F | Gzz |\n'
expect 3 'song.chart:1:4: error: Cqq' "$gripline" arrange "$song"
expect 3 'song.chart:1:14: error: Gzz' "$gripline" arrange "$song"

# ---- files that are none --------------------------------------------------------------------------------------------
expect 3 'none.chart: error: there is no such file' "$gripline" arrange "$folder/none.chart"
expect 3 'this is a folder, not a file' "$gripline" arrange "$folder"
truncate -s 100000000 "$folder/long.chart"
expect 3 'long.chart: error: longer than the 4 MiB that gripline reads' "$gripline" arrange "$folder/long.chart"
expect 3 'standard input: error: longer than the 64 MiB' sh -c '"$1" arrange - < "$2"' - "$gripline" "$folder/long.chart"
truncate -s 5000000 "$folder/long.chart"
expect 3 'is longer than the 4 MiB that gripline reads of a chart' sh -c '"$1" arrange - < "$2"' - "$gripline" "$folder/long.chart"
if [ "$(id -u)" -ne 0 ]; then
  chart '| C |\n'
  chmod 0 "$song"
  expect 3 'not allowed to read' "$gripline" arrange "$song"
  chmod 600 "$song"
fi

# ---- what comes out -------------------------------------------------------------------------------------------------
chart 'title: Two Bars\n[A]\n| Am | Dm / E7 / |\n'
expect 0 '' "$gripline" arrange "$song"
says '^\[A\] bars 1–2'
expect 0 '' sh -c '"$1" arrange - < "$2"' - "$gripline" "$song"
says '^\[A\] bars 1–2'
expect 0 '' "$gripline" arrange --json "$song"
says '"schema": "gripline/arrange/1"'
says '"distinct_grips"'
cp "$folder/out" "$folder/first"
expect 0 '' "$gripline" arrange --json "$song"
checked=$((checked + 1))
cmp -s "$folder/first" "$folder/out" || fail "arrange --json: another answer the second time"

for out in sheet.pdf sheet.svg sheet.png; do
  expect 0 '' "$gripline" sheet "$song" -o "$folder/$out"
  [ -s "$folder/$out" ] || fail "sheet: no $out"
done
expect 0 '' "$gripline" play "$song" -o "$folder/song.mid"
[ "$(head -c 4 "$folder/song.mid")" = MThd ] || fail "play: no MIDI file"
expect 0 '' sh -c '"$1" play "$2" -o - > "$3"' - "$gripline" "$song" "$folder/other.mid"
cmp -s "$folder/song.mid" "$folder/other.mid" || fail "play -o -: other bytes than the file"

# ---- where it cannot go ---------------------------------------------------------------------------------------------

for example in examples/*.chart; do # one of them begins with a pick-up
  expect 0 '' "$gripline" play "$example" --count-in 1 --click -o "$folder/example.mid"
done

# sound(FILE): it is there, and what the file says it is.
sound() {
  checked=$((checked + 1))
  case $1 in
  *.wav) begins=RIFF ;;
  *.flac) begins=fLaC ;;
  *.ogg) begins=OggS ;;
  *.mp3) begins=$(printf '\377\373') ;; # a frame of layer III
  *.mid) begins=MThd ;;
  esac
  [ "$(head -c "$(printf %s $begins | wc -c)" "$1" | tr -d '\0')" = "$begins" ] || fail "play: $1 is no such file"
}

if [ -f /usr/share/sounds/sf2/TimGM6mb.sf2 ]; then
  for ending in wav flac ogg mp3; do
    expect 0 '' "$gripline" play "$song" --from 1 --to 1 -o "$folder/song.$ending"
    sound "$folder/song.$ending"
  done
  "$gripline" play "$song" -o "$folder/one.wav" && "$gripline" play "$song" -o "$folder/two.wav"
  cmp -s "$folder/one.wav" "$folder/two.wav" || fail "play: the same chart gave other sound"
  expect 4 'full.wav: error: cannot write' sh -c 'ln -sf /dev/full "$3/full.wav"; exec "$1" play "$2" -o "$3/full.wav"' - \
    "$gripline" "$song" "$folder"
  echo old > "$folder/kept.wav"
  expect 4 'there is no room for temporary files' \
    sh -c 'ulimit -f 1; exec "$1" play "$2" -o "$3"' - "$gripline" "$song" "$folder/kept.wav"
  [ "$(cat "$folder/kept.wav")" = old ] || fail "play: a full disk cost the old file"
  [ "$(find "$folder" -name 'kept.wav*' | wc -l)" -eq 1 ] || fail "play: something is left behind"
else
  echo "skipped: no soundfont is installed; tools/install-deps installs one"
fi
expect 3 'song.chart: error: the file\|is no soundfont' "$gripline" play "$song" --soundfont "$song" -o "$folder/song.wav"
expect 3 'cannot be read' "$gripline" play "$song" --soundfont "$folder/none.sf2" -o "$folder/song.wav"
expect 2 'add --live' "$gripline" play "$song" --device alsa -o "$folder/song.mid"
expect 0 '' "$gripline" play "$song" --basses
says '^chord  *frets  *bass  *in turn with'
expect 2 'the song has bars' "$gripline" play "$song" --from 99 -o "$folder/song.mid"
expect 2 'this is no bar' "$gripline" play "$song" --to Eb -o "$folder/song.mid"
expect 2 'it says already what is played' "$gripline" play "$song" --change 2 --from 1 -o "$folder/song.mid"
expect 2 'this is no place' "$gripline" play "$song" --change here -o "$folder/song.mid"
expect 2 'it says already how fast' "$gripline" play "$song" --ladder 60-90/10 --tempo 80 -o "$folder/song.mid"
for ladder in 60-90 90-60/5 60-90/0 10-60/5 60- , 60,,70 20-400/1; do
  expect 2 '--ladder' "$gripline" play "$song" --ladder "$ladder" -o "$folder/song.mid"
done
expect 2 '--only does not know "drums"' "$gripline" play "$song" --only drums -o "$folder/song.mid"
expect 4 '/dev/full: error: cannot write' "$gripline" play "$song" -o /dev/full
expect 4 'standard output: error: cannot write' sh -c '"$1" arrange "$2" > /dev/full' - "$gripline" "$song"
expect 4 'standard output: error: cannot write' sh -c '"$1" arrange "$2" >&-' - "$gripline" "$song"
expect 4 'make the folder first' "$gripline" play "$song" -o "$folder/no/song.mid"
mkdir "$folder/folder.mid"
expect 4 'cannot write' "$gripline" play "$song" -o "$folder/folder.mid"
echo old > "$folder/kept.mid"
awk 'BEGIN { for (i = 0; i < 60; i++) print "| C / F / | G7 / C / |" }' > "$folder/long.song.chart"
expect 4 'kept.mid: error: cannot write: File too large; raise the limit' \
  sh -c 'ulimit -f 1; exec "$1" play "$2" -o "$3"' - "$gripline" "$folder/long.song.chart" "$folder/kept.mid"
[ "$(cat "$folder/kept.mid")" = old ] || fail "a file that could not be written was changed"
[ -z "$(find "$folder" -name 'kept.mid.*')" ] || fail "half a file was left behind"

# A disk that fills up, where we may make one.
mkdir "$folder/disk"
if mount -t tmpfs -o size=16k tmpfs "$folder/disk" 2> /dev/null; then
  echo old > "$folder/disk/kept.pdf"
  expect 4 'No space left on device; make room and try again' "$gripline" sheet "$song" -o "$folder/disk/kept.pdf"
  [ "$(cat "$folder/disk/kept.pdf")" = old ] || fail "a full disk cost the old file"
  [ "$(ls "$folder/disk")" = kept.pdf ] || fail "a full disk holds half a file"
  umount "$folder/disk"
else
  echo "not checked: a full disk, which takes the right to mount one"
fi

# A reader who has seen enough: no message, and no harm.
checked=$((checked + 1))
"$gripline" grips C --all 2> "$folder/err" | head -n 1 > "$folder/out"
[ ! -s "$folder/err" ] || fail "a message to a reader who left"

# ---- practice --------------------------------------------------------------------------------------------------------
practice=examples/late-tram-blues.chart
expect 2 'there is no such day' "$gripline" plan --start 2027-02-30 "$practice"
expect 2 'needs at least 10 minutes' "$gripline" plan --minutes 5 "$practice"
expect 2 'cannot write' "$gripline" plan "$practice" -o plan.txt
expect 3 'there is no such file' "$gripline" plan --known none-such.txt "$practice"
expect 2 '--item needs a --rating' "$gripline" log "$practice" --item 3
expect 2 'there is no item 900' "$gripline" log "$practice" --item 900 --rating good
expect 2 '--delete needs --student' "$gripline" progress --delete
expect 1 'nothing is recorded' "$gripline" progress --student Nobody --delete
expect 0 '' "$gripline" plan --start 2028-02-26 --days 5 "$practice"
says '^Tue 2028-02-29: '
cp "$folder/out" "$folder/new.plan"
expect 0 '' "$gripline" log "$practice" --item 3 --tempo 84 --rating good --minutes 6
says '^3\. .*good; half-life [0-9.]* days$'
expect 0 '' "$gripline" plan --start 2028-02-26 --days 5 "$practice"
if cmp -s "$folder/out" "$folder/new.plan"; then fail 'the plan does not go by the record'; fi
expect 0 '' "$gripline" plan --known none --start 2028-02-26 --days 5 "$practice"
if ! cmp -s "$folder/out" "$folder/new.plan"; then fail 'the plan goes by the record though --known none'; fi
expect 0 '' "$gripline" log "$practice" --student Ann --item 4 --rating hard --strain pain
says 'See a clinician'
expect 0 '' "$gripline" plan --student Ann --start 2028-02-26 "$practice"
says '^Sat 2028-02-26: rest'
says '^You reported pain: rest comes first'
expect 0 '' "$gripline" plan --student Ann --start 2028-02-26 --json "$practice"
says '"lighter": true'
expect 0 '' "$gripline" progress --student Ann --export "$folder/ann.json"
expect 0 '' "$gripline" progress --import "$folder/ann.json"
says '^0 of 1 practices were new'
expect 0 '' "$gripline" progress --student Ann --delete
expect 1 'nothing is recorded' "$gripline" progress --student Ann --export "$folder/gone.json"
expect 0 '' "$gripline" progress --import "$folder/ann.json"
says '^1 of 1 practices were new'
expect 3 'no JSON document' "$gripline" progress --import "$practice"
expect 0 '' "$gripline" progress "$practice" -o "$folder/progress.svg"
printf '3\n\n1\nq\n1\n' > "$folder/keys"
checked=$((checked + 1))
"$gripline" log "$practice" --student Bo < "$folder/keys" > "$folder/out" 2> "$folder/err" || fail 'log by keys'
says 'good$'
says ': again; half-life'
printf 'spoilt' > "$XDG_DATA_HOME/gripline/progress.db"
expect 3 'progress.db: this store is damaged' "$gripline" plan "$practice"
expect 3 'progress.db: this store is damaged' "$gripline" log "$practice" --item 3 --rating good
checked=$((checked + 1))
[ "$(cat "$XDG_DATA_HOME/gripline/progress.db")" = spoilt ] || fail 'a damaged store was written to'

finish
