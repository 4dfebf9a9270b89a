// Chord symbols read and spelled a second, gripline beside a general-purpose npm theory library (tonal 6.4.3, MIT) on
// the same symbols in one run. bench_symbols.mjs PROGRAM: PROGRAM is build/bench/bench_symbols. Exit status 1 when
// gripline is less than 20 times as fast.
import { createRequire } from 'node:module';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const require = createRequire(new URL('../tests/outside/package.json', import.meta.url));
const { Chord } = require('tonal');
const roots = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'];
const suffixes = ['', 'm', '7', 'm7', 'maj7', 'm7b5', 'dim7', '6', 'm6', '9', 'm9', 'maj9', '13', '7b9', '7#9', '7#11',
  'sus4', '7sus4', 'aug', 'm11'];
const symbols = roots.flatMap((root) => suffixes.map((suffix) => root + suffix));
const refused = symbols.filter((symbol) => Chord.get(symbol).notes.length === 0);
if (refused.length > 0) throw new Error(`the witness does not read ${refused.join(' ')}`);

const folder = mkdtempSync(join(tmpdir(), 'gripline-bench-'));
const file = join(folder, 'symbols.txt');
writeFileSync(file, symbols.join('\n') + '\n');
const rounds = 40;
const theirs = () => {
  const start = process.hrtime.bigint();
  let letters = 0;
  for (let round = 0; round < rounds; round++)
    for (const symbol of symbols) for (const note of Chord.get(symbol).notes) letters += note.length;
  const seconds = Number(process.hrtime.bigint() - start) / 1e9;
  return letters > 0 ? (rounds * symbols.length) / seconds : 0;
};
const ours = () => Number(execFileSync(process.argv[2], [file, String(rounds * 20)], { encoding: 'utf8' }).split(' ')[0]);
// In turns, and the best of each: what else the machine does then slows neither more than the other.
const turns = Array.from({ length: 15 }, () => [ours(), theirs()]);
const [ourBest, theirBest] = [0, 1].map((who) => Math.max(...turns.map((turn) => turn[who])));
rmSync(folder, { recursive: true });
console.log(`symbols read and spelled a second: gripline ${Math.round(ourBest)}, witness ${Math.round(theirBest)}, ` +
  `ratio ${(ourBest / theirBest).toFixed(1)}`);
process.exit(ourBest / theirBest >= 20 ? 0 : 1);
