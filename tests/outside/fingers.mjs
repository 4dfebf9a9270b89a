// The hand model against every finger-numbered chord shape of chords-db 0.5.1 (MIT), guitar and ukulele.
//
//   node fingers.mjs HAND_ANSWERS            checks and reports
//   node fingers.mjs HAND_ANSWERS --list     prints the rows that are left out, for data/chords-db-left-out.tsv
//   node fingers.mjs HAND_ANSWERS --misses   prints also the shapes whose printed fingers are not our first choice
//
// Shapes that sound a note foreign to their chord, or whose finger numbers cannot be meant, are left out; each stands in the
// list with its reason, and the check fails when the list and the data disagree. The weights of the hand model were
// tuned on the shapes of even place in each instrument's book; agreement is judged on those of odd place.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const [, , tool, option] = process.argv;

// Degrees of the collection's suffixes; "alt" are triads with a flat fifth.
const formulas = {
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
const open = { guitar: [40, 45, 50, 55, 59, 64], ukulele: [67, 60, 64, 69] };
const scale = [0, 2, 4, 5, 7, 9, 11];
const letters = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

const signs = (text) => [...text].reduce((sum, sign) => sum + (sign === '#' ? 1 : -1), 0);
const modulo = (value) => ((value % 12) + 12) % 12;
const noteClass = (name) => modulo(letters[name[0]] + signs(name.slice(1)));

function degreeClass(degree) {
  const [, alteration, number] = degree.match(/^([b#]*)(\d+)$/);
  return modulo(scale[(number - 1) % 7] + signs(alteration));
}

function chordClasses(key, suffix) {
  const slash = suffix.match(/^(m?)\/(.+)$/);
  const formula = formulas[slash ? (slash[1] ? 'minor' : 'major') : suffix];
  if (!formula) throw new Error(`no formula for ${suffix}`);
  const classes = new Set(formula.split(' ').map((degree) => modulo(noteClass(key) + degreeClass(degree))));
  if (slash) classes.add(noteClass(slash[2]));
  return classes;
}

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

const printedFrets = (row) => row.frets.map((fret) => (fret < 0 ? 'x' : fret)).join('-');
const label = (row) => [row.instrument, row.key + row.suffix, row.place, printedFrets(row), row.fingers.join('')];

// Why a row cannot be meant as it stands, or null.
function fault({ instrument, key, suffix, frets, fingers }) {
  const classes = chordClasses(key, suffix);
  const foreign = frets.findIndex((fret, s) => fret >= 0 && !classes.has(modulo(open[instrument][s] + fret)));
  if (foreign >= 0) return `wrong note on string ${frets.length - foreign}`;
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

function ask(rows) {
  const input = rows.map((row) => [row.instrument, printedFrets(row), row.fingers.join('')].join('\t')).join('\n');
  const lines = execFileSync(tool, { input: `${input}\n`, maxBuffer: 1 << 26 }).toString().trimEnd().split('\n');
  if (lines.length !== rows.length) throw new Error(`${lines.length} answers to ${rows.length} questions`);
  return lines.map((line) => {
    const [found, , verdict] = line.split('\t');
    return { found, verdict };
  });
}

// The same strings under one finger each, with other numbers: 2 1 3 for 3 1 4.
function sameTouch(a, b) {
  const grouped = (text) => [...text].map((finger) => (finger === '0' ? -1 : text.indexOf(finger))).join();
  return grouped(a) === grouped(b);
}

const percent = (part, whole) => `${((100 * part) / whole).toFixed(1)} %`;
const faults = [];

function check(holds, words) {
  if (!holds) faults.push(words);
}

function report(instrument, sound) {
  const answers = ask(sound);
  const count = (test) => sound.filter((row, i) => test(row, answers[i])).length;
  const printed = (row) => row.fingers.join('');
  const playable = count((row, answer) => answer.found !== '-');
  const accepted = count((row, answer) => answer.verdict === 'ok');
  const half = [0, 1].map((parity) => {
    const whole = count((row) => row.index % 2 === parity);
    const same = count((row, answer) => row.index % 2 === parity && answer.found === printed(row));
    const swap = count(
      (row, answer) =>
        row.index % 2 === parity && answer.found !== printed(row) && sameTouch(answer.found, printed(row)),
    );
    return { whole, same, swap };
  });
  console.log(`${instrument}: ${sound.length} sound shapes`);
  console.log(`  playable ${playable} (${percent(playable, sound.length)})`);
  console.log(`  printed fingers accepted ${accepted} (${percent(accepted, sound.length)})`);
  half.forEach(({ whole, same, swap }, parity) => {
    console.log(
      `  first choice as printed, ${parity ? 'judged' : 'tuned'} half: ${same} of ${whole} (${percent(same, whole)}), ` +
        `other numbers on the same strings ${swap}`,
    );
  });
  if (option === '--misses')
    sound.forEach((row, i) => {
      if (answers[i].found !== printed(row)) console.log([...label(row), answers[i].found, answers[i].verdict].join('\t'));
    });
  check(playable >= 0.97 * sound.length, `${instrument}: fewer than 97 % of the shapes are playable`);
  check(accepted >= 0.97 * sound.length, `${instrument}: fewer than 97 % of the printed fingers are accepted`);
  check(half[1].same >= 0.8 * half[1].whole, `${instrument}: our first choice is the printed one in fewer than 80 %`);
}

const rows = ['guitar', 'ukulele'].map(readRows);
const leftOut = rows.flat().flatMap((row) => {
  const reason = fault(row);
  return reason ? [[...label(row), reason].join('\t')] : [];
});
if (option === '--list') {
  console.log(['instrument', 'chord', 'place', 'frets', 'fingers', 'reason'].join('\t'));
  console.log(leftOut.join('\n'));
} else {
  const listed = readFileSync(new URL('data/chords-db-left-out.tsv', import.meta.url), 'utf8').trimEnd().split('\n').slice(1);
  console.log(`${leftOut.length} of ${rows.flat().length} shapes left out`);
  check(leftOut.join() === listed.join(), 'the left-out rows are not those of data/chords-db-left-out.tsv');
  for (const book of rows) report(book[0].instrument, book.filter((row) => !fault(row)));
  faults.forEach((words) => console.error(`fingers: ${words}`));
  process.exitCode = faults.length ? 1 : 0;
}
