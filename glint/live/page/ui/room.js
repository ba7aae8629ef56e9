// What the light falls on.

import { edit } from '../actions.js';
import { change, remember, state } from '../state.js';
import { Field, fact, Segments } from './fields.js';
import { html } from './html.js';
import { outline } from './outline.js';
import { Problem, problemsAt, useField } from './problems.js';

const KINDS = { dome: 'Dome', bell: 'Bell tent', yurt: 'Yurt', hall: 'Hall' };
const LABELS = {
  radius_m: 'Radius', rise_m: 'Roof rises by', wall_m: 'Wall', length_m: 'Length', width_m: 'Width', height_m: 'Height',
  crown_m: 'Crown ring', pole_mm: 'Pole', frequency: 'Frame frequency', tube_mm: 'Struts', open_share: 'Open triangles',
};
const LIGHT = [
  ['fabric_colour', 'Fabric'], ['floor_colour', 'Floor'], ['reflectance', 'Fabric gives back'],
  ['floor_reflectance', 'Floor gives back'], ['ambient_lux', 'Other light'], ['haze_per_m', 'Haze'],
];
const LEFT_OUT = ['kind', 'open', 'seed', ...LIGHT.map(([key]) => key)];

/** A room of another kind, of about the size of this one, in the same cloth. */
function other(kind) {
  const { room, filled } = state.scene;
  const { radius, height } = outline(room);
  const round = (v) => Math.round(v * 20) / 20;
  const kept = Object.fromEntries(LIGHT.map(([key]) => [key, filled.room[key]]).filter(([, v]) => v !== undefined));
  const sizes = {
    dome: { radius_m: round(radius) },
    bell: { radius_m: round(radius), rise_m: round(Math.max(height - 0.9, 0.9)), wall_m: 0.9 },
    yurt: { radius_m: round(radius), rise_m: round(Math.max(height - 1.6, 0.8)), wall_m: 1.6 },
    hall: { length_m: round(2 * radius), width_m: round(2 * radius), height_m: round(height) },
  }[kind] ?? {};
  return { kind, ...sizes, ...kept };
}

function measure(inches) {
  remember('inches', inches);
  change({ inches });
}

export function RoomPanel() {
  const now = state.scene.filled.room;
  const tables = fact('SceneFile', 'room').named;
  const table = tables[now.kind];
  const sizes = Object.keys(state.welcome.schema.tables[table]).filter((key) => !LEFT_OUT.includes(key));
  const field = (name, label) => html`<${Field} key=${name} path=${`room.${name}`} table=${table} name=${name} label=${label} />`;
  useField('room');
  const options = Object.keys(tables).map((value) => ({ value, words: KINDS[value] ?? value }));
  return html`<${Segments} label="Kind of room" name="room" value=${now.kind} options=${options} onPick=${(kind) => edit({ room: other(kind) })} />
    ${problemsAt('room').filter((one) => one.path === 'room').map((one) => html`<${Problem} problem=${one} />`)}
    <p class="hint">${fact(table, 'kind').title}.</p>
    <section class="group"><h2>Size</h2><div class="row">${sizes.map((name) => field(name, LABELS[name] ?? fact(table, name).title))}</div></section>
    <section class="group"><h2>Cloth and light</h2><div class="row">${LIGHT.map(([name, label]) => field(name, label))}</div>
      <p class="hint">A haze of 0.02 shows beams to the eye.</p></section>
    <section class="group"><h2>Measures</h2>
      <${Segments} label="Measures" name="measures" value=${state.inches} onPick=${measure}
        options=${[{ value: false, words: 'Metres' }, { value: true, words: 'Feet and inches' }]} />
      <p class="hint">Only how they are shown: the scene stays metric.</p></section>`;
}
