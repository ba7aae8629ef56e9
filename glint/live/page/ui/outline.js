// The room as lines on paper, from its surfaces: see glint/kernels/surfaces for their forms.

const PARTS = 24;

function capLine([, , z, radius, , rim]) {
  const reach = Math.acos(Math.max((rim - z) / radius, -1));
  return Array.from({ length: PARTS + 1 }, (_, i) => {
    const angle = (reach * i) / PARTS;
    return [radius * Math.sin(angle), z + radius * Math.cos(angle)];
  });
}

function turnedLine([, , z, outer, reach, drop, inner, innerDrop]) {
  if (inner === outer) return [[outer, z], [outer, z + reach]];
  return [[inner, z - innerDrop], [outer, z - drop]];
}

/** Half a cut through what is turned about an axis: [distance from it, height], m. */
const lineOf = ({ kind, form }) => (kind === 0 ? capLine(form) : turnedLine(form));

function corners({ form }) {
  const [x, y, z, w, h, ...sides] = form.map(Number);
  return [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([a, b]) =>
    [0, 1, 2].map((i) => [x, y, z][i] + a * w * sides[i] + b * h * sides[i + 3]));
}

/**
 * Lines of a room: {round, radius, height, x, y: [least, most], plan: [[x, y]] or null,
 * cut: [[[x, z], ...], ...] of polylines}. Radius: of the largest circle on its floor.
 */
export function outline(room) {
  const flat = room.surfaces.filter(({ kind }) => kind === 2).map(corners);
  if (flat.length === room.surfaces.length) {
    const all = flat.flat();
    const range = (axis) => [Math.min(...all.map((p) => p[axis])), Math.max(...all.map((p) => p[axis]))];
    const [x, y, z] = [0, 1, 2].map(range);
    const plan = [[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]];
    const cut = [[[x[0], z[0]], [x[1], z[0]], [x[1], z[1]], [x[0], z[1]], [x[0], z[0]]]];
    const radius = Math.min(-x[0], x[1], -y[0], y[1]);
    return { round: false, radius, height: room.height, x, y, plan, cut };
  }
  const halves = room.surfaces.filter(({ kind }) => kind < 2).map(lineOf);
  const radius = Math.max(...halves.flat().map(([r]) => r));
  const cut = halves.flatMap((line) => [line, line.map(([r, z]) => [-r, z])]);
  const wide = [-radius, radius];
  return { round: true, radius, height: room.height, x: wide, y: wide, plan: null, cut };
}
