// What the ball is made from: its picture, its base, and the chain of steps.

import { add, edit } from '../actions.js';
import { change, state } from '../state.js';
import { Drawer } from './drawer.js';
import { Field, fact, Segments } from './fields.js';
import { html, useLayoutEffect, useMemo, useRef, useState } from './html.js';
import { Problem, problemsAt, useField } from './problems.js';
import { byOwner, drawBody } from './solid.js';
import { Steps } from './steps.js';
import { Box, StockTable } from './stock.js';

const SIZED = { rings: ['diameter_m', 'gap_mm'], geodesic: ['diameter_m', 'frequency'], prism: ['sides'], antiprism: ['sides'] };
const FIRST = { rings: { diameter_m: 0.4 }, geodesic: { diameter_m: 0.4, frequency: 3 }, prism: { sides: 6 }, antiprism: { sides: 6 } };
const LABELS = { diameter_m: 'Diameter', gap_mm: 'Gap', frequency: 'Frequency', sides: 'Sides' };

function Body({ ball }) {
  const canvas = useRef(null);
  const angle = useRef(0.5);
  const grip = useRef(null);
  const rows = useMemo(() => byOwner(state.polygons.polygon), [state.polygons]);
  const { radius, name, tiles } = state.scene.balls[ball];
  const draw = () => drawBody(canvas.current, rows.get(ball) ?? [], state.polygons.polygon_corner.data,
    { radius, angle: angle.current });
  useLayoutEffect(draw, [rows, ball]);
  const turn = (by) => {
    angle.current += by;
    draw();
  };
  const keys = { ArrowLeft: -0.15, ArrowRight: 0.15 };
  return html`<figure class="body">
    <canvas ref=${canvas} width="480" height="480" tabindex="0" role="img"
      aria-label=${`${name}: ${tiles} tiles. Arrow keys turn the drawing.`}
      onKeyDown=${(e) => keys[e.key] && (e.preventDefault(), turn(keys[e.key]))}
      onPointerDown=${(e) => { grip.current = e.clientX; e.currentTarget.setPointerCapture(e.pointerId); }}
      onPointerMove=${(e) => { if (grip.current !== null) { turn((e.clientX - grip.current) * 0.012); grip.current = e.clientX; } }}
      onPointerUp=${() => { grip.current = null; }} onPointerCancel=${() => { grip.current = null; }}></canvas>
    <figcaption><b>${tiles}</b> tiles <span class="unit">· ${(200 * radius).toFixed(0)} cm across</span></figcaption>
  </figure>`;
}

function Base({ ball, shape }) {
  // A new beginning: the steps of another solid hardly fit. Undo has them back.
  const pick = (base) => edit({ [`ball[${ball}].shape`]: { base, ...FIRST[base] } });
  const path = `ball[${ball}].shape.base`;
  const id = 'base-of-ball';
  useField(path);
  return html`<div class="field choice"><label for=${id}>Starts from</label>
    <select id=${id} data-path=${path} value=${shape.base ?? ''} onChange=${({ target }) => pick(target.value)}>
      ${!shape.base && html`<option value="" selected>${shape.mesh ?? 'a mesh'}</option>`}
      ${fact('ShapeTable', 'base').choices.map((one) => html`<option value=${one} selected=${one === shape.base}>${one}</option>`)}
    </select>
    ${problemsAt(path).map((one) => html`<${Problem} problem=${one} />`)}</div>`;
}

function Tiles({ ball }) {
  const own = state.scene.tables.ball[ball]?.tile ?? {};
  const field = (name, label, range) => {
    const path = name in own ? `ball[${ball}].tile.${name}` : `tile.${name}`;
    const value = state.scene.filled.ball[ball].tile?.[name] ?? state.scene.filled.tile[name];
    return html`<${Field} key=${name} path=${path} table="TileTable" name=${name} label=${label} value=${value} range=${range} />`;
  };
  const has = (name) => Boolean(fact('TileTable', name).kind);
  return html`<section class="group"><h2>Tiles and panels</h2>
    <div class="row">${field('edge_mm', 'Tile edge')}${field('panel_edge_mm', 'Panel edge')}</div>
    <div class="row">${field('thickness_mm', 'Tile thickness')}${has('recess_mm') ? field('recess_mm', 'Pocket') : field('seam_mm', 'Seam left open')}</div>
    <details><summary>More</summary><div class="row">
      ${field('reflectance', 'Mirror gives back')}${field('tilt_sd_deg', 'Unevenly glued')}
      ${has('recess_mm') && field('seam_mm', 'Seam left open')}${field('hole_mm', 'Hole in the middle')}
      ${field('corner_cut_mm', 'Corners cut')}${field('panel_colour', 'Colour between')}</div></details>
  </section>`;
}

export function ShapePanel() {
  const [open, setOpen] = useState(false);
  const { balls, filled } = state.scene;
  const ball = Math.min(state.ball, balls.length - 1);
  const shape = filled.ball[ball].shape;
  const pick = (number) => change({ ball: number, chosen: { kind: 'ball', number } });
  const path = `ball[${ball}].shape`;
  useField(path);
  useField(`${path}.steps`);
  const wrong = [path, `${path}.steps`].flatMap((one) => state.problems.filter((problem) => problem.path === one));
  return html`
    <div class="row spread">
      ${balls.length > 1 ? html`<${Segments} label="Which ball" name="ball" value=${ball} onPick=${pick}
        options=${balls.map(({ name }, value) => ({ value, words: name }))} />` : html`<h2 class="ball">${balls[ball].name}</h2>`}
      <button type="button" class="quiet" onClick=${() => add('ball')}>Another ball</button>
    </div>
    <${Body} ball=${ball} />
    ${wrong.map((one) => html`<${Problem} problem=${one} />`)}
    <button type="button" class="wide" aria-expanded=${open ? 'true' : 'false'} onClick=${() => setOpen(!open)}>
      ${open ? 'Close the drawer' : 'Open the drawer of shapes'}</button>
    ${open && html`<${Drawer} ball=${ball} close=${() => setOpen(false)} />`}
    <section class="group"><h2>Step by step</h2>
      <${Base} ball=${ball} shape=${shape} />
      <div class="row">${(SIZED[shape.base] ?? []).map((name) => html`<${Field} key=${name} path=${`${path}.${name}`}
        table="ShapeTable" name=${name} label=${LABELS[name]} />`)}</div>
      <${Steps} ball=${ball} steps=${shape.steps ?? []} />
    </section>
    <${Tiles} ball=${ball} />
    <section class="group"><h2>Against your box</h2>
      <${StockTable} stock=${state.figures?.stock} /><${Box} /></section>`;
}
