// Names a second, side by side in one run: gripline and a general-purpose detector (tonal 6.4.3, MIT) on the guitar grips of
// chords-db 0.5.1 (MIT); then every shape of six strings.
//
//   node bench/bench_names.mjs BENCH_NAMES
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { books, open, printedFrets } from '../tests/outside/chords_db.mjs';

const { Chord } = createRequire(new URL('../tests/outside/', import.meta.url))('tonal');
const [, , tool] = process.argv;
const sharps = ['C', 'C#', 'D', 'D#', 'E', 'F', 'F#', 'G', 'G#', 'A', 'A#', 'B'];
const rows = books()[0];

const folder = mkdtempSync(join(tmpdir(), 'names-'));
const list = join(folder, 'grips');
writeFileSync(list, rows.map((row) => `${printedFrets(row)}\n`).join(''));
const ours = execFileSync(tool, [list]).toString();
rmSync(folder, { recursive: true });

const notes = rows.map((row) =>
  row.frets
    .map((fret, s) => (fret < 0 ? null : open.guitar[s] + fret))
    .filter((midi) => midi !== null)
    .sort((a, b) => a - b)
    .map((midi) => sharps[midi % 12]),
);
for (const chord of notes) Chord.detect(chord); // warm
// Processor time of this process, as in the program: other work on the machine does not count.
const busy = (since) => process.cpuUsage(since).user / 1000 + process.cpuUsage(since).system / 1000;
const start = process.cpuUsage();
let done = 0;
while (busy(start) < 4000)
  for (const chord of notes) {
    Chord.detect(chord);
    done++;
  }
const theirRate = (1000 * done) / busy(start);
const ourRate = Number(ours.match(/(\d+) a second/)[1]);
console.log(`gripline  ${ours.trim()}`);
console.log(`tonal     ${rows.length} grips, ${theirRate.toFixed(0)} a second`);
console.log(`gripline names ${(ourRate / theirRate).toFixed(0)} times as many a second`);
console.log(`all shapes: ${execFileSync(tool).toString().trim()}`);
