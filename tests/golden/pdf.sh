#!/bin/sh
# Reads a sheet with other programs: is the PDF sound, are its words found with real flats and sharps, are all fonts our
# own and inside, is the SVG well-formed, and do PDF and PNG show the same picture?
#   pdf.sh PROGRAM FOLDER
set -eu
program=$1
folder=$2
faults=0

fault() {
  echo "pdf: $*"
  faults=$((faults + 1))
}

for tool in qpdf pdftotext pdffonts pdfinfo pdftoppm xmllint; do
  command -v $tool > /dev/null || { echo "pdf: $tool is missing; tools/install-deps test installs it"; exit 1; }
done
mkdir -p "$folder/again"
"$program" files "$folder"
"$program" files "$folder/again"
for name in sheet.pdf sheet.svg sheet.png; do
  cmp "$folder/$name" "$folder/again/$name" || fault "$name: another run gives other bytes"
done

qpdf --check "$folder/sheet.pdf" > "$folder/qpdf.txt" 2>&1 || fault "qpdf finds faults: $(cat "$folder/qpdf.txt")"

pdftotext "$folder/sheet.pdf" "$folder/sheet.txt"
for words in 'Ferry at Low Tide' 'Harbour Street Quartet' 'F major' '♩ = 126' 'bossa' 'Gm7' 'C7♭9' 'Fmaj9' 'C7sus4' 'B♭maj7' \
  'C♯m7♭5(11)' 'F♯7♭5/C' 'N.C.' 'C6/9' 'D/F♯' '3 times' 'x32233' 'see a clinician' 'no medical advice' 'may be protected' '1/5' 'The hardest changes' 'up to ♩' 'The neck path' 'dominant' 'Why it works' 'Staff and tablature' 'What you might not hear' 'moderate level'; do
  grep -qF -- "$words" "$folder/sheet.txt" || fault "pdftotext does not find: $words"
done

fonts=$(pdffonts "$folder/sheet.pdf" | tail -n +3)
[ -n "$fonts" ] || fault "no fonts at all"
echo "$fonts" | grep -qvE '^[A-Z]{6}\+(DejaVuSans|DejaVuSans-Bold|Bravura) ' && fault "a font that is not ours: $fonts"
[ "$(echo "$fonts" | grep -c ' yes yes yes ')" -eq "$(echo "$fonts" | wc -l)" ] || fault "a font is not inside: $fonts"

info=$(TZ=UTC pdfinfo "$folder/sheet.pdf")
for line in '^Title: *Ferry at Low Tide$' '^Author: *Harbour Street Quartet$' '^Creator: *gripline ' '^CreationDate: *Sat Jan  1 00:00:00 2000' \
  '^Page size: .*(A4)$'; do
  echo "$info" | grep -q "$line" || fault "pdfinfo lacks $line in: $info"
done
# The outline: title, three sections, the grips, the hardest changes, the neck path, why it works with three headings, staff and tablature.
[ "$(qpdf --json --json-key=outlines "$folder/sheet.pdf" | grep -c '"title"')" -eq 12 ] || fault "the outline has not twelve lines"

xmllint --nonet --noout "$folder/sheet.svg" || fault "the SVG is not well-formed"
[ "$(grep -c '<title>' "$folder/sheet.svg")" -ge 12 ] || fault "the SVG lacks its alternative texts"

echo "pdf: $faults faults"
[ $faults -eq 0 ]
