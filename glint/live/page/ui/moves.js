// What is moved in a drawing, and the edits that this takes. All pure.

export const STEP = 0.05; // m, of an arrow key
export const LONG_STEP = 0.5; // m, with shift

const place = (value) => Number(value.toFixed(3));

/** Things of a scene that stand somewhere: [{kind, number, name, at: [x, y, z]}]. */
export function things({ balls, lamps, eye, filled }) {
  return [
    ...balls.map(({ name, centre }, number) => ({ kind: 'ball', number, name, at: centre })),
    ...lamps.flatMap((lamp, number) => [
      { kind: 'lamp', number, name: lamp.name, at: lamp.at },
      { kind: 'aim', number, name: `aim of ${lamp.name}`, at: aimOf(filled.lamp[number], balls, lamp) },
    ]),
    { kind: 'eye', number: 0, name: 'eye', at: eye.at_m },
    { kind: 'look', number: 0, name: 'what the eye looks at', at: eye.look_m },
  ];
}

/** Where a lamp points: a ball's centre at rest, or a point. */
export function aimOf(lamp, balls, { at, frame }) {
  if (Array.isArray(lamp?.aim)) return lamp.aim;
  const ball = balls.find(({ name }) => name === lamp?.aim) ?? balls[0];
  return ball ? ball.centre : at.map((v, i) => v + frame[2][i]);
}

/**
 * Edits that put a thing at a place. A ball's height and place are keys of their own; what did not
 * change is left alone. An aim let go on a ball follows that ball.
 */
export function moved({ kind, number, at: was }, at, balls = []) {
  const to = at.map(place);
  const is = (i) => Math.abs(to[i] - was[i]) > 1e-6;
  if (kind === 'ball') {
    return {
      ...((is(0) || is(1)) && { [`ball[${number}].hang.at_m`]: [to[0], to[1]] }),
      ...(is(2) && { [`ball[${number}].hang.height_m`]: to[2] }),
    };
  }
  if (kind === 'aim') {
    const near = balls.find(({ centre, radius }) =>
      Math.hypot(...centre.map((v, i) => v - to[i])) < Math.max(radius, 0.12));
    return { [`lamp[${number}].aim`]: near ? near.name : to };
  }
  const path = { lamp: `lamp[${number}].at_m`, eye: 'eye.at_m', look: 'eye.look_m' }[kind];
  return { [path]: to };
}

/** Where an arrow key takes a place in a drawing whose axes are these (0 x, 1 y, 2 z), or null. */
export function nudged(at, key, isLong, [across, up]) {
  const by = isLong ? LONG_STEP : STEP;
  const [axis, sign] = {
    ArrowLeft: [across, -1], ArrowRight: [across, 1], ArrowDown: [up, -1], ArrowUp: [up, 1],
  }[key] ?? [];
  return axis === undefined ? null : at.map((v, i) => (i === axis ? v + sign * by : v));
}
