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
import { books, fault, label, printedFrets } from './chords_db.mjs';

const [, , tool, option] = process.argv;

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

const rows = books();
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
