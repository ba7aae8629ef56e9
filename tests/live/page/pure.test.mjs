// The parts of the page that need no browser.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { at } from '../../../glint/live/page/state.js';
import { closeTo, facing, looked, overhead, walked, zoomed } from '../../../glint/live/page/ui/camera.js';
import { clockText, passesOf, periodOf, rateOf } from '../../../glint/live/page/ui/clock.js';
import { attempted, remedies } from '../../../glint/live/page/ui/leftover.js';
import { aimOf, moved, nudged } from '../../../glint/live/page/ui/moves.js';
import { outline } from '../../../glint/live/page/ui/outline.js';
import { faces, turned } from '../../../glint/live/page/ui/solid.js';
import { against, fits } from '../../../glint/live/page/ui/stock.js';
import { hours, meant, readable, shown, unit, weight } from '../../../glint/live/page/ui/units.js';
import { bests, together } from '../../../glint/live/page/ui/words.js';

const near = (a, b, by = 1e-9) => assert.ok(Math.abs(a - b) < by, `${a} is not ${b}`);

test('paths lead through tables and lists', () => {
  const tables = { ball: [{ hang: { at_m: [1, 2] } }] };
  assert.equal(at(tables, 'ball[0].hang.at_m[1]'), 2);
  assert.equal(at(tables, 'ball[3].hang.at_m'), undefined);
});

test('a foot is 0.3048 m and an inch 25.4 mm, and back', () => {
  // By definition: the international yard and pound agreement of 1959.
  const foot = unit('metres', true);
  near(foot.factor * 0.3048, 1, 1e-12);
  assert.equal(shown(3.048, foot.factor), '10');
  assert.equal(meant('10', foot.factor), 3.048);
  near(unit('millimetres', true).factor * 25.4, 1, 1e-12);
  assert.equal(unit('metres').sign, 'm');
  assert.equal(weight(453.59237, true), '1.0 lb');
});

test('figures have as many digits as anybody acts on', () => {
  assert.equal(readable(null), '–');
  assert.equal(readable(12345.6), '12\u202f346');
  assert.equal(readable(0.123), '0.12');
  assert.equal(readable(27.8), '27.8');
  assert.equal(weight(980), '980 g');
  assert.equal(weight(5028), '5.0 kg');
  assert.equal(hours(1.6666), '1 h 40 min');
  assert.equal(hours(2), '2 h');
});

test('an eye turns about itself, walks ahead and stays in the room', () => {
  const eye = { at_m: [0, -2, 1], look_m: [0, 0, 1], fov_deg: 75 };
  const left = looked(eye, Math.PI / 2, 0);
  near(left.look_m[0], -2);
  near(facing(left).far, 2);
  const room = { radius: 3, height: 4 };
  assert.deepEqual(walked(eye, 1, 0, 0, room).at_m.map((v) => Number(v.toFixed(9))), [0, -1, 1]);
  const far = walked(eye, 50, 0, 50, room);
  near(far.at_m[1], 0.94 * 3);
  near(far.at_m[2], 0.94 * 4);
  assert.ok(facing(looked(eye, 0, 9)).lift < Math.PI / 2);
  assert.equal(zoomed(eye, 100).fov_deg, 110);
});

test('the floor is seen beside the cords, a ball from near by', () => {
  const room = { radius: 3, height: 3 };
  const blocked = overhead(room, [[0, -0.3, 3]], 1);
  assert.ok(Math.abs(blocked.at_m[0]) > 0.18);
  assert.equal(overhead(room, [], 1).at_m[0], 0);
  const ball = { centre: [0, 0, 2], radius: 0.2 };
  const eye = closeTo(ball, { at_m: [0, -2, 1] }, room, 1.5);
  assert.deepEqual(eye.look_m, [0, 0, 2]);
  near(eye.at_m[1], -1.1);
});

test('an evening is shown no faster than three passes a second', () => {
  assert.deepEqual(rateOf({ slow: false, capped: true, passes: 6 }), { rate: 0.5, held: true });
  assert.deepEqual(rateOf({ slow: false, capped: false, passes: 6 }), { rate: 1, held: false });
  assert.deepEqual(rateOf({ slow: true, capped: true, passes: 6 }), { rate: 0.25, held: false });
  assert.equal(passesOf({ now: { passes_per_s: 1 }, turn: { passes_per_s: [1, 0, 4] } }), 4);
  assert.equal(passesOf(null), 0);
  assert.equal(periodOf([{ motion: { rpm: -2 } }, { motion: { rpm: 1 } }]), 60);
  assert.equal(periodOf([{ motion: { rpm: 0 } }]), 20);
  assert.equal(clockText(67.35), '1:07.3');
});

test('moves become edits of what has moved', () => {
  const ball = { kind: 'ball', number: 1, at: [0, 0, 2] };
  assert.deepEqual(moved(ball, [0.5, 0, 2]), { 'ball[1].hang.at_m': [0.5, 0] });
  assert.deepEqual(moved(ball, [0, 0, 2.5]), { 'ball[1].hang.height_m': 2.5 });
  const balls = [{ name: 'plum', centre: [1, 1, 2], radius: 0.2 }];
  const aim = { kind: 'aim', number: 0, at: [0, 0, 0] };
  assert.deepEqual(moved(aim, [1.1, 1, 2], balls), { 'lamp[0].aim': 'plum' });
  assert.deepEqual(moved(aim, [2, 1, 2], balls), { 'lamp[0].aim': [2, 1, 2] });
  assert.deepEqual(aimOf({ aim: 'plum' }, balls, {}), [1, 1, 2]);
  assert.deepEqual(nudged([0, 0, 1], 'ArrowUp', false, [0, 2]), [0, 0, 1.05]);
  assert.deepEqual(nudged([0, 0, 1], 'ArrowLeft', true, [0, 1]), [-0.5, 0, 1]);
  assert.equal(nudged([0, 0, 1], 'a', false, [0, 1]), null);
});

test('rooms have their outlines', () => {
  const bell = outline({ height: 3.5, surfaces: [
    { kind: 1, form: [0, 0, 3.5, 3, 3.45, 2.6, 0, 0, -1, 0, 0] },
    { kind: 1, form: [0, 0, 0, 3, 0.9, 0, 3, 0, 0, 0, 0] },
  ] });
  assert.equal(bell.radius, 3);
  assert.deepEqual(bell.cut[0].flat().map((v) => Number(v.toFixed(9))), [0, 3.5, 3, 0.9]);
  assert.deepEqual(bell.cut[2], [[3, 0], [3, 0.9]]);
  const hall = outline({ height: 3, surfaces: [{ kind: 2, form: [0, 0, 0, 4, 2, 1, 0, 0, 0, 1, 0] }] });
  assert.deepEqual([hall.round, hall.x, hall.y], [false, [-4, 4], [-2, 2]]);
  const dome = outline({ height: 3, surfaces: [{ kind: 0, form: [0, 0, 0, 3, 4.24, 0] }] });
  near(dome.cut[0].at(-1)[0], 3);
  near(dome.cut[0].at(-1)[1], 0);
});

test('faces that are turned away are not drawn, nearer ones come last', () => {
  const square = (z) => [-1, -1, z, 1, -1, z, 1, 1, z, -1, 1, z];
  const corners = Float32Array.from([...square(0), ...square(1), ...square(2).reverse()]);
  const rows = [[4, 4, 0, 0], [0, 4, 0, 0]];
  const above = faces(rows, corners, 0, Math.PI / 2);
  assert.deepEqual(above.map(({ depth }) => Math.round(depth)), [0, 1]);
  assert.equal(faces(rows, corners, 0, -Math.PI / 2).length, 0);
  near(turned([0, 0, 1], 1, 0)[1], 1);
});

test('a box of tiles is held against what is needed', () => {
  assert.ok(fits({ triangles: 20, squares: 0 }, { 3: 20 }));
  assert.ok(!fits({ triangles: 20, squares: 1 }, { 3: 20, 4: 0 }));
  assert.ok(fits({ triangles: 999, squares: 999 }, {}));
  const rows = against([
    { name: 'triangle', sides_mm: [50, 50, 50], needed: 200 },
    { name: 'triangle', sides_mm: [40, 40, 40], needed: 20 },
  ], { 3: 210 });
  assert.deepEqual(rows.map(({ short }) => short), [0, 10]);
});

test('the best of each figure is marked, and nothing where all are alike', () => {
  const rows = [{ spots: 10, grams: 5, tiles: 3 }, { spots: 12, grams: 5, tiles: 2 }, { spots: 12 }];
  const found = bests(rows);
  assert.deepEqual([...found.spots], [1, 2]);
  assert.deepEqual([...found.tiles], [1]);
  assert.equal(found.grams, undefined);
  assert.equal(together({ now: { spots: 1 }, turn: { spots: [3, 1, 4] } }).spots, 3);
});

test('faces left over have steps that finish the body', () => {
  const allowed = 'add { do = "raise", sides = 5 }; and { do = "cap", sides = 6 } or { do = "open", sides = 6, count = 20 }';
  const base = { base: 'truncated icosahedron' };
  const wished = attempted({ type: 'edit', changes: { 'ball[0].shape': base } }, { ball: [{ shape: {} }] });
  const [first, second] = remedies(allowed, wished);
  assert.equal(first.words, 'raise the pentagons, cap the hexagons');
  assert.deepEqual(first.changes['ball[0].shape'].steps, [{ do: 'raise', sides: 5 }, { do: 'cap', sides: 6 }]);
  assert.equal(second.words, 'raise the pentagons, leave 20 hexagons open');
  assert.deepEqual(remedies('panels that stay clear', wished), []);
});

test('what a refused request would have made', () => {
  const tables = { ball: [{ shape: { base: 'cube', steps: [{ do: 'raise', sides: 4 }, { do: 'raise', sides: 3 }] } }] };
  const steps = (request) => attempted(request, tables).shape.steps.map((one) => `${one.do} ${one.sides}`);
  assert.deepEqual(steps({ type: 'remove', what: 'step', number: 0, ball: 0 }), ['raise 3']);
  assert.deepEqual(steps({ type: 'add', what: 'step', ball: 0, value: { do: 'cap', sides: 6 } }), ['raise 4', 'raise 3', 'cap 6']);
  assert.deepEqual(steps({ type: 'edit', changes: { 'ball[0].shape.steps[1].sides': 5 } }), ['raise 4', 'raise 5']);
  assert.equal(attempted({ type: 'edit', changes: { title: 'x' } }, tables), null);
  assert.equal(tables.ball[0].shape.steps.length, 2);
});
