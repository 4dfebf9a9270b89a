// What gripline writes as MusicXML: valid against the schema of MusicXML 4.0 (xmllint), and read by an independent,
// general-purpose reader, musicxml-io 0.9.6 (MIT): the same measures, harmonies, frames and notes as it is asked for here.
// Facts: MusicXML 4.0, W3C Music Notation Community Group; data/musicxml/musicxml.xsd.
import assert from 'node:assert/strict';
import { webcrypto } from 'node:crypto';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'musicxml-io';

// Node 18 has it, but not by this name.
globalThis.crypto ??= webcrypto;

const gripline = process.argv[2];
const folder = mkdtempSync(join(tmpdir(), 'gripline-'));
const examples = readdirSync('../../examples').filter((name) => name.endsWith('.chart')).map((name) => join('../../examples', name));
const own = [
  ['repeats', 'form: A B A\n[A]\n|: C | F / G7 / |1 Am :|2 C |\n[B]\n| Dm7 | % | N.C. | G13b9 |\n'],
  ['pickup', 'meter: 3/4\nkey: Em\n| / / B7 |: Em | Am / / |1 B7 :|2 Em || 4/4: Am6 | Em |\n'],
  ['capo', 'title: <&>"\ncapo: 3\ntuning: D A D G B E\n| D | G/B | A7sus4 / A7 / | D |\n'],
  ['seven', 'strings: 7\n| Cm7b5 | F7alt | Bbm(maj7) | Gbmaj7#11 |\n'],
  ['tune', '| C^G4 / Am^E4 / | F^F4 | 5/8: Dm7 | 6/8: G7 C |\n'],
];
const charts = [...examples];
for (const [name, text] of own) {
  const path = join(folder, `${name}.chart`);
  writeFileSync(path, text);
  charts.push(path);
}

// Elements of a name, whatever they hold. The reader keeps what it does not model, so counts go over its tree.
const count = (text, element) => (text.match(new RegExp(`<${element}[ >/]`, 'g')) ?? []).length;

let files = 0;
for (const chart of charts) {
  const arranged = JSON.parse(execFileSync(gripline, ['arrange', '--json', chart], { maxBuffer: 1 << 26, stdio: ['ignore', 'pipe', 'ignore'] }));
  for (const score of ['lead-sheet', 'performance']) {
    const path = join(folder, 'score.musicxml');
    execFileSync(gripline, ['convert', '--score', score, chart, path]);
    execFileSync('xmllint', ['--nonet', '--noout', '--schema', 'data/musicxml/musicxml.xsd', path], { stdio: ['ignore', 'ignore', 'pipe'] });
    const text = readFileSync(path, 'utf8');
    const read = parse(text);
    assert.equal(read.parts.length, 1);
    const measures = read.parts[0].measures;
    const entries = measures.flatMap((measure) => measure.entries);
    const harmonies = entries.filter((entry) => entry.type === 'harmony');
    const notes = entries.filter((entry) => entry.type === 'note');
    assert.equal(measures.length, count(text, 'measure'));
    assert.equal(harmonies.length, count(text, 'harmony'));
    assert.equal(harmonies.filter((harmony) => harmony.frame).length, count(text, 'frame'));
    assert.equal(notes.length, count(text, 'note'));
    if (score === 'performance') {
      // Every played chord has its harmony, every one that sounds its diagram, with the strings that the line stops.
      const held = arranged.slots;
      const bars = new Set(held.map((slot) => slot.bar)).size;
      assert.equal(measures.length, bars);
      assert.ok(harmonies.length <= held.length);
      const frames = harmonies.filter((harmony) => harmony.frame).map((harmony) => harmony.frame);
      const grips = held.filter((slot) => slot.frets !== null);
      if (harmonies.length === held.length) {
        assert.equal(frames.length, grips.length);
        frames.forEach((frame, i) => {
          const signs = grips[i].frets.includes('-') ? grips[i].frets.split('-') : [...grips[i].frets];
          const strings = signs.map((sign, s) => [signs.length - s, sign]).filter(([, sign]) => sign !== 'x');
          assert.deepEqual((frame.frameNotes ?? frame.notes).map((note) => [Number(note.string), String(note.fret)]), strings);
        });
      }
    }
    // Read back: the same slots on the same grips.
    const again = JSON.parse(execFileSync(gripline, ['arrange', '--json', path], { maxBuffer: 1 << 26, stdio: ['ignore', 'pipe', 'ignore'] }));
    const music = (document) => document.slots.map((slot) => [slot.bar, slot.beat, slot.beats, slot.chord === 'N.C.' ? 0 : slot.frets, slot.fingers]);
    assert.deepEqual(music(again), music(arranged), `${chart} as ${score}`);
    files++;
  }
}
rmSync(folder, { recursive: true });
console.log(`${files} scores of ${charts.length} charts: valid, read by both, the same music`);
