// Every chord shape of chords-db 0.5.1 (MIT), guitar and ukulele: what it sounds and what is printed beside it.
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);

// Degrees of the collection's suffixes; "alt" are triads with a flat fifth.
export const formulas = {
  major: '1 3 5', minor: '1 b3 5', dim: '1 b3 b5', dim7: '1 b3 b5 bb7', sus2: '1 2 5', sus4: '1 4 5',
  '7sus4': '1 4 5 b7', '7sg': '1 3 5 b7', alt: '1 3 b5', aug: '1 3 #5', 6: '1 3 5 6', 69: '1 3 5 6 9',
  7: '1 3 5 b7', '7b5': '1 3 b5 b7', aug7: '1 3 #5 b7', 9: '1 3 5 b7 9', '9b5': '1 3 b5 b7 9',
  aug9: '1 3 #5 b7 9', '7b9': '1 3 5 b7 b9', '7#9': '1 3 5 b7 #9', 11: '1 3 5 b7 9 11', '9#11': '1 3 5 b7 9 #11',
  13: '1 3 5 b7 9 11 13', maj7: '1 3 5 7', maj7b5: '1 3 b5 7', 'maj7#5': '1 3 #5 7', maj9: '1 3 5 7 9',
  maj11: '1 3 5 7 9 11', maj13: '1 3 5 7 9 11 13', m6: '1 b3 5 6', m69: '1 b3 5 6 9', m7: '1 b3 5 b7',
  m7b5: '1 b3 b5 b7', m9: '1 b3 5 b7 9', m11: '1 b3 5 b7 9 11', mmaj7: '1 b3 5 7', mmaj7b5: '1 b3 b5 7',
  mmaj9: '1 b3 5 7 9', mmaj11: '1 b3 5 7 9 11', add9: '1 3 5 9', madd9: '1 b3 5 9', '7b9#5': '1 3 #5 b7 b9',
  '13b9': '1 3 5 b7 b9 11 13', '13b5b9': '1 3 b5 b7 b9 11 13', b13b9: '1 3 5 b7 b9 11 b13',
  'b13#9': '1 3 5 b7 #9 11 b13', m9b5: '1 b3 b5 b7 9',
};
export const open = { guitar: [40, 45, 50, 55, 59, 64], ukulele: [67, 60, 64, 69] };
const scale = [0, 2, 4, 5, 7, 9, 11];
const letters = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

const signs = (text) => [...text].reduce((sum, sign) => sum + (sign === '#' ? 1 : -1), 0);
export const modulo = (value) => ((value % 12) + 12) % 12;
export const noteClass = (name) => modulo(letters[name[0]] + signs(name.slice(1)));

export function degreeClass(degree) {
  const [, alteration, number] = degree.match(/^([b#]*)(\d+)$/);
  return modulo(scale[(number - 1) % 7] + signs(alteration));
}

export function chordClasses(key, suffix) {
  const slash = suffix.match(/^(m?)\/(.+)$/);
  const formula = formulas[slash ? (slash[1] ? 'minor' : 'major') : suffix];
  if (!formula) throw new Error(`no formula for ${suffix}`);
  const classes = new Set(degreesOf(formula).map((above) => modulo(noteClass(key) + above)));
  if (slash) classes.add(noteClass(slash[2]));
  return classes;
}

// Semitones above the root: "1 b3 5" is 0 3 7.
export const degreesOf = (formula) => formula.split(' ').map(degreeClass);

function readRows(instrument) {
  const { chords } = require(`@tombatossals/chords-db/lib/${instrument}.json`);
  const rows = [];
  for (const chord of Object.values(chords).flat())
    chord.positions.forEach((position, place) => {
      rows.push({
        instrument,
        index: rows.length,
        key: chord.key,
        suffix: chord.suffix,
        place,
        frets: position.frets.map((fret) => (fret > 0 ? fret + position.baseFret - 1 : fret)),
        fingers: position.fingers,
      });
    });
  return rows;
}

export const printedFrets = (row) => row.frets.map((fret) => (fret < 0 ? 'x' : fret)).join('-');
export const label = (row) => [row.instrument, row.key + row.suffix, row.place, printedFrets(row), row.fingers.join('')];

// The first string that sounds a note foreign to the printed chord, as players count strings; null when there is none.
export function soundsForeign({ instrument, key, suffix, frets }) {
  const classes = chordClasses(key, suffix);
  const foreign = frets.findIndex((fret, s) => fret >= 0 && !classes.has(modulo(open[instrument][s] + fret)));
  return foreign >= 0 ? { string: frets.length - foreign } : null;
}

// Why a row cannot be meant as it stands, or null.
export function fault(row) {
  const { frets, fingers } = row;
  const foreign = soundsForeign(row);
  if (foreign) return `wrong note on string ${foreign.string}`;
  for (let s = 0; s < frets.length; s++) {
    if (frets[s] > 0 && !fingers[s]) return `no finger on string ${frets.length - s}`;
    if (frets[s] <= 0 && fingers[s]) return `a finger on string ${frets.length - s}, which is not stopped`;
  }
  for (const finger of new Set(fingers.filter(Boolean))) {
    const strings = fingers.flatMap((other, s) => (other === finger ? [s] : []));
    const fret = frets[strings[0]];
    if (strings.some((s) => frets[s] !== fret)) return `finger ${finger} on two frets`;
    for (let s = strings[0]; s < strings.at(-1); s++)
      if (frets[s] >= 0 && frets[s] < fret) return `finger ${finger} would cover string ${frets.length - s}`;
  }
  return null;
}

export const books = () => ['guitar', 'ukulele'].map(readRows);
