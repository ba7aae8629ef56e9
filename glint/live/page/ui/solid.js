// Bodies as small shaded drawings: polygons turned, sorted from back to front, lit by one lamp.

const LAMP = [-0.45, 0.62, 0.64]; // towards it: from the left, above, before the sheet
const COLOURS = { 0: [92, 78, 62], 1: [214, 196, 170], 2: [6, 5, 4], shape: [205, 178, 140] };

/** Turned about the upright axis by an angle and then tipped towards the looker: [x, y, depth]. */
export function turned([x, y, z], angle, tip) {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const [a, b] = [x * c - y * s, x * s + y * c];
  const [ct, st] = [Math.cos(tip), Math.sin(tip)];
  return [a, z * ct + b * st, z * st - b * ct];
}

function normal(points) {
  let [x, y, z] = [0, 0, 0];
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length];
    x += (p[1] - q[1]) * (p[2] + q[2]);
    y += (p[2] - q[2]) * (p[0] + q[0]);
    z += (p[0] - q[0]) * (p[1] + q[1]);
  });
  const long = Math.hypot(x, y, z) || 1;
  return [x / long, y / long, z / long];
}

/** {owner: rows} of polygons: (first corner, corners, owner, kind) each, of an owner in a row. */
export function byOwner(polygon) {
  const found = new Map();
  for (let i = 0; i < polygon.data.length; i += 4) {
    const row = polygon.data.subarray(i, i + 4);
    if (!found.has(row[2])) found.set(row[2], []);
    found.get(row[2]).push(row);
  }
  return found;
}

/**
 * Faces to be drawn, from back to front: [{points, shade 0 to 1, kind}]. rows: of one body;
 * corners: (c, 3) flat. What is turned away is left out, but what is an opening.
 */
export function faces(rows, corners, angle, tip) {
  const found = [];
  for (const [first, count, , kind] of rows) {
    const points = [];
    for (let k = first; k < first + count; k += 1) {
      points.push(turned([corners[3 * k], corners[3 * k + 1], corners[3 * k + 2]], angle, tip));
    }
    const n = normal(points);
    if (n[2] <= 0) continue;
    const shade = Math.max(n[0] * LAMP[0] + n[1] * LAMP[1] + n[2] * LAMP[2], 0);
    const depth = points.reduce((sum, p) => sum + p[2], 0) / points.length;
    // A tile lies on its panel: it is drawn after it.
    found.push({ points, shade, kind, depth: depth + (kind ? 1e-4 : 0) });
  }
  return found.sort((a, b) => a.depth - b.depth);
}

/** Draw a body into a canvas. radius: what just fits; plain: panels alone. */
export function drawBody(canvas, rows, corners, { radius, angle = 0.5, tip = 0.42, plain = false }) {
  const pen = canvas.getContext('2d');
  const { width, height } = canvas;
  pen.clearRect(0, 0, width, height);
  const scale = (0.46 * Math.min(width, height)) / radius;
  for (const { points, shade, kind } of faces(rows, corners, angle, tip)) {
    pen.beginPath();
    for (const [x, y] of points) pen.lineTo(width / 2 + x * scale, height / 2 - y * scale);
    pen.closePath();
    const light = plain ? 0.34 + 0.72 * shade : 0.2 + 0.85 * shade ** 1.4;
    const colour = (plain ? COLOURS.shape : COLOURS[kind]).map((v) => Math.min(v * light, 255));
    pen.fillStyle = `rgb(${colour.map(Math.round).join(' ')})`;
    pen.fill();
    if (plain || kind === 1) {
      pen.lineWidth = Math.max(width / 220, 0.6);
      pen.strokeStyle = 'rgb(20 17 14 / 0.75)';
      pen.stroke();
    }
  }
}
