// What an editor makes of the corpus: the public YAML language server over stdio (Language Server Protocol 3.17), as an
// editor starts it, without a network. Completion, hover and diagnostics come from the schemas that modelines name.
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';

const require = createRequire(import.meta.url);
const { createMessageConnection, StreamMessageReader, StreamMessageWriter } = require('vscode-jsonrpc/node');

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const pump = path.join(root, 'reference/families/croft/looms/pump.yaml');
const settings = {
  yaml: { validate: true, hover: true, completion: true, schemaStore: { enable: false }, format: { enable: false } },
  http: { proxy: 'http://127.0.0.1:1', proxyStrictSSL: true },  // nobody is there
};

let server;
let connection;
let version = 0;
const waiting = new Map();  // uri -> who waits for its diagnostics
const opened = new Set();

// Puts `text` before the server as what the editor holds of `file`; gives the diagnostics.
function show(file, text) {
  const uri = pathToFileURL(file).href;
  const answer = new Promise((resolve) => waiting.set(uri, resolve));
  version += 1;
  if (opened.has(uri)) {
    connection.sendNotification('textDocument/didChange', { textDocument: { uri, version }, contentChanges: [{ text }] });
  } else {
    opened.add(uri);
    connection.sendNotification('textDocument/didOpen', { textDocument: { uri, languageId: 'yaml', version, text } });
  }
  return answer;
}

// The place of the first `needle` in `text`, `skip` characters on.
function place(text, needle, skip = 0) {
  const at = text.indexOf(needle) + skip;
  assert.ok(at >= skip, `no ${needle}`);
  const before = text.slice(0, at).split('\n');
  return { line: before.length - 1, character: before.at(-1).length };
}

const at = (file, position) => ({ textDocument: { uri: pathToFileURL(file).href }, position });
const schemaOf = (name) => JSON.parse(fs.readFileSync(path.join(root, 'schema', `${name}.schema.json`), 'utf8'));

function corpusFiles(folder) {
  return fs.readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const whole = path.join(folder, entry.name);
    return entry.isDirectory() ? corpusFiles(whole) : entry.name.endsWith('.yaml') ? [whole] : [];
  });
}

before(async () => {
  const program = require.resolve('yaml-language-server/bin/yaml-language-server');
  server = spawn(process.execPath, [program, '--stdio'], { stdio: ['pipe', 'pipe', 'inherit'] });
  connection = createMessageConnection(new StreamMessageReader(server.stdout), new StreamMessageWriter(server.stdin));
  connection.onRequest('workspace/configuration', ({ items }) => items.map(({ section }) => settings[section] ?? {}));
  connection.onRequest('client/registerCapability', () => null);
  connection.onNotification('textDocument/publishDiagnostics', ({ uri, diagnostics }) => {
    waiting.get(uri)?.(diagnostics);
    waiting.delete(uri);
  });
  connection.listen();
  await connection.sendRequest('initialize', {
    processId: process.pid,
    rootUri: pathToFileURL(root).href,
    workspaceFolders: [{ uri: pathToFileURL(root).href, name: 'corpus' }],
    capabilities: {
      workspace: { configuration: true, didChangeConfiguration: { dynamicRegistration: true } },
      textDocument: { completion: { completionItem: { documentationFormat: ['plaintext'] } }, hover: {} },
    },
  });
  await connection.sendNotification('initialized', {});
  await connection.sendNotification('workspace/didChangeConfiguration', { settings });
});

after(async () => {
  await connection.sendRequest('shutdown');
  await connection.sendNotification('exit');
  connection.dispose();
  server.kill();
});

test('every modeline leads to the schema of its file, and no file has a diagnostic', async () => {
  const files = corpusFiles(path.join(root, 'reference'));
  assert.ok(files.length > 100);
  await Promise.all(files.map(async (file) => {
    const text = fs.readFileSync(file, 'utf8');
    const modeline = /^# yaml-language-server: \$schema=(\S+)\n/.exec(text);
    assert.ok(modeline, `${file} has no modeline`);
    assert.ok(fs.existsSync(path.resolve(path.dirname(file), modeline[1])), `${file}: ${modeline[1]} is not there`);
    assert.deepEqual(await show(file, text), [], file);
  }));
});

test('a fault is shown where it stands', async () => {
  const good = fs.readFileSync(pump, 'utf8');
  const bad = good.replace('colour: PK, ', 'color: PK,  ').replace('to: engine', 'to: motor');
  const diagnostics = await show(pump, bad);
  const shown = diagnostics.map(({ range, message }) => ({ at: range.start, message }));
  const unknown = shown.find(({ message }) => message.includes('color'));
  assert.ok(unknown, JSON.stringify(shown));
  assert.deepEqual(unknown.at, place(bad, 'color: PK'));
  const word = shown.find(({ message }) => message.includes('chassis'));
  assert.ok(word, JSON.stringify(shown));
  assert.deepEqual(word.at, place(bad, 'motor'));
  assert.deepEqual(await show(pump, good), []);
});

test('completion offers the keys that the schema knows', async () => {
  const text = fs.readFileSync(pump, 'utf8').replace('colour: PK,    mm2: 0.5, length-mm: 380}', 'colour: PK, m}');
  await show(pump, text);
  const answer = await connection.sendRequest('textDocument/completion', at(pump, place(text, 'PK, m}', 5)));
  const labels = (answer.items ?? answer).map(({ label }) => label);
  const wire = schemaOf('loom').definitions.wire.properties;
  const missing = Object.keys(wire).filter((key) => !['circuit', 'from', 'to', 'colour'].includes(key));
  assert.ok(missing.includes('mm2'));
  for (const key of missing) assert.ok(labels.includes(key), `${key} is not among ${labels}`);
});

test('hover shows the description of the schema', async () => {
  const text = fs.readFileSync(pump, 'utf8');
  await show(pump, text);
  const answer = await connection.sendRequest('textDocument/hover', at(pump, place(text, 'ring: M6', 1)));
  const { description } = schemaOf('loom').properties.earths.additionalProperties.properties.ring;
  assert.ok(description.length > 10);
  const said = JSON.stringify(answer?.contents ?? null).replaceAll('&nbsp;', ' ').replaceAll('\\\\', '');
  assert.ok(said.includes(description), said);
});
