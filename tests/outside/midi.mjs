// The MIDI files of gripline, read by an independent reader: jzz 1.9.6 with jzz-midi-smf 1.9.9 (MIT).
// Facts of the format: Standard MIDI Files 1.0; program numbers and channel 10 for percussion: General MIDI level 1.
// That reader's own validation does not catch a stuck note, so notes are paired here.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import JZZ from 'jzz';
import SMF from 'jzz-midi-smf';
SMF(JZZ);

const cases = JSON.parse(execFileSync(process.argv[2], { maxBuffer: 1 << 26 }));
assert.ok(cases.length >= 40); // every feel that comes with gripline, and some through changes of meter
let noteCount = 0;

const metas = (track, type) => track.filter((event) => event.ff === type);
const ticks = ([num, den], division) => Math.floor((2 * num * division + den) / (2 * den));

for (const item of cases) {
  const raw = Buffer.from(item.bytes, 'hex').toString('latin1');
  const smf = new JZZ.MIDI.SMF(raw);
  const complaints = smf.validate();
  assert.deepEqual(complaints ?? [], [], `${item.feel}: ${complaints}`);
  assert.equal(smf.type, 1);
  assert.equal(smf.ppqn, item.division);
  assert.deepEqual([...smf].map((track) => metas(track, 3)[0].dd.length > 0), [...smf].map(() => true));

  const end = ticks(item.quarters, item.division);
  for (const track of smf) {
    const last = track[track.length - 1];
    assert.equal(last.ff, 0x2f, `${item.feel}: end of track`);
    assert.equal(last.tt, end);
  }

  const map = smf[0];
  const tempi = metas(map, 0x51);
  assert.equal(tempi.length, 1);
  assert.equal(tempi[0].dd, '\x07\xa1\x20'); // 120
  assert.deepEqual(metas(map, 0x58).map((event) => [event.tt, event.dd.charCodeAt(0), 2 ** event.dd.charCodeAt(1)]),
    item.meters.map((meter) => [ticks(meter.start, item.division), meter.beats, meter.unit]));
  assert.equal(metas(map, 0x59)[0].dd, '\x00\x01'); // A minor
  assert.equal(Buffer.from(metas(map, 3)[0].dd, 'latin1').toString('utf8'), 'Fähre bei Ebbe');

  // Merge the tracks as a player does: by time, at one time in the order of the tracks.
  const events = [];
  [...smf].forEach((track, index) => track.forEach((event, place) => {
    if (event[0] < 0xf0) events.push({ index, place, tick: event.tt, bytes: [...event] });
  }));
  events.sort((a, b) => a.tick - b.tick || a.index - b.index || a.place - b.place);
  const sounding = new Map();
  const programs = new Map();
  const found = [];
  for (const { tick, bytes: [status, key, velocity] } of events) {
    const channel = status & 15;
    const voice = channel === 9 ? 1000 + key : channel; // of percussion each key is an instrument
    if (status >> 4 === 0xc) programs.set(channel, key);
    else if (status >> 4 === 9 && velocity > 0) {
      if (channel !== 9) {
        assert.ok(!sounding.has(voice), `${item.feel}: two notes on channel ${channel + 1} at ${tick}`);
        assert.equal(programs.get(channel), 24); // acoustic guitar (nylon)
      }
      sounding.set(voice, { tick, key, velocity });
    } else {
      assert.equal(status >> 4, 8);
      const note = sounding.get(voice);
      assert.ok(note && note.key === key, `${item.feel}: a note ends that did not begin`);
      sounding.delete(voice);
      found.push([note.tick, channel, key, note.velocity, tick]);
    }
  }
  assert.equal(sounding.size, 0, `${item.feel}: a stuck note`);

  const order = (a, b) => a[0] - b[0] || a[1] - b[1] || a[2] - b[2];
  const wanted = item.notes.map((note) => [ticks(note.start, item.division), note.string < 0 ? 9 : 5 - note.string,
    note.midi, note.force, ticks([note.start[0] * note.length[1] + note.length[0] * note.start[1],
      note.start[1] * note.length[1]], item.division)]).sort(order);
  found.sort(order);
  assert.equal(found.length, wanted.length);
  found.forEach((note, i) => {
    assert.deepEqual(note.slice(0, 4), wanted[i].slice(0, 4));
    // A tick early where the other hand takes the string over.
    assert.ok(wanted[i][4] - note[4] === 0 || wanted[i][4] - note[4] === 1, `${item.feel}: ${note} against ${wanted[i]}`);
  });
  noteCount += found.length;
}
console.log(`${cases.length} files, ${noteCount} notes, all paired`);
