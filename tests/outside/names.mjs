// Names of grips against every chord shape of chords-db 0.5.1 (MIT), guitar and ukulele, that sounds the notes of the chord
// printed beside it; and beside ours, in the same run, those of a general-purpose detector (tonal 6.4.3, MIT).
//
//   node names.mjs NAME_ANSWERS            checks and reports
//   node names.mjs NAME_ANSWERS --list     prints the misses, for data/name-misses.tsv
//
// A name is right when it is the printed chord over whatever bass, or a chord of the same notes (Am7 for C6, Csus2 for
// Gsus4). Every shape whose printed chord is not our first name stands in data/name-misses.tsv with its rank and the
// reason; the check fails when that list and the data disagree.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { Chord } from 'tonal';
import { books, chordClasses, degreesOf, modulo, noteClass, open, printedFrets, soundsForeign } from './chords_db.mjs';

const [, , tool, option] = process.argv;
const mask = (classes) => [...classes].reduce((bits, pitchClass) => bits | (1 << pitchClass), 0);
const sharps = ['C', 'C#', 'D', 'D#', 'E', 'F', 'F#', 'G', 'G#', 'A', 'A#', 'B'];

// The stacks that chords-db prints with all their lower extensions, as the trade plays them: the same chord by name.
const played = {
  11: '1 5 b7 9 11', 13: '1 3 5 b7 9 13', maj11: '1 5 7 9 11', maj13: '1 3 5 7 9 13', '13b9': '1 3 5 b7 b9 13',
  '13b5b9': '1 3 b5 b7 b9 13', b13b9: '1 3 5 b7 b9 b13', 'b13#9': '1 3 5 b7 #9 b13',
};

function expected({ key, suffix }) {
  const root = noteClass(key);
  const sets = [mask(chordClasses(key, suffix))];
  if (played[suffix]) sets.push(mask(degreesOf(played[suffix]).map((above) => modulo(root + above))));
  return { root, sets };
}

const isRight = ({ sets }, name) => sets.includes(name.tones);

function pitches(row) {
  return row.frets
    .map((fret, s) => (fret < 0 ? null : open[row.instrument][s] + fret))
    .filter((midi) => midi !== null)
    .sort((a, b) => a - b);
}

function ours(rows) {
  const input = rows.map((row) => `${row.instrument}\t${printedFrets(row)}\n`).join('');
  const lines = execFileSync(tool, { input, maxBuffer: 1 << 26 }).toString().split('\n').slice(0, -1);
  if (lines.length !== rows.length) throw new Error(`${lines.length} answers to ${rows.length} questions`);
  return lines.map((line) =>
    line
      .split('\t')
      .filter(Boolean)
      .map((name) => {
        const [, symbol, root, tones] = name.match(/^(.*) (\d+) (\d+)$/);
        return { symbol, root: Number(root), tones: Number(tones) };
      }),
  );
}

// The detector's names as root and tones; those of its names that it cannot read back say nothing.
function theirs(row) {
  return Chord.detect(pitches(row).map((midi) => sharps[midi % 12])).map((symbol) => {
    const [, chordOnly] = symbol.match(/^(.*?)(\/[A-G][b#]*)?$/);
    const chord = Chord.get(chordOnly);
    return { symbol, root: chord.tonic ? noteClass(chord.tonic) : -1, tones: mask(chord.notes.map(noteClass)) };
  });
}

// The detector is also right when it names the chord its own tables have for the printed symbol.
function theirExpected(row) {
  const wanted = expected(row);
  const own = Chord.get(row.key + (row.suffix === 'major' ? '' : row.suffix === 'minor' ? 'm' : row.suffix));
  if (!own.empty) wanted.sets.push(mask(own.notes.map(noteClass)));
  return wanted;
}

// The printed chord over a bass of its own: C/E is C, and Am7/C is C6 by its notes.
function rankOf(wanted, names) {
  return names.findIndex((name) => isRight(wanted, name)) + 1;
}

const percent = (part, whole) => `${((100 * part) / whole).toFixed(1)} %`;
const faults = [];
function check(holds, words) {
  if (!holds) faults.push(words);
}

// Why the printed chord is not our first name.
function reason(row, rank, names) {
  const sounding = new Set(pitches(row).map(modulo));
  const root = noteClass(row.key);
  const { sets } = expected(row);
  const missing = [...Array(12).keys()].filter((above) => {
    const pitchClass = modulo(root + above);
    return sets.every((set) => (set >> pitchClass) & 1) && !sounding.has(pitchClass);
  });
  const words = { 0: 'root', 2: '9th', 3: '3rd', 4: '3rd', 5: '4th or 11th', 6: 'flat 5th', 7: '5th', 8: 'sharp 5th', 9: '6th or 13th', 10: '7th', 11: '7th', 1: 'flat 9th' };
  if (missing.some((above) => above !== 7 && above !== 0))
    return `the printed chord's ${missing.map((above) => words[above]).join(' and ')} does not sound`;
  if (!sounding.has(root)) return 'the root does not sound';
  if (rank === 0) return 'not among our names';
  return modulo(pitches(row)[0]) === root ? 'a plainer name of the same notes comes first' : `the bass is not the root: ${names[0].symbol} comes first`;
}

// The collection prints one shape under several chords, more often the fewer its strings are. Whoever sees the shape alone
// and says one name, or five, is right for no more rows than these.
function bestPossible(rows, names) {
  const sameShape = new Map();
  for (const row of rows) sameShape.set(printedFrets(row), [...(sameShape.get(printedFrets(row)) ?? []), expected(row)]);
  let right = 0;
  for (let left of sameShape.values())
    for (let n = 0; n < names && left.length > 0; n++) {
      const covers = (set) => left.filter(({ sets }) => sets.includes(set)).length;
      const best = left.flatMap(({ sets }) => sets).reduce((a, b) => (covers(b) > covers(a) ? b : a));
      right += covers(best);
      left = left.filter(({ sets }) => !sets.includes(best));
    }
  return right;
}

// Four strings often leave the root of a five-note chord out, and then no notes alone can tell its name. Bounds: of every
// guitar shape, and of every shape with its root, 90 % first and 98 % among five; of every ukulele shape 92 % among five,
// which is what holds, for no more than 59.8 % can be first.
const bounds = { guitar: [0.9, 0.98], ukulele: [0, 0.92] };
const together = [];
function report(rows) {
  const found = ours(rows);
  const ranks = rows.map((row, i) => rankOf(expected(row), found[i]));
  const theirRanks = rows.map((row) => rankOf(theirExpected(row), theirs(row)));
  const rooted = rows.map((row) => pitches(row).map(modulo).includes(noteClass(row.key)));
  const share = (list, most, counts) => {
    const whole = rows.filter((row, i) => counts(i)).length;
    const right = list.filter((rank, i) => counts(i) && rank >= 1 && rank <= most).length;
    return { right, whole, words: `${right} (${percent(right, whole)})` };
  };
  console.log(rows[0].instrument);
  for (const [words, counts, [least, leastFive]] of [['shapes that sound the notes of their chord', () => true, bounds[rows[0].instrument]], ['of them with their root', (i) => rooted[i], [0.9, 0.98]]]) {
    const [first, five] = [1, 5].map((most) => share(ranks, most, counts));
    const [theirFirst, theirFive] = [1, 5].map((most) => share(theirRanks, most, counts));
    console.log(`  ${first.whole} ${words}`);
    console.log(`    gripline  first ${first.words}, among five ${five.words}`);
    console.log(`    tonal     first ${theirFirst.words}, among five ${theirFive.words}`);
    const all = first.whole === rows.length;
    together.push({ all, whole: first.whole, first: first.right, five: five.right });
    check(first.right >= least * first.whole, `${rows[0].instrument}, ${words}: the printed chord is first in fewer than ${percent(least, 1)}`);
    check(five.right >= leastFive * five.whole, `${rows[0].instrument}, ${words}: it is among the first five in fewer than ${percent(leastFive, 1)}`);
    if (all) {
      const [one, some] = [1, 5].map((most) => bestPossible(rows, most));
      console.log(`    at most   first ${one} (${percent(one, rows.length)}), among five ${some} (${percent(some, rows.length)})`);
    }
  }
  return rows.flatMap((row, i) =>
    ranks[i] === 1
      ? []
      : [[row.instrument, row.key + row.suffix, row.place, printedFrets(row), ranks[i] || '-', found[i][0]?.symbol ?? '-', reason(row, ranks[i], found[i])].join('\t')],
  );
}

const rows = books().map((book) => book.filter((row) => !soundsForeign(row)));
const log = console.log;
if (option === '--list') console.log = () => {};
const misses = rows.flatMap(report);
for (const [words, all] of [['all', true], ['with their root', false]]) {
  const sum = (part) => together.filter((figures) => figures.all === all).reduce((total, figures) => total + figures[part], 0);
  const [whole, first, five] = ['whole', 'first', 'five'].map(sum);
  console.log(`both, ${words}: ${whole}, first ${first} (${percent(first, whole)}), among five ${five} (${percent(five, whole)})`);
}
console.log = log;
if (option === '--list') {
  console.log(['instrument', 'chord', 'place', 'frets', 'rank', 'first', 'reason'].join('\t'));
  console.log(misses.join('\n'));
} else {
  const listed = readFileSync(new URL('data/name-misses.tsv', import.meta.url), 'utf8').trimEnd().split('\n').slice(1);
  console.log(`${misses.length} shapes of another first name`);
  check(misses.join('\n') === listed.join('\n'), 'the misses are not those of data/name-misses.tsv');
  faults.forEach((words) => console.error(`names: ${words}`));
  process.exitCode = faults.length ? 1 : 0;
}
