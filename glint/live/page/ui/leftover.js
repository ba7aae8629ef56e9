// Faces that no tile fits: the steps that would deal with them, as one edit. All pure.

const FACES = { 3: 'triangles', 4: 'squares', 5: 'pentagons', 6: 'hexagons', 8: 'octagons', 10: 'decagons', 12: 'dodecagons' };
const STEP = /\{ do = "(\w+)", sides = (\d+)(?:, (count|frequency) = (\d+))? \}/g;

/** The shape of a ball that a request would have made, {ball, shape}, or null. */
export function attempted(request, tables) {
  const { type, changes = {}, what, ball = 0, value, number } = request ?? {};
  const shape = structuredClone(tables.ball[ball]?.shape ?? {});
  if (type === 'add' && what === 'step') return { ball, shape: { ...shape, steps: [...(shape.steps ?? []), value] } };
  if (type === 'remove' && what === 'step') {
    return { ball, shape: { ...shape, steps: (shape.steps ?? []).filter((_, i) => i !== number) } };
  }
  if (type !== 'edit') return null;
  for (const [path, wished] of Object.entries(changes)) {
    const [, row, rest] = path.match(/^ball\[(\d+)\]\.shape(.*)$/) ?? [];
    if (row === undefined) continue;
    const now = structuredClone(tables.ball[row].shape);
    if (!rest) return { ball: Number(row), shape: wished };
    const keys = rest.match(/[^.[\]]+/g);
    let place = now;
    for (const key of keys.slice(0, -1)) place = place?.[key];
    if (!place) return null;
    place[keys.at(-1)] = wished;
    return { ball: Number(row), shape: now };
  }
  return null;
}

function stepsIn(text) {
  return [...text.matchAll(STEP)].map(([, kind, sides, key, amount]) =>
    ({ do: kind, sides: Number(sides), ...(key && { [key]: Number(amount) }) }));
}

function inWords({ do: kind, sides, count, frequency }) {
  const faces = FACES[sides] ?? `faces of ${sides} sides`;
  if (kind === 'open') return count === 1 ? `leave a face of ${sides} sides open` : `leave ${count} ${faces} open`;
  if (kind === 'split') return `split the ${faces} by ${frequency}`;
  return `${kind} the ${faces}`;
}

/** Edits that finish a shape, of what the refusal allows: [{words, changes}]. */
export function remedies(allowed, wished) {
  if (!wished || !allowed.startsWith('add {')) return [];
  const each = allowed.split('; and ').map((part) => part.split(' or ').map(stepsIn));
  const most = Math.min(Math.max(...each.map((ways) => ways.length)), 3);
  return Array.from({ length: most }, (_, way) => {
    const added = each.flatMap((ways) => ways[Math.min(way, ways.length - 1)]);
    const steps = [...(wished.shape.steps ?? []), ...added];
    return {
      words: added.map(inWords).join(', '),
      changes: { [`ball[${wished.ball}].shape`]: { ...wished.shape, steps } },
    };
  });
}
