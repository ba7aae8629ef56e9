// Plan and elevation of the room, in which things are dragged or moved by arrow keys.

import { edit, newGroup } from '../actions.js';
import { change, state } from '../state.js';
import { html, useEffect, useRef, useState } from './html.js';
import { moved, nudged, things } from './moves.js';
import { outline } from './outline.js';
import { readable, unit } from './units.js';

const WIDE = 400; // units of the drawing across
const MARGIN = 26;
const HAND = 23; // half of what a finger needs
const PAUSE = 900; // ms that arrow keys may rest within one step of undo

function scaled(room, axes) {
  const [across, up] = axes;
  const x = room.x;
  const y = up === 2 ? [0, room.height] : room.y;
  const scale = (WIDE - 2 * MARGIN) / (x[1] - x[0]);
  const high = (y[1] - y[0]) * scale + 2 * MARGIN;
  return {
    high, scale,
    to: (p) => [MARGIN + (p[across] - x[0]) * scale, high - MARGIN - (p[up] - y[0]) * scale],
    from: (u, v, p) => {
      const found = [...p];
      found[across] = x[0] + (u - MARGIN) / scale;
      found[up] = y[0] + (high - MARGIN - v) / scale;
      return found;
    },
  };
}

const line = (points) => points.map(([u, v]) => `${u.toFixed(1)},${v.toFixed(1)}`).join(' ');

function Room({ room, map, isPlan, tent }) {
  if (!isPlan) {
    return html`<g class="walls"><line x1="0" x2=${WIDE} y1=${map.high - MARGIN} y2=${map.high - MARGIN} />
      ${room.cut.map((one) => html`<polyline points=${line(one.map(([x, z]) => map.to([x, 0, z])))} />`)}
      ${tent.pole > 0 && html`<polyline points=${line([map.to([0, 0, 0]), map.to([0, 0, room.height])])} />`}</g>`;
  }
  const [u, v] = map.to([0, 0, 0]);
  return html`<g class="walls">${room.plan ? html`<polygon points=${line(room.plan.map(([x, y]) => map.to([x, y, 0])))} />`
    : html`<circle cx=${u} cy=${v} r=${room.radius * map.scale} />`}
    ${tent.pole > 0 && html`<circle class="pole" cx=${u} cy=${v} r="3" />`}</g>`;
}

function Beam({ lamp, filled, aim, map }) {
  const [a, b] = [map.to(lamp.at), map.to(aim)];
  const half = Math.min(((filled.beam_deg ?? 6) * Math.PI) / 360, 1.2);
  const [du, dv] = [b[0] - a[0], b[1] - a[1]];
  const edges = [half, -half].map((t) => [
    a[0] + 1.6 * (du * Math.cos(t) - dv * Math.sin(t)), a[1] + 1.6 * (du * Math.sin(t) + dv * Math.cos(t))]);
  return html`<g class="beam"><polygon points=${line([a, ...edges])} /><line x1=${a[0]} y1=${a[1]} x2=${b[0]} y2=${b[1]} /></g>`;
}

/** The aim at a ball is held behind it, as the lamp sees it: the ball itself stays free to be held. */
function behind(from, [u, v], away) {
  const [du, dv] = [u - from[0], v - from[1]];
  const long = Math.hypot(du, dv) || 1;
  return [u + (du * away) / long, v + (dv * away) / long];
}

function Mark({ thing, map, radius }) {
  const r = thing.kind === 'ball' ? Math.max(radius * map.scale, 7) : 0;
  if (thing.kind === 'ball') return html`<circle class="mark" r=${r} />`;
  if (thing.kind === 'lamp') return html`<rect class="mark" x="-7" y="-7" width="14" height="14" rx="3" />`;
  if (thing.kind === 'eye') return html`<path class="mark" d="M-10 0 Q0 -9 10 0 Q0 9 -10 0Z" /><circle class="pupil" r="3" />`;
  return html`<path class="mark cross" d="M-7 0H7M0 -7V7" />`;
}

/** axes: [0, 1] of the plan, [0, 2] of the elevation. */
export function Drawing({ axes, title }) {
  const svg = useRef(null);
  const hold = useRef({ group: '', thing: null, at: null, until: 0 });
  const [held, setHeld] = useState(null);
  const { scene, chosen } = state;
  const room = outline(scene.room);
  const map = scaled(room, axes);
  const isPlan = axes[1] === 1;
  useEffect(() => { if (!hold.current.dragging) setHeld(null); }, [scene.revision]);
  const all = things(scene);
  const isChosen = ({ kind, number }) => chosen.number === number
    && (chosen.kind === kind || (chosen.kind === 'lamp' && kind === 'aim') || (chosen.kind === 'eye' && kind === 'look'));
  const shown = all.filter((one) => !['aim', 'look'].includes(one.kind) || isChosen(one));
  const placeOf = (one) => (held?.kind === one.kind && held.number === one.number ? held.at : one.at);
  const owner = (kind) => ({ aim: 'lamp', look: 'eye' })[kind] ?? kind;
  const choose = (one) => {
    const ball = one.kind === 'ball' ? { ball: one.number } : {};
    change({ chosen: { kind: owner(one.kind), number: one.number }, ...ball });
  };
  const put = (one, at, group) => {
    const changes = moved(one, at, scene.balls);
    if (Object.keys(changes).length) edit(changes, group);
  };
  const spot = (event) => {
    const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.current.getScreenCTM().inverse());
    return [x, y];
  };
  const down = (event, one) => {
    event.preventDefault();
    event.currentTarget.focus({ preventScroll: true });
    event.currentTarget.setPointerCapture(event.pointerId);
    const [u, v] = spot(event);
    const [x, y] = map.to(one.at);
    hold.current = { dragging: true, group: newGroup(), off: [x - u, y - v], from: [u, v], far: false };
    choose(one);
  };
  const drag = (event, one) => {
    const now = hold.current;
    if (!now.dragging) return;
    const [u, v] = spot(event);
    now.far ||= Math.hypot(u - now.from[0], v - now.from[1]) > 3; // a press is no move
    if (!now.far) return;
    const at = map.from(u + now.off[0], v + now.off[1], placeOf(one)).map((n, i) =>
      (axes.includes(i) ? Math.round(n * 100) / 100 : n));
    setHeld({ ...one, at });
    now.at = at;
    if (!now.frame) {
      now.frame = requestAnimationFrame(() => {
        now.frame = 0;
        put(one, now.at, now.group);
      });
    }
  };
  const up = () => { hold.current.dragging = false; };
  const key = (event, one) => {
    const at = nudged(placeOf(one), event.key, event.shiftKey, axes);
    if (!at) return;
    event.preventDefault();
    const now = hold.current;
    if (event.timeStamp > (now.until ?? 0) || now.name !== one.name) now.group = newGroup();
    Object.assign(now, { until: event.timeStamp + PAUSE, name: one.name });
    setHeld({ ...one, at });
    put(one, at, now.group);
  };
  const { sign, factor } = unit('metres', state.inches);
  const said = ({ name, kind, at }) => `${kind === 'ball' ? 'ball ' : kind === 'lamp' ? 'lamp ' : ''}${name}: ${at.map((v, i) => `${'xyz'[i]} ${readable(v * factor)} ${sign}`).join(', ')}`;
  return html`<figure class="drawing">
    <figcaption>${title}</figcaption>
    <svg ref=${svg} viewBox=${`0 0 ${WIDE} ${map.high.toFixed(1)}`} role="group" aria-label=${`${title}: arrow keys move what is chosen by 5 cm, with shift by 50 cm`}>
      <${Room} room=${room} map=${map} isPlan=${isPlan} tent=${scene.room} />
      ${scene.lamps.map((lamp, i) => html`<${Beam} key=${i} lamp=${{ ...lamp, at: placeOf({ kind: 'lamp', number: i, at: lamp.at }) }}
        filled=${scene.filled.lamp[i] ?? {}} map=${map} aim=${placeOf(all.find((one) => one.kind === 'aim' && one.number === i))} />`)}
      ${!isPlan && scene.balls.map((ball, i) => {
        const [u, v] = map.to(ball.hook);
        const [x, y] = map.to(placeOf({ kind: 'ball', number: i, at: ball.centre }));
        return html`<line class="cord" x1=${u} y1=${v} x2=${x} y2=${y} />`;
      })}
      ${shown.map((one) => {
        let [u, v] = map.to(placeOf(one));
        const lamp = scene.lamps[one.number];
        if (one.kind === 'aim' && !Array.isArray(scene.filled.lamp[one.number]?.aim) && held?.kind !== 'aim') {
          [u, v] = behind(map.to(lamp.at), [u, v], 2 * HAND);
        }
        return html`<g key=${`${one.kind}${one.number}`} class=${`thing ${one.kind} ${isChosen(one) ? 'chosen' : ''}`}
          transform=${`translate(${u.toFixed(1)} ${v.toFixed(1)})`} tabindex="0" role="button" aria-roledescription="movable"
          aria-label=${said({ ...one, at: placeOf(one) })} data-thing=${`${one.kind} ${one.number}`}
          onFocus=${() => choose(one)} onKeyDown=${(e) => key(e, one)} onPointerDown=${(e) => down(e, one)}
          onPointerMove=${(e) => drag(e, one)} onPointerUp=${up} onPointerCancel=${up}>
          <circle class="hand" r=${HAND} /><${Mark} thing=${one} map=${map} radius=${scene.balls[one.number]?.radius} />
        </g>`;
      })}
    </svg>
  </figure>`;
}
