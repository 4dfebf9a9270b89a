// Roman numerals against tonal 6.4.3 (general-purpose music theory, MIT), in 24 keys: every diatonic triad and seventh
// chord of the major, natural minor and harmonic minor scale, and every applied dominant, leading-note diminished and
// related ii. Each numeral must read as tonal's notes, and the chord must be read back as the same numeral, but for the
// rows that are decided by hand below; a row that is no longer needed is a fault.
//
//   node roman.mjs ROMAN_ANSWERS
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const { Chord, Key, Note } = require('tonal');

const MAJOR = 'C G D A E B F# Db Ab Eb Bb F'.split(' ');
const MINOR = 'A E B F# C# G# D# Bb F C G D'.split(' ');
MAJOR[6] = 'F#';
MAJOR[7] = 'Db';
MAJOR[8] = 'Ab';
MAJOR[9] = 'Eb';
MAJOR[10] = 'Bb';
MAJOR[11] = 'F';

// Where tonal errs, by numeral: the chord that is right, and why.
const NOTES_DECIDED = new Map([
  ['ii7/IV', ['m7', 'tonal gives the half-diminished chord before a major goal and the minor one before a minor goal']],
  ['ii7/V', ['m7', 'the same']],
]);
// Chords that have another numeral when nothing else is heard, by numeral.
const BACK_DECIDED = new Map([
  ['V7/IV', ['I7', 'the home chord with a seventh, alone in its key, is the blues I7']],
  ['V7/♭III', ['♭VII7', 'of the natural minor scale, where it leads to ♭III']],
  ['V7/♭VII', ['IV7', 'of the dorian and melodic minor scale']],
  ['vii°7/♭III', ['ii°7', 'the ii of the minor key, its seventh lowered']],
]);

const rows = []; // [key, numeral, notes that tonal gives, read back as (null: not asked)]
const ask = (key, numeral, chord, back = numeral) => rows.push([key, numeral, Chord.get(chord).notes, back]);

for (const tonic of MAJOR) {
  const key = Key.majorKey(tonic);
  'I ii iii IV V vi vii°'.split(' ').forEach((n, i) => ask(tonic, n, key.triads[i]));
  'Imaj7 ii7 iii7 IVmaj7 V7 vi7 viiø7'.split(' ').forEach((n, i) => ask(tonic, n, key.chords[i]));
  ['', 'ii', 'iii', 'IV', 'V', 'vi'].forEach((goal, i) => {
    if (goal === '') return;
    ask(tonic, `V7/${goal}`, key.secondaryDominants[i]);
    ask(tonic, `vii°7/${goal}`, Note.transpose(key.scale[i], '7M') + 'dim7');
    ask(tonic, `ii7/${goal}`, key.secondaryDominantSupertonics[i], null);
  });
}
for (const tonic of MINOR) {
  const key = Key.minorKey(tonic);
  'i ii° ♭III iv v ♭VI ♭VII'.split(' ').forEach((n, i) => ask(`${tonic}m`, n, key.natural.triads[i]));
  'i7 iiø7 ♭IIImaj7 iv7 v7 ♭VImaj7 ♭VII7'.split(' ').forEach((n, i) => ask(`${tonic}m`, n, key.natural.chords[i]));
  ask(`${tonic}m`, 'i(maj7)', key.harmonic.chords[0]);
  ask(`${tonic}m`, 'V', key.harmonic.triads[4]);
  ask(`${tonic}m`, 'V7', key.harmonic.chords[4]);
  ask(`${tonic}m`, 'vii°', key.harmonic.triads[6]);
  ask(`${tonic}m`, 'vii°7', key.harmonic.chords[6]);
  [['♭III', 2], ['iv', 3], ['v', 4], ['♭VI', 5], ['♭VII', 6]].forEach(([goal, i]) => {
    ask(`${tonic}m`, `V7/${goal}`, Note.transpose(key.natural.scale[i], '5P') + '7');
    ask(`${tonic}m`, `vii°7/${goal}`, Note.transpose(key.natural.scale[i], '7M') + 'dim7');
    ask(`${tonic}m`, `ii7/${goal}`, Note.transpose(key.natural.scale[i], '2M') + 'm7', null);
  });
}

const run = spawnSync(process.argv[2], {
  input: rows.map(([key, numeral]) => `${key}\t${numeral}\n`).join(''),
  encoding: 'utf8',
});
if (run.status !== 0) throw new Error(`${process.argv[2]}: ${run.error ?? run.stderr}`);
const answers = run.stdout.trimEnd().split('\n').map((line) => line.split('\t'));
if (answers.length !== rows.length) throw new Error(`${answers.length} answers to ${rows.length} questions`);

const plain = (note) => note.replace('x', '##');
const sameNotes = (a, b) => a.map(plain).sort().join(' ') === b.map(plain).sort().join(' ');
const used = new Set();
let faults = 0;
const fault = (text) => {
  faults += 1;
  console.log(text);
};

rows.forEach(([key, numeral, tonalNotes, back], i) => {
  const [, , symbol, noteText, readBack] = answers[i];
  const notes = noteText.split(' ');
  if (!sameNotes(notes, tonalNotes)) {
    const decided = NOTES_DECIDED.get(numeral);
    if (decided && symbol.endsWith(decided[0])) used.add(numeral);
    else fault(`${key} ${numeral}: ${symbol} = ${noteText}, tonal ${tonalNotes.join(' ')}`);
  }
  if (back === null || readBack === back) return;
  const decided = BACK_DECIDED.get(numeral);
  if (decided && decided[0] === readBack) used.add(`back ${numeral}`);
  else fault(`${key} ${numeral}: ${symbol} is read back as ${readBack}`);
});
for (const numeral of NOTES_DECIDED.keys()) if (!used.has(numeral)) fault(`decided, and not needed: ${numeral}`);
for (const numeral of BACK_DECIDED.keys()) if (!used.has(`back ${numeral}`)) fault(`decided, and not needed: back ${numeral}`);
console.log(`${rows.length} numerals in ${MAJOR.length + MINOR.length} keys, ${used.size} decided by hand, ${faults} faults`);
process.exit(faults === 0 ? 0 : 1);
