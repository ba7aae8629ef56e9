// The drawer of shapes: every body of the catalogue by its picture.

import { edit, send } from '../actions.js';
import { state } from '../state.js';
import { html, useEffect, useLayoutEffect, useMemo, useRef, useState } from './html.js';
import { byOwner, drawBody } from './solid.js';
import { Box, box, fits } from './stock.js';

const SIDE = 132; // px of a thumbnail's canvas, shown at half

function Thumbnail({ rows, corners, radius }) {
  const canvas = useRef(null);
  useLayoutEffect(() => {
    if (rows) drawBody(canvas.current, rows, corners, { radius, plain: true });
  }, [rows]);
  return html`<canvas ref=${canvas} width=${SIDE} height=${SIDE} aria-hidden="true"></canvas>`;
}

/** A shape of the catalogue as a scene has it. */
export function tableOf({ base, sides, steps }) {
  return { base, ...(sides !== null && { sides }), ...(steps.length && { steps }) };
}

const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

function steps(list) {
  return (list ?? []).map((step) => Object.fromEntries(
    Object.entries(step).filter(([, v]) => v !== null && v !== false).sort()));
}

const isNow = (entry, shape) => shape.base === entry.base && (shape.sides ?? null) === entry.sides
  && same(steps(shape.steps), steps(entry.steps));

export function Drawer({ ball, close }) {
  const [wanted, setWanted] = useState('');
  const [fitting, setFitting] = useState(false);
  const [held, setHeld] = useState(box);
  const search = useRef(null);
  const shape = state.scene.filled.ball[ball].shape;
  useEffect(() => {
    if (!state.shapes) send({ type: 'shapes' });
    search.current?.focus({ preventScroll: true });
  }, []);
  const rows = useMemo(() => (state.shapes ? byOwner(state.shapes.polygon) : new Map()), [state.shapes]);
  const all = state.welcome.shapes.map((entry, number) => ({ ...entry, number }));
  const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
  const found = all.filter((entry) => words.every((word) => entry.name.includes(word))
    && (!fitting || (entry.buildable && fits(entry, held))));
  return html`<section class="drawer" aria-label="Drawer of shapes" onKeyDown=${(e) => e.key === 'Escape' && close()}>
    <div class="field"><label for="find-shape">Look for</label>
      <input id="find-shape" type="search" ref=${search} value=${wanted} placeholder="raised, cube, spiked …"
        onInput=${({ target }) => setWanted(target.value)} /></div>
    <label class="switch"><input type="checkbox" role="switch" checked=${fitting}
      onChange=${({ target }) => setFitting(target.checked)} /> Only what my tiles make</label>
    ${fitting && html`<${Box} onChange=${setHeld} />`}
    <p class="hint" role="status">${found.length} of ${all.length} shapes</p>
    <ul class="shapes">${found.map((entry) => html`<li key=${entry.number}>
      <button type="button" class=${isNow(entry, shape) ? 'now' : ''} aria-pressed=${isNow(entry, shape) ? 'true' : 'false'}
        onClick=${() => edit({ [`ball[${ball}].shape`]: tableOf(entry) })}>
        <${Thumbnail} rows=${rows.get(entry.number)} corners=${state.shapes?.polygon_corner.data} radius=${state.shapes?.radius[entry.number]} />
        <span class="name">${entry.name}</span>
        <span class="unit">${entry.triangles ? `${entry.triangles} △` : ''} ${entry.squares ? `${entry.squares} □` : ''}</span>
        ${!entry.buildable && html`<span class="tag">faces without tiles</span>`}
      </button></li>`)}</ul>
  </section>`;
}
