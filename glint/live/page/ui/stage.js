// The picture and how one looks at it: by dragging, by wheel or two fingers, by keys.

import { change } from '../state.js';
import { edit } from '../actions.js';
import { looked, walked, zoomed } from './camera.js';
import { Segments } from './fields.js';
import { html, useLayoutEffect, useRef } from './html.js';

const VIEWS = [
  { value: 'eye', words: 'Eye' },
  { value: 'dome', words: 'Overhead' },
  { value: 'floor', words: 'Floor' },
  { value: 'ball', words: 'Ball' },
];
const SAYS = {
  eye: 'What a guest sees. Drag to look round; arrow keys or W A S D walk, Q and E turn, R and F rise and sink, plus and minus zoom.',
  dome: 'All that is overhead, seen lying on one’s back.',
  floor: 'The floor, from above.',
  ball: 'The ball, from close by.',
};
const STRIDE = 0.15; // m
const KEYS = {
  w: [STRIDE, 0, 0], arrowup: [STRIDE, 0, 0], s: [-STRIDE, 0, 0], arrowdown: [-STRIDE, 0, 0],
  a: [0, STRIDE, 0], arrowleft: [0, STRIDE, 0], d: [0, -STRIDE, 0], arrowright: [0, -STRIDE, 0],
  r: [0, 0, STRIDE], f: [0, 0, -STRIDE],
};
const TURNS = { q: 0.08, e: -0.08 };
const ZOOMS = { '+': 1 / 1.1, '=': 1 / 1.1, '-': 1.1 };

/** Pointers on the picture, as moves of the eye. */
function pointers(picture) {
  const held = new Map();
  const spread = () => {
    const [a, b] = [...held.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };
  return {
    down(event) {
      held.set(event.pointerId, { x: event.clientX, y: event.clientY });
      event.currentTarget.setPointerCapture(event.pointerId);
    },
    move(event) {
      const before = held.get(event.pointerId);
      if (!before || picture.looks !== 'eye') return;
      const was = held.size === 2 ? spread() : 0;
      held.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (held.size === 2) return picture.move(zoomed(picture.eye, was / Math.max(spread(), 1)));
      const wide = ((picture.eye.fov_deg ?? 75) * Math.PI) / 180 / picture.holder.clientWidth;
      const [dx, dy] = [event.clientX - before.x, event.clientY - before.y];
      return picture.move(looked(picture.eye, dx * wide, dy * wide));
    },
    up: (event) => held.delete(event.pointerId),
  };
}

function keyed(event, picture) {
  if (picture.looks !== 'eye' || event.ctrlKey || event.metaKey || event.altKey) return;
  const key = event.key.toLowerCase();
  let eye = null;
  if (KEYS[key]) eye = walked(picture.eye, ...KEYS[key], picture.room);
  else if (TURNS[key]) eye = looked(picture.eye, TURNS[key], 0);
  else if (ZOOMS[key]) eye = zoomed(picture.eye, ZOOMS[key]);
  if (!eye) return;
  event.preventDefault();
  picture.move(eye);
}

function Shown({ picture }) {
  if (picture.exact) return html`<p class="badge exact" title="Computed beam by beam, without noise">exact</p>`;
  if (picture.source !== 'frames' || !picture.why) return null;
  return html`<p class="badge">drawn by glint itself<span class="why">: ${picture.why}</span></p>`;
}

export function Stage({ state, picture }) {
  const holder = useRef(null);
  const touch = useRef(null);
  touch.current ??= pointers(picture);
  picture.looks = state.view;
  useLayoutEffect(() => {
    const [light, frames, exact] = holder.current.querySelectorAll('canvas');
    picture.mount(holder.current, { light, frames, exact });
    const wheel = (event) => {
      if (picture.looks !== 'eye') return;
      event.preventDefault(); // which a listener that the library adds could not
      picture.move(zoomed(picture.eye, Math.exp(event.deltaY * 0.0012)));
    };
    holder.current.addEventListener('wheel', wheel, { passive: false });
  }, []);
  const look = (view) => {
    change({ view });
    picture.ask();
  };
  const isEye = state.view === 'eye';
  const home = () => {
    change({ eye: null });
    picture.ask();
  };
  const stay = () => {
    const round = (list) => list.map((v) => Number(v.toFixed(3)));
    const { at_m, look_m, fov_deg } = state.eye;
    edit({ 'eye.at_m': round(at_m), 'eye.look_m': round(look_m), 'eye.fov_deg': Number((fov_deg ?? 75).toFixed(1)) });
    change({ eye: null });
  };
  return html`<section class="stage" aria-label="The evening">
    <div class=${`holder ${state.view}`} ref=${holder} tabindex="0" role=${isEye ? 'application' : 'img'}
      aria-label=${SAYS[state.view]} onKeyDown=${(event) => keyed(event, picture)}
      onPointerDown=${touch.current.down} onPointerMove=${touch.current.move}
      onPointerUp=${touch.current.up} onPointerCancel=${touch.current.up}>
      <canvas></canvas><canvas></canvas><canvas class="top"></canvas>
    </div>
    ${state.picture.wanted && html`<p class="waiting" aria-hidden="true">Lighting the lamp …</p>`}
    <div class="views"><${Segments} label="How to look" name="view" value=${state.view} options=${VIEWS} onPick=${look} /></div>
    <${Shown} picture=${state.picture} />
    ${isEye && state.eye && html`<div class="moved">
      <button type="button" onClick=${stay}>Stay here</button>
      <button type="button" class="quiet" onClick=${home}>Back to my place</button></div>`}
  </section>`;
}
