// Every JSON document of gripline against its published schema (docs/schema/), by a general-purpose validator: ajv 8.17.1
// (MIT), JSON Schema 2020-12. So that the check can fail, every key that a schema requires is taken out of a document that
// has it, and the document must then be refused.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Ajv from 'ajv/dist/2020.js';

const gripline = process.argv[2];
const root = join(import.meta.dirname ?? '.', '../..');
const songs = ['ferry-at-low-tide', 'lanterns-on-the-canal', 'late-tram-blues'].map((name) => join(root, `examples/${name}.chart`));
const [bossa, waltz, blues] = songs;
const work = mkdtempSync(join(tmpdir(), 'gripline-'));
process.on('exit', () => rmSync(work, { recursive: true }));

function run(args, input = '') {
  const ran = spawnSync(gripline, args, { input, encoding: 'utf8', maxBuffer: 1 << 28, env: { ...process.env, XDG_DATA_HOME: work } });
  assert.ok(ran.status === 0 || ran.status === 1, `${args.join(' ')}: ${ran.stderr}`);
  return ran.stdout;
}

const calls = {
  arrange: [[bossa], [waltz, '--why', 'all'], [waltz, '--alternatives', '3'], [waltz, '--aim', 'easy', '--capo', '2'],
    [blues, '--texture', 'shell', '--vary'], ['-', '--from', 'text']],
  grips: [['C7'], ['Am', '--after', 'x32010'], ['F', '--between', 'x32010', '320003'], ['Dm7', '--tuning', 'ukulele'], ['C13', '--frets', '1-1']],
  name: [['x32010'], ['2x231x', '--after', 'Gm7', '--before', 'F'], ['--notes', 'C E A', '--key', 'C'], ['x32010 x02210 | xx0211 320003'],
    ['0123xx']],
  proof: [[bossa], ['-', '--hand', 'small']],
  moves: [[waltz], [blues, '--hand', 'large']],
  explain: [...songs.map((song) => [song]), ['-']],
  reduce: [[waltz, '--grips', '18'], [waltz, '--shapes', '18', '--as-written'], ['-', '--from', 'text', '--curve', 'grips'], [blues, '--chords', '4'],
    [bossa, '--level', 'beginner']],
  standins: [[waltz], [bossa, '--try', '6=A7'], ['--chord', 'G7', '--key', 'C']],
  frame: [[bossa], [blues, '--apply', 'ending=best']],
  transpose: [[bossa, '--to', 'Eb'], [blues, '--easiest'], [waltz, '--range', 'A3-D5', '--tune', 'C4-C5'], [waltz, '--range', 'A3-C4', '--tune', 'C3-C5']],
  plan: [[waltz, '--start', '2027-02-28'], [blues, '--start', '2027-02-28', '--days', '14', '--level', 'beginner', '--rest', 'sun']],
  progress: [[waltz], []],
};
const pasted = { arrange: 'C  Am\nsome words to sing\n', proof: '| C@x32013 | F@133222 | Am7@x02010 |\n', explain: '| N.C. | F#m7b5 C | Eb |\n', reduce: '| C | Am | F | G7 |\n' };

const folder = join(root, 'docs/schema');
const ajv = new Ajv({ strictTypes: false, allowUnionTypes: true });
const schemas = {};
for (const file of readdirSync(folder)) {
  const schema = JSON.parse(readFileSync(join(folder, file), 'utf8'));
  assert.equal(schema.$id, file);
  schemas[file.replace('.json', '')] = schema;
  ajv.addSchema(schema);
}

// Each command that has --json has a schema, and calls here.
const commands = [...run(['--help']).matchAll(/^  ([a-z]+) /gm)].map((match) => match[1]);
for (const command of commands) {
  const has = /--json\b/.test(run([command, '--help']));
  assert.equal(has, command in calls, `${command}: --json and the calls here differ`);
  assert.equal(has, command in schemas, `${command}: --json and the schemas differ`);
}

// The part of a schema behind a reference; its places that a document has, with the keys required there.
const resolve = (schema, own) => {
  if (!schema.$ref) return [schema, own];
  const [file, path] = schema.$ref.split('#');
  const home = file ? schemas[file.replace('.json', '')] : own;
  return resolve(path.split('/').slice(1).reduce((at, key) => at[key], home), home);
};
function* required(part, document, own) {
  const [schema, home] = resolve(part, own);
  for (const option of schema.anyOf ?? []) yield* required(option, document, home);
  if (Array.isArray(document)) {
    if (schema.items) for (const item of document) yield* required(schema.items, item, home);
  } else if (document !== null && typeof document === 'object') {
    for (const key of schema.required ?? []) if (schema.properties?.[key] && key in document) yield { holder: document, key, place: schema };
    for (const [key, inner] of Object.entries(schema.properties ?? {})) if (key in document) yield* required(inner, document[key], home);
  }
}

run(['log', waltz, '--item', '1', '--rating', 'good', '--minutes', '5']);
run(['log', waltz, '--item', '30', '--rating', 'hard', '--minutes', '5', '--strain', 'some']);
let documents = 0, refused = 0;
function check(name, text, call) {
  const validate = ajv.getSchema(`${name}.json`);
  const document = JSON.parse(text);
  assert.ok(validate(document), `${call}: ${ajv.errorsText(validate.errors)}`);
  documents++;
  // Once for each place of the schema.
  const tried = new Map();
  for (const { holder, key, place } of [...required(schemas[name], document, schemas[name])]) {
    const keys = tried.get(place) ?? tried.set(place, new Set()).get(place);
    if (keys.has(key)) continue;
    keys.add(key);
    const value = holder[key];
    delete holder[key];
    assert.ok(!validate(document), `${call}: valid without "${key}"`);
    holder[key] = value;
    refused++;
  }
  assert.ok(validate(document));
}
for (const [command, list] of Object.entries(calls))
  for (const args of list) {
    const text = run([command, ...args, '--json'], pasted[command]);
    if (command === 'grips' || command === 'name' || text !== '') check(command, text, `${command} ${args.join(' ')}`);
  }
check('record', (run(['progress', '--export', join(work, 'record.json')]), readFileSync(join(work, 'record.json'), 'utf8')), 'progress --export');

// Every key that docs/contracts.md promises is required, or one of a choice of required ones, and described.
const promised = readFileSync(join(root, 'docs/contracts.md'), 'utf8').split('## JSON')[1].split('## CSV')[0];
let keys = 0;
for (const [, command, words] of promised.matchAll(/^\| `([a-z]+)` \| (.*) \|$/gm)) {
  const all = new Map();
  const walk = (part, own) => {
    const [schema, home] = resolve(part, own);
    for (const [key, inner] of Object.entries(schema.properties ?? {})) {
      const entry = all.get(key) ?? all.set(key, { described: false }).get(key);
      entry.described ||= Boolean(inner.description ?? resolve(inner, home)[0].description) || 'const' in inner;
      walk(inner, home);
    }
    for (const option of schema.anyOf ?? []) walk(option, home);
    if (schema.items) walk(schema.items, home);
  };
  walk(schemas[command], schemas[command]);
  for (const [, key] of words.matchAll(/`([a-z_]+)/g)) {
    assert.ok(all.has(key), `${command}: the schema does not have "${key}"`);
    assert.ok(all.get(key).described, `${command}: the schema does not describe "${key}"`);
    keys++;
  }
}
console.log(`${documents} documents valid, ${refused} refused without a key, ${keys} promised keys described`);
assert.ok(documents >= 35 && refused >= 300 && keys >= 150);
