// gripline's spelling of chord symbols against three general-purpose libraries: tonal 6.4.3, chord-symbol 4.0.0 and
// teoria 2.5.0. They are witnesses, not judges. Where two of them agree on the notes, gripline must give those; every
// other case is decided by hand in spelling-decided.tsv, with the reason, and must stay needed.
//
//   node spelling.mjs CHORD_DUMP [--list]     --list prints the rows that still want a decision
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const { Chord } = require('tonal');
const teoria = require('teoria');
const { chordParserFactory } = require('chord-symbol/lib/chord-symbol.js'); // the build that every Node reads
const readWithChordSymbol = chordParserFactory();

const ROOTS = 'C C# Db D D# Eb E F F# Gb G G# Ab A Bb B Cb'.split(' ');
const SUFFIXES = [
  ' m - min mi dim o ° + aug 5 sus4 sus2 sus add9 madd9 2',
  '6 m6 69 6/9 m69 maj6 6add9 -6',
  '7 maj7 M7 Maj7 ma7 m7 min7 -7 mi7 dim7 o7 °7 m7b5 -7b5 ø ø7 7b5 7#5 +7 aug7 maj7#5 M7#5 maj7b5',
  'mMaj7 mM7 mmaj7 -maj7 7sus4 7sus maj7sus4',
  '9 maj9 M9 m9 min9 -9 9sus4 9sus 9#5 9b5 mM9 mMaj9 m9b5',
  '11 m11 -11 maj11 13 maj13 m13 13sus4 13sus',
  '7b9 7#9 7#11 7b13 7b9b13 7b5b9 7b5#9 7#5b9 7#5#9 7b9#11 7#9b13 7b9#9 7alt',
  '9#11 9b13 13b9 13#9 13#11 maj7#11 maj9#11 maj13#11 m7b9 m7#5 7b9sus4',
  'add4 add11 add2 7no3 7add11 7add13 m7add11 (b5) (#5) (add9) 7(b9) 7(#9) 7(b9,13) 7(b9,b13) 7(#11) maj7(#11) m(maj7)',
  'm(add9) m7(b5) 7(#5,#9) 9(#11) 13(b9) 7(13) 7(9) 6(9) Δ Δ7 mb6 b6 m#5 sus24',
].join(' ').split(' ');

// ---- notes by letter, independent of gripline ----
const LETTERS = 'CDEFGAB';
const NATURAL = [0, 2, 4, 5, 7, 9, 11];
const signs = (n) => (n < 0 ? 'b'.repeat(-n) : '#'.repeat(n));
const accidental = (text) => [...text].reduce((sum, c) => sum + (c === 'b' ? -1 : 1), 0);
function above(root, degree) {
  const [, alteration, number] = /^([b#]*)(\d+)$/.exec(degree);
  const steps = LETTERS.indexOf(root[0]) + Number(number) - 1;
  const letter = steps % 7;
  const wanted =
    NATURAL[LETTERS.indexOf(root[0])] + accidental(root.slice(1)) + NATURAL[(number - 1) % 7] +
    accidental(alteration) + 12 * Math.floor((number - 1) / 7);
  return LETTERS[letter] + signs(wanted - NATURAL[letter] - 12 * Math.floor(steps / 7));
}
const plain = (note) => note.replace('x', '##');
const setOf = (notes) => [...new Set(notes.map(plain))].sort().join(' ');

// ---- the witnesses: a set of notes, or null where they cannot read the symbol ----
const witnesses = {
  tonal(symbol) {
    const chord = Chord.get(symbol);
    return chord.empty ? null : setOf(chord.notes);
  },
  'chord-symbol'(symbol, root) {
    const chord = readWithChordSymbol(symbol); // its intervals are sound, its note names are not
    return chord.error ? null : setOf(chord.normalized.intervals.map((degree) => above(root, degree)));
  },
  teoria(symbol) {
    try {
      const notes = teoria.chord(symbol).notes();
      return setOf(notes.map((n) => n.name().toUpperCase() + n.accidental()));
    } catch {
      return null;
    }
  },
};

function gripline(tool, symbols) {
  const run = spawnSync(tool, { input: symbols.join('\n') + '\n', encoding: 'utf8', maxBuffer: 1 << 26 });
  if (run.status !== 0) throw new Error(`${tool}: ${run.error ?? run.stderr}`);
  return new Map(run.stdout.trimEnd().split('\n').map((line) => {
    const [symbol, notes, degrees] = line.split('\t');
    return [symbol, { notes: notes.split(' '), degrees: degrees.split(' ') }];
  }));
}

function decided() {
  const rows = readFileSync(new URL('spelling-decided.tsv', import.meta.url), 'utf8').trimEnd().split('\n').slice(1);
  return new Map(rows.map((row) => {
    const [symbol, notes, reason] = row.split('\t');
    if (!reason) throw new Error(`spelling-decided.tsv: no reason for ${symbol}`);
    return [symbol, { notes, used: false }];
  }));
}

// ---- the comparison ----
const tool = process.argv[2];
const list = process.argv.includes('--list');
const decisions = decided();
const cases = ROOTS.flatMap((root) => SUFFIXES.map((suffix) => ({ root, suffix, symbol: root + suffix })))
  .filter(({ suffix }) => !/^[b#]/.test(suffix)); // an accidental there belongs to the root
const ours = gripline(tool, cases.map((c) => c.symbol));
const faults = [];
const undecided = new Map();
let agreed = 0;
let byHand = 0;
for (const { root, suffix, symbol } of cases) {
  const mine = ours.get(symbol);
  if (!mine || mine.notes[0] === '!') {
    faults.push(`${symbol}: gripline cannot read it`);
    continue;
  }
  if (mine.notes.join(' ') !== mine.degrees.map((degree) => above(root, degree)).join(' '))
    faults.push(`${symbol}: ${mine.notes.join(' ')} is not ${mine.degrees.join(' ')} by letter`);
  const said = Object.entries(witnesses).map(([name, ask]) => [name, ask(symbol, root)]);
  const votes = new Map();
  for (const [, notes] of said) if (notes) votes.set(notes, (votes.get(notes) ?? 0) + 1);
  const majority = [...votes].find(([, count]) => count >= 2)?.[0];
  if (majority === setOf(mine.notes)) {
    agreed++;
    continue;
  }
  const decision = decisions.get('C' + suffix);
  if (decision) {
    decision.used = true;
    byHand++;
    const onC = ours.get('C' + suffix);
    if (onC.notes.join(' ') !== decision.notes || onC.degrees.join(' ') !== mine.degrees.join(' '))
      faults.push(`${symbol}: ${mine.notes.join(' ')}, but decided on C: ${decision.notes}`);
    continue;
  }
  if (root === 'C') undecided.set(symbol, mine.notes.join(' '));
  faults.push(`${symbol}: gripline ${mine.notes.join(' ')}; ` + said.map(([n, notes]) => `${n} ${notes ?? '-'}`).join('; '));
}
for (const [symbol, { used }] of decisions)
  if (!used) faults.push(`spelling-decided.tsv: ${symbol} needs no decision, two witnesses agree with gripline`);
if (agreed < 300) faults.push(`only ${agreed} symbols have two witnesses that agree; 300 are asked for`);
if (list) for (const [symbol, notes] of undecided) console.log(`${symbol}\t${notes}\t`);
for (const fault of faults.slice(0, 60)) console.error(fault);
console.log(`${cases.length} symbols: ${agreed} as at least two of three libraries spell them, ${byHand} decided by hand, ${faults.length} faults`);
process.exit(faults.length ? 1 : 0);
