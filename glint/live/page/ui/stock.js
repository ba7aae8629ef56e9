// Tiles in the box against tiles that are needed. The box is this browser's, not the scene's.

import { change, remember, remembered, state } from '../state.js';
import { html, useState } from './html.js';

export const NAMES = { 3: 'triangles', 4: 'squares', 5: 'pentagons', 6: 'hexagons' };

/** What the box holds: {sides: count}; a kind that is missing is plenty. */
export const box = () => remembered('box', {});

/** Whether a shape of the catalogue can be tiled from a box. */
export function fits(shape, held) {
  const enough = (sides, needed) => held[sides] === undefined || needed <= held[sides];
  return enough(3, shape.triangles) && enough(4, shape.squares);
}

/** Rows of what is needed and held: [{name, sides, needed, held or undefined, short}]. */
export function against(stock, held) {
  const left = { ...held };
  return (stock ?? []).map(({ name, sides_mm: sides, needed }) => {
    const count = sides.length;
    const have = left[count];
    if (have !== undefined) left[count] = Math.max(have - needed, 0);
    return { name, size: sides[0], sides: count, needed, held: have, short: have === undefined ? 0 : Math.max(needed - have, 0) };
  });
}

export function Box({ onChange }) {
  const [held, setHeld] = useState(box);
  const put = (sides, text) => {
    const next = { ...held };
    if (text === '' || Number(text) < 0) delete next[sides];
    else next[sides] = Math.floor(Number(text));
    setHeld(next);
    remember('box', next);
    onChange?.(next);
    change({ said: state.said });
  };
  return html`<div class="row" role="group" aria-label="Tiles in your box">
    ${[3, 4].map((sides) => html`<div class="field" key=${sides}>
      <label for=${`box-${sides}`}>${NAMES[sides]} in your box</label>
      <input id=${`box-${sides}`} type="number" min="0" step="10" inputmode="numeric" placeholder="plenty"
        value=${held[sides] ?? ''} onInput=${({ target }) => put(sides, target.value)} /></div>`)}
  </div>`;
}

export function StockTable({ stock }) {
  const rows = against(stock, box());
  if (!rows.length) return null;
  return html`<table class="stock"><caption class="hidden">Tiles needed</caption>
    <tbody>${rows.map(({ name, size, needed, held, short }) => html`<tr class=${short ? 'short' : ''}>
      <th scope="row">${name}s <span class="unit">${Number(size.toFixed(1))} mm</span></th>
      <td><b>${needed}</b>${held !== undefined && html`<span class="unit"> of ${held}</span>`}</td>
      <td>${short ? html`<b>${short} short</b>` : held === undefined ? '' : `${held - needed} left`}</td>
    </tr>`)}</tbody></table>`;
}
