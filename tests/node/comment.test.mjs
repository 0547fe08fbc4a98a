// The step of the workflow that writes the review beside a pull request: its very script, run over a forge of the
// test's own. What it may call is what that forge offers; anything else throws.
import assert from 'node:assert/strict';
import fs from 'node:fs';
import { createRequire } from 'node:module';
import os from 'node:os';
import path from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';

const require = createRequire(import.meta.url);
const { parse } = require('yaml');

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const workflow = parse(fs.readFileSync(path.join(root, '.github/workflows/corpus.yaml'), 'utf8'));
const { script } = workflow.jobs.comment.steps.find((step) => step.with?.script).with;
const AsyncFunction = (async () => {}).constructor;

const marker = '<!-- loomproof review: reference -->';
const place = { owner: 'somebody', repo: 'corpus' };

// Runs the step where review.md has this text (none: there is no such file) and these comments stand; gives those that
// stand then, and what the step told. Comments come in pages, as a forge gives them.
async function comments_after(review, comments, { refuses = false } = {}) {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'comment-'));
  const told = [];
  const stand = comments.map((comment) => ({ ...comment }));
  const listComments = async () => assert.fail('only the first page would be read');
  const of_this = (where) => assert.deepEqual({ owner: where.owner, repo: where.repo }, place);
  const github = {
    rest: {
      issues: {
        listComments,
        updateComment: async ({ comment_id, body, ...where }) => {
          of_this(where);
          stand.find((comment) => comment.id === comment_id).body = body;
        },
        createComment: async ({ issue_number, body, ...where }) => {
          of_this(where);
          assert.equal(issue_number, 7);
          stand.push({ id: 99, user: { type: 'Bot' }, body });
        },
      },
    },
    paginate: async (method, where) => {
      assert.equal(method, listComments);
      assert.equal(where.issue_number, 7);
      if (refuses) throw new Error('Resource not accessible by integration');
      return stand;
    },
  };
  const context = { repo: place, issue: { number: 7 } };
  const core = { notice: (text) => told.push(text) };
  const before = process.cwd();
  try {
    process.chdir(folder);
    if (review !== undefined) fs.writeFileSync('review.md', review);
    await new AsyncFunction('require', 'github', 'context', 'core', script)(require, github, context, core);
  } finally {
    process.chdir(before);
    fs.rmSync(folder, { recursive: true });
  }
  return { stand, told };
}

const review = `${marker}\n\nNew: "quotes", \`ticks\`, \${dollars}\n`;

test('the first review is a comment of its own', async () => {
  const person = { id: 1, user: { type: 'User' }, body: `${marker}\nquoted by a person` };
  const other = { id: 2, user: { type: 'Bot' }, body: '<!-- loomproof review: other -->\nof another corpus' };
  const { stand, told } = await comments_after(review, [person, other]);
  assert.deepEqual(stand.slice(0, 2), [person, other]);
  assert.equal(stand.length, 3);
  assert.equal(stand[2].body, review);
  assert.deepEqual(told, []);
});

test('the next one takes its place', async () => {
  const old = { id: 3, user: { type: 'Bot' }, body: `${marker}\nold` };
  const { stand } = await comments_after(review, [{ id: 1, user: { type: 'Bot' }, body: 'hello' }, old]);
  assert.deepEqual(stand.map(({ id, body }) => [id, body]), [[1, 'hello'], [3, review]]);
});

test('where there is no review nothing is written', async () => {
  for (const text of [undefined, '', 'not a review\n', `x${review}`])
    assert.deepEqual((await comments_after(text, [])).stand, []);
});

test('a token that may not write leaves a notice, and the step passes', async () => {
  const { stand, told } = await comments_after(review, [], { refuses: true });
  assert.deepEqual(stand, []);
  assert.deepEqual(told, ['no comment was written: Resource not accessible by integration']);
});
