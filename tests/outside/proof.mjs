// Proof-reading against the sound shapes of chords-db 0.5.1 (MIT), guitar and ukulele.
//
//   node proof.mjs PROOF_ANSWERS             checks and reports
//   node proof.mjs PROOF_ANSWERS --misses    prints also every slip that was not found or not undone first
import { execFileSync } from 'node:child_process';

import { books, chordClasses, degreeClass, fault, formulas, label, modulo, noteClass, open, printedFrets } from './chords_db.mjs';

const [, , tool, option] = process.argv;

// The collection's suffixes in symbols that gripline reads, where they are not the same.
const symbols = {
  major: '', minor: 'm', '7sg': '7', alt: '(b5)', aug: '+', 69: '6/9', aug7: '7#5', aug9: '9#5', mmaj7b5: 'm(maj7,b5)',
  maj7b5: 'maj7(b5)', 'maj7#5': 'maj7(#5)', m69: 'm6/9', mmaj7: 'm(maj7)', mmaj9: 'm(maj9)', mmaj11: 'm(maj11)',
  '13b5b9': '13(b5,b9)', '13b9': '13(b9)', b13b9: '7(b9,b13)', 'b13#9': '7(#9,b13)', '7b9#5': '7(#5,b9)', '9b5': '9(b5)',
  m9b5: 'm9(b5)', '7b5': '7(b5)', '7b9': '7(b9)', '7#9': '7(#9)', '9#11': '9(#11)',
};
const symbolOf = ({ key, suffix }) => key + (symbols[suffix] ?? suffix);

function ask(questions) {
  const input = questions.map(({ row, frets }) => [row.instrument, symbolOf(row), printedFrets({ frets })].join('\t'));
  const lines = execFileSync(tool, { input: `${input.join('\n')}\n`, maxBuffer: 1 << 28 }).toString().trimEnd().split('\n');
  if (lines.length !== questions.length) throw new Error(`${lines.length} answers to ${questions.length} questions`);
  return lines.map((line) => {
    const [problem, wrong, ...suggestions] = line.split('\t');
    return { problem, wrong, suggestions };
  });
}

// ---- what is a fault, by the collection's own formulas ---------------------------------------------------------------

const scaleMm = { guitar: 650, ukulele: 345 };
const wireMm = (instrument, fret) => scaleMm[instrument] * (1 - 2 ** (-fret / 12));
const mostFrets = 24;
// No pair of fingertips goes so far apart: the widest reach of an adult player, index to little finger, is 110 mm in a
// voicing-prediction study with ergonomic context (ISMIR 2025).
const impossibleMm = 160;

// Degrees without which it is another chord: 3rd, 6th, 7th, alterations, the tension the chord is named by, a triad's root.
// The 3rd of an 11 chord, the 11 of a 13 chord, lower natural tensions and natural fifths may go. Common practice, no
// published source.
function mustDegrees(suffix) {
  const slash = suffix.match(/^(m?)\//);
  const degrees = formulas[slash ? (slash[1] ? 'minor' : 'major') : suffix].split(' ');
  const numbers = degrees.map((degree) => Number(degree.replace(/[b#]/g, '')));
  const top = Math.max(...numbers);
  const triad = !numbers.includes(7) && !numbers.includes(6);
  return degrees.filter((degree, i) => {
    if (numbers[i] === 1) return triad;
    if (degree === '3' && numbers.includes(11)) return false;
    if (numbers[i] === 5 && degree === '5') return false;
    return numbers[i] <= 8 || numbers[i] === top || /[b#]/.test(degree);
  });
}

const sounding = (instrument, frets) => frets.flatMap((fret, s) => (fret < 0 ? [] : [open[instrument][s] + fret]));

function isFault(row, frets) {
  const notes = sounding(row.instrument, frets);
  const classes = new Set(notes.map(modulo));
  const members = chordClasses(row.key, row.suffix);
  if (notes.some((note) => !members.has(modulo(note)))) return true;
  const had = new Set(sounding(row.instrument, row.frets).map(modulo));
  const must = mustDegrees(row.suffix).map((degree) => modulo(noteClass(row.key) + degreeClass(degree)));
  if (must.some((note) => had.has(note) && !classes.has(note))) return true;
  const bass = row.suffix.split('/')[1];
  if (bass && row.instrument === 'guitar' && row.suffix !== '6/9' && modulo(Math.min(...notes)) !== noteClass(bass)) return true;
  const stopped = frets.filter((fret) => fret > 0).map((fret) => wireMm(row.instrument, fret));
  return stopped.length > 1 && Math.max(...stopped) - Math.min(...stopped) > impossibleMm;
}

// ---- slips ------------------------------------------------------------------------------------------------------------

// Mulberry32, a public-domain generator: the same plants on every run.
function random(seed) {
  let state = seed;
  return (below) => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) % below;
  };
}
const pick = (list, draw) => (list.length ? list[draw(list.length)] : null);
const places = (frets, test) => frets.flatMap((fret, s) => (test(fret, s) ? [s] : []));
const put = (frets, s, fret) => frets.map((old, at) => (at === s ? fret : old));
const exchange = (frets, a, b) => frets.map((old, at) => (at === a ? frets[b] : at === b ? frets[a] : old));

// One slip of each kind; null when this shape does not lend itself to it.
const slips = {
  'one fret off': (row, draw) => {
    const s = pick(places(row.frets, (fret) => fret >= 0), draw);
    return put(row.frets, s, row.frets[s] === 0 || draw(2) ? row.frets[s] + 1 : row.frets[s] - 1);
  },
  'two frets swapped': (row, draw) => {
    const s = pick(places(row.frets, (fret, at) => fret >= 0 && row.frets[at + 1] >= 0 && fret !== row.frets[at + 1]), draw);
    return s === null ? null : exchange(row.frets, s, s + 1);
  },
  'one note one string over': (row, draw) => {
    const s = pick(places(row.frets, (fret, at) => at + 1 < row.frets.length && fret < 0 !== row.frets[at + 1] < 0), draw);
    return s === null ? null : exchange(row.frets, s, s + 1);
  },
  'the shape one string over': (row) => {
    if (row.frets[0] < 0) return [...row.frets.slice(1), -1];
    return row.frets.at(-1) < 0 ? [-1, ...row.frets.slice(0, -1)] : null;
  },
  'wrong position': (row, draw) => {
    const shift = (1 + draw(5)) * (draw(2) ? 1 : -1);
    const stopped = row.frets.filter((fret) => fret > 0);
    if (stopped.length < 2 || Math.min(...stopped) + shift < 1 || Math.max(...stopped) + shift > mostFrets) return null;
    return row.frets.map((fret) => (fret > 0 ? fret + shift : fret));
  },
  'foreign note': (row, draw) => {
    const s = pick(places(row.frets, (fret) => fret >= 0), draw);
    const fret = draw(Math.max(...row.frets) + 4);
    return Math.abs(fret - row.frets[s]) < 2 ? null : put(row.frets, s, fret);
  },
  'missing note': (row, draw) => put(row.frets, pick(places(row.frets, (fret) => fret >= 0), draw), -1),
  'wrong bass': (row, draw) => {
    if (!row.suffix.includes('/')) return null;
    const s = places(row.frets, (fret) => fret >= 0)[0];
    return put(row.frets, s, draw(2) ? -1 : draw(Math.max(...row.frets) + 4));
  },
  unplayable: (row, draw) => {
    const s = pick(places(row.frets, (fret) => fret > 0), draw);
    const fret = s === null ? 0 : row.frets[s] + [10, 12, -10, -12][draw(4)];
    return fret < 1 || fret > mostFrets ? null : put(row.frets, s, fret);
  },
  'strings from the wrong side': (row) => [...row.frets].reverse(),
};

// So many real faults of the kind; what turned out another right grip of the chord is counted and left out.
function plant(slip, rows, count, seed) {
  const draw = random(seed);
  const planted = [];
  let right = 0;
  for (let tries = 0; planted.length < count && tries < 200 * count; tries++) {
    const row = rows[draw(rows.length)];
    const frets = slip(row, draw);
    if (!frets || frets.every((fret) => fret < 0) || frets.join() === row.frets.join()) continue;
    if (isFault(row, frets)) planted.push({ row, frets });
    else right++;
  }
  return { planted, right };
}

// ---- the checks ---------------------------------------------------------------------------------------------------------

const percent = (part, whole) => `${((100 * part) / whole).toFixed(1)} %`.padStart(7);
const faults = [];

function check(holds, words) {
  if (!holds) faults.push(words);
}

// Sound by its notes and fingers, and yet not its chord: C9 without its B♭.
const shownUp = ['guitar\tC9\t0\t0-3-2-0-3-0\t023040'];

function checkAlarms(rows) {
  const answers = ask(rows.map((row) => ({ row, frets: row.frets })));
  const alarms = rows.flatMap((row, i) => (answers[i].problem === 'ok' ? [] : [label(row).join('\t')]));
  console.log(`${rows.length} sound shapes read, ${alarms.length} called a fault: ${alarms.join(', ')}`);
  check(alarms.join() === shownUp.join(), 'false alarms, or the one true find is lost');
}

function reportSlips(instrument, half, rows, count) {
  let all = 0, allFound = 0, allFirst = 0, allAmong = 0;
  console.log(`${instrument}, ${half} half: slips planted, found, undone first, among the first three; another right grip`);
  Object.entries(slips).forEach(([kind, slip], n) => {
    const { planted, right } = plant(slip, rows, count, 1000 + n);
    if (planted.length === 0) return;
    const answers = ask(planted);
    const original = ({ row }) => printedFrets(row);
    const shown = (text) => text.replaceAll('-', '');
    const place = answers.map(({ suggestions }, i) => suggestions.findIndex((text) => shown(text) === shown(original(planted[i]))));
    const found = answers.filter(({ problem }) => problem !== 'ok').length;
    const first = place.filter((at) => at === 0).length;
    const among = place.filter((at) => at >= 0 && at < 3).length;
    console.log(
      `  ${kind.padEnd(28)} ${String(planted.length).padStart(5)} ${percent(found, planted.length)} ` +
        `${percent(first, planted.length)} ${percent(among, planted.length)}   ${right}`,
    );
    if (option === '--misses')
      planted.forEach(({ row, frets }, i) => {
        if (place[i] === 0 && answers[i].problem !== 'ok') return;
        const { problem, wrong, suggestions } = answers[i];
        console.log([kind, symbolOf(row), printedFrets({ frets }), `was ${printedFrets(row)}`, problem, wrong, suggestions.slice(0, 3).join(' ')].join('\t'));
      });
    check(found >= 0.99 * planted.length, `${instrument}, ${half} half: ${kind}: fewer than 99 % found`);
    check(first >= 0.9 * planted.length, `${instrument}, ${half} half: ${kind}: the original suggested first in fewer than 90 %`);
    all += planted.length;
    allFound += found;
    allFirst += first;
    allAmong += among;
  });
  console.log(`  ${'all'.padEnd(28)} ${String(all).padStart(5)} ${percent(allFound, all)} ${percent(allFirst, all)} ${percent(allAmong, all)}`);
  check(allFirst >= 0.95 * all, `${instrument}, ${half} half: the original suggested first in fewer than 95 %`);
}

const rows = books().flat().filter((row) => !fault(row));
checkAlarms(rows);
const sound = rows.filter((row) => !shownUp.includes(label(row).join('\t')));
for (const instrument of ['guitar', 'ukulele'])
  for (const [half, parity] of [['tuned', 0], ['judged', 1]]) {
    const book = sound.filter((row) => row.instrument === instrument && row.index % 2 === parity);
    reportSlips(instrument, half, book, 1000);
  }
faults.forEach((words) => console.error(`proof: ${words}`));
process.exitCode = faults.length ? 1 : 0;
